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
        let rows = match self.others {
            0 => "this row".to_owned(),
            1 => "this row and 1 other".to_owned(),
            others => format!("this row and {others} others"),
        };
        self.first.clone().map(|span| (span, rows))
    }
}
