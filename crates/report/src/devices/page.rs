//! The page of one device, whatever it is.

use super::view::DeviceView;
use super::{semiconductor, tube};
use crate::document::Block;

/// The page.
pub(crate) fn blocks(view: &DeviceView<'_>) -> Vec<Block> {
    match view {
        DeviceView::Tube(view) => tube::blocks(view),
        DeviceView::Semiconductor(own) => semiconductor::blocks(own),
    }
}
