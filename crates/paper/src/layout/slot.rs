//! A column as it stands on the page.
//!
//! Its left edge and its width come in; where a line of text begins in it goes out. What stands in its cells is not
//! known here.

use crate::document::Align;

/// White at the left and right of a cell, in points.
pub(crate) const SIDE: f64 = 4.0;
/// A column as it stands on the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Slot {
    /// Left edge, in points from the left edge of the paper.
    pub left: f64,
    /// Width, in points.
    pub width: f64,
    pub align: Align,
    /// Room to the right of the decimal point; `None` if the column is not aligned on one.
    pub after_point: Option<f64>,
}

impl Slot {
    /// Width there is for text.
    pub fn inner(self) -> f64 {
        (self.width - 2.0 * SIDE).max(1.0)
    }

    /// The same column without so many points at its left, and without the white beside them.
    pub fn right_of(self, width: f64) -> Self {
        let taken = (width + SIDE).min(self.width / 2.0);
        Slot {
            left: self.left + taken,
            width: self.width - taken,
            ..self
        }
    }

    /// The same column, extended over all columns before this index.
    pub fn up_to(self, slots: &[Slot], end: usize) -> Self {
        let right = slots.get(..end).unwrap_or(slots).last();
        let right = right.map_or(0.0, |last| last.left + last.width);
        Slot {
            width: self.width.max(right - self.left),
            ..self
        }
    }

    /// Where a line of this width begins.
    pub fn begin(self, width: f64) -> f64 {
        let free = (self.inner() - width).max(0.0);
        self.left
            + SIDE
            + match self.align {
                Align::Left => 0.0,
                Align::Centre => free / 2.0,
                Align::Right | Align::Decimal => free,
            }
    }
}
