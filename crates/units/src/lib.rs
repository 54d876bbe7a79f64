//! Quantities of the bench, and the reading and printing of their values.
//!
//! What it owns: the newtypes for volts, ohms and their kin, a [`Figure`] that remembers how it was
//! printed, [`Tolerance`], [`Sensitivity`], and the one set of number formatters that every report uses.
//! What comes in: text that a person typed or copied from a manual. What goes out: numbers in SI base
//! units, or a [`ValueError`] that says where in the text the trouble is and what to write instead.
//! What it refuses to know: circuits, meters, files, columns of a table.

mod cell;
mod cell_marks;
mod doubt;
mod figure;
mod format;
mod ohms_cell;
mod percent;
mod preferred;
mod quantity;
mod scan;
mod sensitivity;
mod suffix;
mod tolerance;
mod tolerance_text;
mod unit;
mod value_error;

pub use cell::{parse_cell, Cell, PrintedCell};
pub use doubt::Doubt;
pub use figure::Figure;
pub use format::{decimals_for, engineering, exact, fixed, round_to, significant};
pub use ohms_cell::{parse_ohms_cell, OhmsCell};
pub use percent::{parse_part_tolerance, parse_percent};
pub use preferred::{Joined, Pair, Series};
pub use quantity::{Amperes, Farads, Henries, Hertz, Ohms, Siemens, Volts, Watts};
pub use sensitivity::Sensitivity;
pub use tolerance::Tolerance;
pub use unit::Unit;
pub use value_error::{ValueError, ValueErrorKind};

#[cfg(test)]
mod properties;
