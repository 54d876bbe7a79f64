//! One message for something that many rows lack.

use crate::source::Span;

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
