//! The two embedded faces, and the measuring of text with them.
//!
//! What it owns: the font files, the advance width of every letter, and what is shown for a letter that
//! the faces do not hold. What comes in: text, a size in points, a weight. What goes out: widths in points
//! and glyph numbers. Not known here: lines, pages, colours.
//!
//! One glyph stands for one character. That is enough for Latin, Greek and technical signs; scripts that
//! need joined letters would need a shaping engine, which this crate does without.

use std::sync::OnceLock;

use ttf_parser::{Face, GlyphId};

/// The bytes of the regular face.
pub(crate) const REGULAR: &[u8] = include_bytes!("../fonts/DejaVuSansCondensed.ttf");
/// The bytes of the bold face.
pub(crate) const BOLD: &[u8] = include_bytes!("../fonts/DejaVuSansCondensed-Bold.ttf");

/// Shown where a face has no glyph of its own: an empty square, so that the gap is seen.
const MISSING: char = '□';

/// Height of capitals and figures as a part of the type size (measured from the letter H of the face).
pub(crate) const CAPITAL: f64 = 0.73;

/// How heavy the letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Weight {
    /// The ordinary face.
    #[default]
    Regular,
    /// The bold face.
    Bold,
}

/// One glyph, ready to be placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Glyph {
    /// Number of the glyph in its face.
    pub id: u32,
    /// Advance width as a part of the type size.
    pub advance: f64,
}

fn face(weight: Weight) -> Option<&'static Face<'static>> {
    static REGULAR_FACE: OnceLock<Option<Face<'static>>> = OnceLock::new();
    static BOLD_FACE: OnceLock<Option<Face<'static>>> = OnceLock::new();
    let (slot, bytes) = match weight {
        Weight::Regular => (&REGULAR_FACE, REGULAR),
        Weight::Bold => (&BOLD_FACE, BOLD),
    };
    slot.get_or_init(|| Face::parse(bytes, 0).ok()).as_ref()
}

/// The glyph that stands for a character; the empty square where the face has none.
pub(crate) fn glyph(character: char, weight: Weight) -> Glyph {
    // Half the type size keeps the layout sane even if a face could not be read; drawing then fails with an error.
    let unreadable = Glyph {
        id: 0,
        advance: 0.5,
    };
    let Some(face) = face(weight) else {
        return unreadable;
    };
    let own = face.glyph_index(character);
    let id = own.or_else(|| face.glyph_index(MISSING));
    let id = id.unwrap_or(GlyphId(0));
    // Widths are in units of the face; so many of them are one type size.
    let advance = face
        .glyph_hor_advance(id)
        .map_or(unreadable.advance, |units| {
            f64::from(units) / f64::from(face.units_per_em())
        });
    Glyph {
        id: u32::from(id.0),
        advance,
    }
}

/// Width in points of a text set on one line at `size` points.
///
/// Line breaks and other control characters count as a space, which is how they are drawn.
#[must_use]
pub fn text_width(text: &str, size: f64, weight: Weight) -> f64 {
    text.chars().map(|c| character_width(c, size, weight)).sum()
}

/// Width in points of one character.
pub(crate) fn character_width(character: char, size: f64, weight: Weight) -> f64 {
    size * glyph(drawable(character), weight).advance
}

/// The character as it can be drawn and written into XML: control characters become a space,
/// the two code points that XML forbids become the empty square.
pub(crate) fn drawable(character: char) -> char {
    match character {
        '\u{FFFE}' | '\u{FFFF}' => MISSING,
        c if c.is_control() => ' ',
        c => c,
    }
}

/// The text as it can be drawn and written into XML.
pub(crate) fn drawable_text(text: &str) -> String {
    text.chars().map(drawable).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether the embedded face holds a glyph of its own for this character.
    fn has_glyph(character: char, weight: Weight) -> bool {
        face(weight).is_some_and(|face| face.glyph_index(character).is_some())
    }

    #[test]
    fn both_faces_have_every_sign_in_use() {
        for sign in "Ωµμ±×÷√Δ°≈≤≥−–—☐☑✓½▲▼●■αβφπ▁▂▃▄▅▆▇█…□⚠".chars()
        {
            for weight in [Weight::Regular, Weight::Bold] {
                assert!(has_glyph(sign, weight), "no {sign} in {weight:?}");
            }
        }
    }

    #[test]
    fn figures_are_all_of_one_width_so_that_columns_line_up() {
        let nought = text_width("0", 10.0, Weight::Regular);
        for figure in "123456789".chars() {
            let width = text_width(&figure.to_string(), 10.0, Weight::Regular);
            // Widths are exact multiples of a font unit; only the float sum may differ.
            assert!(
                (width - nought).abs() <= 1e-9,
                "{figure}: {width} against {nought}"
            );
        }
    }

    #[test]
    fn bold_is_wider_and_a_missing_letter_takes_the_room_of_the_square() {
        let regular = text_width("Cathode", 10.0, Weight::Regular);
        assert!(text_width("Cathode", 10.0, Weight::Bold) > regular);
        assert!(!has_glyph('\u{4E2D}', Weight::Regular));
        assert_eq!(
            glyph('\u{4E2D}', Weight::Regular),
            glyph(MISSING, Weight::Regular)
        );
    }

    #[test]
    fn control_characters_become_spaces() {
        assert_eq!(drawable_text("a\tb\u{0}c\u{FFFF}"), "a b c□");
    }

    #[test]
    fn capitals_are_as_high_as_stated() {
        let face = face(Weight::Regular).unwrap();
        let letter = face.glyph_index('H').unwrap();
        let top = face.glyph_bounding_box(letter).unwrap().y_max;
        let height = f64::from(top) / f64::from(face.units_per_em());
        // A hundredth of the type size is a tenth of a point at 10 points: not seen on paper.
        assert!((height - CAPITAL).abs() <= 0.01, "{height}");
    }
}
