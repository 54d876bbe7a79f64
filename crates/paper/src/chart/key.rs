//! The key below a chart: a sign and the words for it.
//!
//! What it owns: the signs and their row. What comes in: signs with words. What goes out: the row drawn into
//! a picture. Not known here: the chart above.

use super::{DROP, LEAD, TYPE};
use crate::font::{text_width, Weight};
use crate::picture::{Dash, Fill, Ink, Label, MarkerKind, Pen, Picture};

/// A sign that a key explains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// A data mark.
    Marker(MarkerKind),
    /// Two dashed strokes.
    Limits,
}

/// A sign and the words for it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Key {
    /// The sign.
    pub sign: Sign,
    /// What it stands for.
    pub words: String,
}

/// Breadth of the room for a sign.
const ROOM: f64 = 20.0;

/// Draws the row from `(left, top)` on, in as many lines as it needs; returns its height in points.
pub(crate) fn draw(picture: &mut Picture, keys: &[Key], left: f64, top: f64) -> f64 {
    let mut x = left;
    let mut y = top + LEAD / 2.0;
    for Key { sign, words } in keys {
        let width = ROOM + text_width(words, TYPE, Weight::Regular) + 14.0;
        if x > left && x + width > picture.width {
            x = left;
            y += LEAD + 2.0;
        }
        let middle = x + ROOM / 2.0 - 2.0;
        match sign {
            Sign::Marker(kind) => picture.marker((middle, y), *kind, 6.0),
            Sign::Limits => {
                limit(picture, middle - 6.0, y, 6.0);
                limit(picture, middle + 6.0, y, 6.0);
            }
        }
        picture.add(Label::new((x + ROOM, y + DROP), words.clone(), TYPE).inked(Ink::Dark));
        x += width;
    }
    if keys.is_empty() {
        0.0
    } else {
        y - top + LEAD
    }
}

/// A bar between two end strokes.
pub(crate) fn interval(picture: &mut Picture, from: f64, to: f64, y: f64) {
    let fill = Fill::Flat(Ink::Mid);
    picture.rectangle((from, y - 2.0), (to - from, 4.0), fill, None);
    for x in [from, to] {
        picture.line((x, y - 4.5), (x, y + 4.5), Pen::new(Ink::Dark, 0.8));
    }
}

/// A dashed stroke across a row.
pub(crate) fn limit(picture: &mut Picture, x: f64, y: f64, half: f64) {
    let pen = Pen::new(Ink::Accent, 1.0).dashed(Dash::Dotted);
    picture.line((x, y - half), (x, y + half), pen);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_key_goes_on_in_the_next_line() {
        let key = Key {
            sign: Sign::Marker(MarkerKind::Circle),
            words: "read with the set's own meter".into(),
        };
        let mut picture = Picture::new(200.0, 100.0, "");
        let one = draw(&mut picture, std::slice::from_ref(&key), 0.0, 0.0);
        let limits = Key {
            sign: Sign::Limits,
            ..key.clone()
        };
        let three = draw(&mut picture, &[key.clone(), limits, key], 0.0, 0.0);
        assert!(three > one && one > 0.0);
        assert!(draw(&mut picture, &[], 0.0, 0.0).abs() <= 1e-12);
    }
}
