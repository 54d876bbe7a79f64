//! Ink levels, line widths and line styles.
//!
//! What it owns: the few named greys and the one accent, and what each is in red, green and blue.
//! What comes in: a name. What goes out: three bytes. Not known here: shapes.
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
    /// On paper, and on a dark screen.
    fn shades(self) -> ([u8; 3], [u8; 3]) {
        match self {
            Ink::Black => ([0x11, 0x11, 0x11], [0xf2, 0xf2, 0xf2]),
            Ink::Dark => ([0x4a, 0x4a, 0x4a], [0xc8, 0xc8, 0xc8]),
            Ink::Mid => ([0x8c, 0x8c, 0x8c], [0x8c, 0x8c, 0x8c]),
            Ink::Light => ([0xc4, 0xc4, 0xc4], [0x50, 0x50, 0x50]),
            Ink::Tint => ([0xef, 0xef, 0xec], [0x2a, 0x2a, 0x2a]),
            Ink::Paper => ([0xff, 0xff, 0xff], [0x16, 0x16, 0x16]),
            Ink::Accent => ([0x1d, 0x4e, 0x79], [0x8e, 0xc1, 0xf0]),
        }
    }

    /// Red, green and blue, 0 to 255 each.
    #[must_use]
    pub fn rgb(self) -> [u8; 3] {
        self.shades().0
    }

    /// Every level.
    pub const ALL: [Ink; 7] = [
        Ink::Black,
        Ink::Dark,
        Ink::Mid,
        Ink::Light,
        Ink::Tint,
        Ink::Paper,
        Ink::Accent,
    ];

    /// The same on a dark screen, where the paper is nearly black.
    #[must_use]
    pub fn dark_rgb(self) -> [u8; 3] {
        self.shades().1
    }

    /// The same as `#rrggbb`.
    #[must_use]
    pub fn hex(self) -> String {
        hex(self.rgb())
    }

    /// The same on a dark screen as `#rrggbb`.
    #[must_use]
    pub fn dark_hex(self) -> String {
        hex(self.dark_rgb())
    }
}

fn hex([red, green, blue]: [u8; 3]) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
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

    /// Relative luminance (Web Content Accessibility Guidelines 2.2, "relative luminance"; from memory).
    fn luminance(rgb: [u8; 3]) -> f64 {
        let linear = |byte: u8| {
            let c = f64::from(byte) / 255.0;
            match c <= 0.04045 {
                true => c / 12.92,
                false => ((c + 0.055) / 1.055).powf(2.4),
            }
        };
        let [r, g, b] = rgb.map(linear);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    /// Contrast ratio (the same, "contrast ratio").
    fn contrast(a: [u8; 3], b: [u8; 3]) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn letters_and_marks_stand_out_from_every_ground_on_light_and_on_dark() {
        // Black on white is 21 to 1 by definition of the ratio.
        assert!((contrast([0; 3], [255; 3]) - 21.0).abs() <= 1e-9);
        for rgb in [Ink::rgb as fn(Ink) -> [u8; 3], Ink::dark_rgb] {
            // Success criteria 1.4.3 (4.5 to 1 for text) and 1.4.11 (3 to 1 for graphical objects).
            for ground in [Ink::Paper, Ink::Tint] {
                for letters in [Ink::Black, Ink::Dark, Ink::Accent] {
                    let got = contrast(rgb(letters), rgb(ground));
                    assert!(got >= 4.5, "{letters:?} on {ground:?}: {got}");
                }
            }
            for mark in [Ink::Black, Ink::Dark, Ink::Mid, Ink::Accent] {
                let got = contrast(rgb(mark), rgb(Ink::Paper));
                assert!(got >= 3.0, "{mark:?}: {got}");
            }
            // Numbers on a black disc.
            assert!(contrast(rgb(Ink::Paper), rgb(Ink::Black)) >= 4.5);
        }
    }

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
