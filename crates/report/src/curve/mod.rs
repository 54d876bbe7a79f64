//! One point as a curve over the resistance of the meter: table, plot of letters, rows, page.
//!
//! What it owns: which meters are named and how the plot is laid out. What comes in: a
//! [`crate::CurveView`]. What goes out: blocks, rows, a document for the browser. Not known here:
//! how a reading comes about.

mod named;
mod page;
mod plot;
mod rows;
mod table;

pub(crate) use named::{classes, manual_words, scope, where_words, Scope};
pub(crate) use page::document;
pub(crate) use rows::csv;
pub(crate) use table::blocks;
