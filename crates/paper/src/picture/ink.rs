//! Ink levels, line widths and line styles.
//!
//! What it owns: the few named greys and the one accent, and what each is in red, green and blue.
//! What comes in: a name. What goes out: three bytes. What it refuses to know: shapes.
//!
//! The greys are far enough apart to survive a black-and-white copier; the accent is a dark blue that
//! prints as a dark grey. A meaning is carried by shape, dash or words as well, never by ink alone.

/// A named level of ink.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Ink {
    /// Full black: text and what matters.
    #[default]
    Black,
    /// Dark grey: secondary text, axis rules.
    Dark,
    /// Mid grey: hairlines between rows.
    Mid,
    /// Light grey: bars behind a marker.
    Light,
    /// A faint tint: the ground of a band or a heading row.
    Tint,
    /// The bare paper, to clear the ground under a mark.
    Paper,
    /// Dark blue, which prints as dark grey.
    Accent,
}

impl Ink {
    /// Red, green and blue, 0 to 255 each.
    #[must_use]
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Ink::Black => [0x11, 0x11, 0x11],
            Ink::Dark => [0x4a, 0x4a, 0x4a],
            Ink::Mid => [0x8c, 0x8c, 0x8c],
            Ink::Light => [0xc4, 0xc4, 0xc4],
            Ink::Tint => [0xef, 0xef, 0xec],
            Ink::Paper => [0xff, 0xff, 0xff],
            Ink::Accent => [0x1d, 0x4e, 0x79],
        }
    }

    /// The same as `#rrggbb`.
    #[must_use]
    pub fn hex(self) -> String {
        let [red, green, blue] = self.rgb();
        format!("#{red:02x}{green:02x}{blue:02x}")
    }
}

/// Whether a line is whole or broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Dash {
    /// An unbroken line.
    #[default]
    Solid,
    /// Dashes of six line widths (at least 3 points).
    Dashed,
    /// Short dots.
    Dotted,
}

impl Dash {
    /// Lengths in points of mark and gap for a line of this width; nothing for an unbroken line.
    #[must_use]
    pub fn lengths(self, width: f64) -> Option<[f64; 2]> {
        match self {
            Dash::Solid => None,
            Dash::Dashed => Some([(6.0 * width).max(3.0), (3.5 * width).max(2.0)]),
            Dash::Dotted => Some([width.max(0.6), (2.5 * width).max(1.6)]),
        }
    }
}

/// Ink, width and style of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Colour of the line.
    pub ink: Ink,
    /// Width in points.
    pub width: f64,
    /// Whole or broken.
    pub dash: Dash,
}

impl Pen {
    /// An unbroken line of the given ink and width in points.
    #[must_use]
    pub fn new(ink: Ink, width: f64) -> Self {
        Pen {
            ink,
            width,
            dash: Dash::Solid,
        }
    }

    /// The finest line used: 0.4 point, mid grey.
    #[must_use]
    pub fn hairline() -> Self {
        Pen::new(Ink::Mid, 0.4)
    }

    /// The rule above and below a table: 0.8 point, black.
    #[must_use]
    pub fn rule() -> Self {
        Pen::new(Ink::Black, 0.8)
    }

    /// The same pen with another style.
    #[must_use]
    pub fn dashed(self, dash: Dash) -> Self {
        Pen { dash, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn greys_stay_apart_on_a_copier() {
        let greys = [Ink::Black, Ink::Dark, Ink::Mid, Ink::Light, Ink::Tint];
        for pair in greys.windows(2) {
            // 40 of 255 steps is about one sixth of the way from black to white.
            let (darker, lighter) = (pair[0].rgb()[0], pair[1].rgb()[0]);
            assert!(darker + 40 <= lighter, "{pair:?}");
        }
    }

    #[test]
    fn only_a_broken_line_has_gaps() {
        assert_eq!(Dash::Solid.lengths(1.0), None);
        for dash in [Dash::Dashed, Dash::Dotted] {
            let [mark, gap] = dash.lengths(0.0).unwrap();
            assert!(mark > 0.0 && gap > 0.0);
        }
        assert_eq!(Ink::Paper.hex(), "#ffffff");
    }
}
