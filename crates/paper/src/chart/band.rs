//! A tinted range across a plot.
//!
//! What it owns: its ground and its two edges. What comes in: two values and words. What goes out: shapes, and
//! where its words belong. Not known here: what the range means.

use super::axis::Ruler;
use super::clip::Window;
use crate::picture::{Fill, Ink, Pen, Picture, Point};

/// A range of y that is tinted across the plot.
#[derive(Debug, Clone, PartialEq)]
pub struct TintedBand {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Words at its right end.
    pub label: String,
}

/// Draws the range; where its words point to, and the words, unless it has none or lies outside the axis.
pub(super) fn tint(
    picture: &mut Picture,
    band: &TintedBand,
    up: Ruler,
    window: Window,
) -> Option<(Point, String)> {
    let (low, high) = (up.held(band.low)?, up.held(band.high)?);
    let (y, height) = (low.min(high), (low - high).abs());
    let corner = (window.left, y);
    let fill = Fill::Flat(Ink::Tint);
    picture.rectangle(corner, (window.right - window.left, height), fill, None);
    for edge in [y, y + height] {
        picture.line(
            (window.left, edge),
            (window.right, edge),
            Pen::new(Ink::Mid, 0.4),
        );
    }
    (!band.label.is_empty()).then(|| ((window.right, y + height / 2.0).into(), band.label.clone()))
}
