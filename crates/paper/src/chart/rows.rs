//! What charts of rows share: widths of columns, words about the middle of a row, words at the ends of a scale.
//!
//! What comes in: words and places in points. What goes out: widths, and labels in a picture. Not known here:
//! what a row shows.

use super::{DROP, LEAD, TYPE};
use crate::font::{text_width, Weight};
use crate::picture::{Ink, Label, Pen, Picture, TextAnchor};
use crate::text::Text;
use crate::wrap::{wrap, Line};

/// Width in points of the widest of these words; 0 without any.
pub(super) fn widest<'a>(words: impl IntoIterator<Item = &'a String>, weight: Weight) -> f64 {
    let widths = words
        .into_iter()
        .map(|words| text_width(words, TYPE, weight));
    widths.fold(0.0, f64::max)
}

/// A bold name and, in its next lines, what stands below it, both wrapped.
pub(super) fn name_lines(label: &str, below: Option<&str>, width: f64) -> Vec<Line> {
    let width = width.max(1.0);
    let mut lines = wrap(&Text::default().bold(label), TYPE, width);
    lines.extend(
        below
            .into_iter()
            .flat_map(|below| wrap(&below.into(), TYPE, width)),
    );
    lines
}

/// The base line of each of these lines, which stand about a middle line.
fn bases(lines: &[Line], middle: f64) -> impl Iterator<Item = (f64, &Line)> {
    let top = middle - lines.len() as f64 * LEAD / 2.0;
    let each = lines.iter().enumerate();
    each.map(move |(n, line)| (top + (n as f64 + 0.5) * LEAD + DROP, line))
}

/// Lines about a middle line, each piece in its weight.
pub(super) fn set(picture: &mut Picture, lines: &[Line], x: f64, middle: f64) {
    for (base, line) in bases(lines, middle) {
        for piece in &line.pieces {
            let label = Label::new((x + piece.x, base), piece.text.clone(), TYPE);
            picture.add(label.weighted(piece.weight));
        }
    }
}

/// Regular lines about a middle line, each one label.
pub(super) fn set_plain(
    picture: &mut Picture,
    lines: &[Line],
    (x, anchor): (f64, TextAnchor),
    middle: f64,
) {
    for (base, line) in bases(lines, middle) {
        picture.add(Label::new((x, base), line.text(), TYPE).anchored(anchor));
    }
}

/// The line of a scale with words beyond both ends.
pub(super) fn scale(
    picture: &mut Picture,
    (from, to): (f64, f64),
    ends: &[String; 2],
    y: f64,
    pen: f64,
) {
    picture.line((from, y), (to, y), Pen::new(Ink::Dark, pen));
    for (words, x, anchor) in [
        (&ends[0], from - 5.0, TextAnchor::End),
        (&ends[1], to + 5.0, TextAnchor::Start),
    ] {
        let label = Label::new((x, y + DROP), words.clone(), TYPE);
        picture.add(label.anchored(anchor).inked(Ink::Dark));
    }
}
