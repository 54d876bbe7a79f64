//! Tubes and semiconductors that are built in: the list of them, and a page for one.
//!
//! Types of the catalogue come in, with what their model gives at the points of their sheets as
//! plain values; blocks for people and rows for a spreadsheet go out. It fits and computes nothing.

mod drawing;
mod list;
mod parameters;
mod points;
mod rows;
mod semiconductor;
mod socket;
mod symbols;
mod trust;
mod tube;
mod view;

use crate::document::Block;

pub use view::{DeviceView, PointFigure, PointQuantity, TubeView};

pub(crate) use list::{blocks as list_blocks, csv as list_csv};
pub(crate) use parameters::{of_section, Parameter};
pub(crate) use points::{difference_percent, has_grid, kind_words};
pub(crate) use rows::csv as page_csv;
pub(crate) use semiconductor::{material, of_semiconductor, terminals};
pub(crate) use socket::{designation, Socket};
pub(crate) use symbols::{letter, symbol, words};

/// The page of one device, whatever it is.
pub(crate) fn page_blocks(view: &DeviceView<'_>) -> Vec<Block> {
    match view {
        DeviceView::Tube(view) => tube::blocks(view),
        DeviceView::Semiconductor(own) => semiconductor::blocks(own),
    }
}
