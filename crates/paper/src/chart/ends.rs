//! Words at the right ends of curves.
//!
//! What it owns: their places, so that none covers another. What comes in: the ends and the words. What goes
//! out: shapes. Not known here: what the words name.

use super::clip::Window;
use super::rows::set_plain;
use super::spread::{spread, Segment};
use super::{LEAD, TYPE};
use crate::picture::{Pen, Picture, Point, TextAnchor};
use crate::wrap::wrap;

/// Words beside the right ends, moved apart where they would touch, with a fine line back to what they name.
pub(super) fn end_labels(
    picture: &mut Picture,
    labels: &[(Point, String)],
    window: Window,
    width: f64,
) {
    let wrapped: Vec<_> = labels
        .iter()
        .map(|(_, words)| wrap(&words.as_str().into(), TYPE, width.max(1.0)))
        .collect();
    let span = |((at, _), lines): (&(Point, String), &Vec<_>)| Segment {
        centre: at.y,
        length: lines.len() as f64 * LEAD,
    };
    let spans: Vec<Segment> = labels.iter().zip(&wrapped).map(span).collect();
    let placed = spread(&spans, window.top - LEAD / 2.0, window.bottom + LEAD / 2.0);
    for (((at, words), lines), y) in labels.iter().zip(&wrapped).zip(placed) {
        if words.is_empty() {
            continue;
        }
        let x = window.right + 12.0;
        picture.line((at.x + 2.0, at.y), (x - 2.0, y), Pen::hairline());
        set_plain(picture, lines, (x, TextAnchor::Start), y);
    }
}
