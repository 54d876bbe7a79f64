//! One message for something that many rows lack.

use crate::diagnostic::Diagnostic;
use crate::source::Span;
use crate::table::printed::Printings;

/// What several rows or cells of a table lack.
#[derive(Default)]
pub(super) struct Wants {
    pub value: Gathered,
    pub open: Gathered,
    pub meter: Gathered,
    /// A place in the drawn circuit.
    pub place: Gathered,
    pub printings: Printings,
}

impl Wants {
    /// Reports what they lack of their values and meters; `meter_help` says how to state a meter, if
    /// the lack is to be reported.
    pub fn tell(&self, noun: &str, meter_help: Option<&str>, out: &mut Vec<Diagnostic>) {
        for (gathered, says) in [
            (&self.value, "no value printed"),
            (&self.open, "an open circuit has no value to carry over"),
        ] {
            let told = gathered.told_of(noun);
            out.extend(told.map(|(span, all)| Diagnostic::note(span, format!("{says}: {all}"))));
        }
        self.printings.tell(out);
        if let (Some((span, all)), Some(help)) = (self.meter.told_of(noun), meter_help) {
            let message = format!("no meter is stated for {all}");
            out.push(Diagnostic::error(span, message).help(help).of_row());
        }
    }
}

/// The first row that lacks something, and the number of the others.
#[derive(Clone, Debug, Default)]
pub(crate) struct Gathered {
    first: Option<Span>,
    others: usize,
}

impl Gathered {
    /// Adds a row.
    pub fn add(&mut self, span: Span) {
        if self.first.is_none() {
            self.first = Some(span);
        } else {
            self.others += 1;
        }
    }

    /// The first place, and words for the rows: `this row`, `this row and 4 others`.
    pub fn told(&self) -> Option<(Span, String)> {
        self.told_of("row")
    }

    /// The same for something other than rows.
    pub fn told_of(&self, noun: &str) -> Option<(Span, String)> {
        let all = match self.others {
            0 => format!("this {noun}"),
            1 => format!("this {noun} and 1 other"),
            others => format!("this {noun} and {others} others"),
        };
        self.first.clone().map(|span| (span, all))
    }
}
