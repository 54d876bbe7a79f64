//! Quantities of the bench, and the reading and printing of their values.
//!
//! The crate holds a [`Figure`] that keeps how it was printed, [`Tolerance`], [`Sensitivity`], and
//! the number formatters that every report uses. Text that a person typed or copied from a manual comes in. Numbers in SI base units go
//! out, or a [`ValueError`] with the place of the fault and what to write instead. Circuits,
//! meters, files and columns of a table are not known here.

mod cell;
mod cell_limits;
mod doubt;
mod figure;
mod format;
mod number_fault;
mod ohms_cell;
mod percent;
mod preferred;
mod scan;
mod sensitivity;
mod suffix;
mod tolerance;
mod tolerance_text;
mod unit;
mod value_error;

pub use cell::{parse_cell, CellContent, PrintedCell};
pub use doubt::Doubt;
pub use figure::Figure;
pub use format::{decimals_for, engineering, exact, fixed, round_to, significant};
pub use ohms_cell::{parse_ohms_cell, OhmsCell};
pub use percent::{parse_part_tolerance, parse_percent};
pub use preferred::{Joined, Pair, Series};
pub use sensitivity::Sensitivity;
pub use tolerance::Tolerance;
pub use unit::Unit;
pub use value_error::{ValueError, ValueErrorKind};

#[cfg(test)]
mod properties;
