//! One message for a want that many rows share.

use crate::source::Span;

/// The first row that wants something, and how many others do.
#[derive(Clone, Debug, Default)]
pub(crate) struct Gathered {
    first: Option<Span>,
    others: usize,
}

impl Gathered {
    /// One more row.
    pub fn add(&mut self, span: Span) {
        if self.first.is_none() {
            self.first = Some(span);
        } else {
            self.others += 1;
        }
    }

    /// The first place, and words for how many rows are meant: `this row`, `this row and 4 others`.
    pub fn told(&self) -> Option<(Span, String)> {
        self.told_of("row")
    }

    /// The same of something else than rows.
    pub fn told_of(&self, noun: &str) -> Option<(Span, String)> {
        let all = match self.others {
            0 => format!("this {noun}"),
            1 => format!("this {noun} and 1 other"),
            others => format!("this {noun} and {others} others"),
        };
        self.first.clone().map(|span| (span, all))
    }
}
