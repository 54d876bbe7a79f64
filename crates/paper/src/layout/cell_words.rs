//! The words of a cell: their type, their lines, and where they begin in their column.
//!
//! A cell and its column come in; wrapped words go out, those below a name or a value apart. What stands beside them
//! in the row, and how high it is, is not known here.

use super::slot::{Slot, SIDE};
use super::strip::Setting;
use crate::document::{split_at_point, Cell};
use crate::font::{text_width, Weight};
use crate::picture::Ink;
use crate::text::Text;
use crate::wrap::{wrap, Line};

/// Type of an ordinary cell.
pub(crate) const CELL: Setting = Setting::new(9.25, 12.4, Ink::Black);
/// Type of a value that matters. The same lead as [`CELL`], so that base lines meet across a row.
const VALUE: Setting = Setting::new(11.0, 12.4, Ink::Black);
/// Type of details below a name.
const DETAILS: Setting = Setting::new(8.75, 11.2, Ink::Black);
/// Widths of a cell's text before and after the decimal point, if it is a number on one line.
pub(crate) fn around_point(cell: &Cell) -> Option<(f64, f64)> {
    let (text, setting) = worded(cell)?;
    let plain = text.plain_text();
    if !plain.contains(|c: char| c.is_ascii_digit()) || plain.contains('\n') {
        return None;
    }
    let weight = text.runs.first().map_or(Weight::Regular, |run| run.weight);
    let (before, after) = split_at_point(&plain);
    Some((
        text_width(before, setting.size, weight),
        text_width(after, setting.size, weight),
    ))
}

/// The words of a cell and their type; nothing for a cell without words.
pub(super) fn worded(cell: &Cell) -> Option<(Text, Setting)> {
    match cell {
        Cell::Empty | Cell::Blank => None,
        Cell::Text(text) => Some((text.clone(), CELL)),
        Cell::Named(named) => Some((named.name.clone(), CELL)),
        Cell::Value(value) | Cell::Judged(value, _) => {
            Some((Text::default().bold(value.clone()), VALUE))
        }
    }
}

/// Where words stand in their row.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Place {
    /// In a cell without details.
    Own,
    /// In a cell below which details go on.
    Above,
    /// Details, below all that is [`Place::Above`].
    Below,
}

/// Words of a cell, wrapped.
pub(super) struct Words {
    pub(super) column: usize,
    pub(super) lines: Vec<Line>,
    pub(super) setting: Setting,
    pub(super) slot: Slot,
    pub(super) before_point: Option<f64>,
    pub(super) place: Place,
}

impl Words {
    pub(super) fn height(&self) -> f64 {
        self.lines.len() as f64 * self.setting.lead
    }

    pub(super) fn begin(&self, line: &Line) -> f64 {
        match (self.before_point, self.slot.after_point) {
            (Some(before), Some(after)) if self.lines.len() == 1 => {
                self.slot.left + self.slot.width - SIDE - after - before
            }
            _ => self.slot.begin(line.width),
        }
    }
}

/// What stands in small type below a name or a value.
pub(super) fn details(cell: &Cell, column: usize, slot: Slot) -> Option<Words> {
    let text = match cell {
        Cell::Named(named) => named.details.clone(),
        Cell::Judged(_, words) => words.as_str().into(),
        _ => return None,
    };
    (!text.is_empty()).then(|| Words {
        column,
        lines: wrap(&text, DETAILS.size, slot.inner()),
        setting: DETAILS,
        slot,
        before_point: None,
        place: Place::Below,
    })
}
