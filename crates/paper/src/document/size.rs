//! Sizes of paper.
//!
//! What it owns: width and height of the two sizes, and the room the margins leave. What comes in: a name.
//! What goes out: points. Not known here: what is set there.

/// Points (1/72 inch) in a millimetre; an inch is 25.4 mm by definition.
const POINTS_PER_MILLIMETRE: f64 = 72.0 / 25.4;

/// Margin on all four sides of paper that stands upright, in points: 16 mm.
const MARGIN: f64 = 16.0 * POINTS_PER_MILLIMETRE;
/// Margin of paper that lies across, in points: 12 mm, still more than a printer leaves white.
const MARGIN_ACROSS: f64 = 12.0 * POINTS_PER_MILLIMETRE;
/// Room for the running head above the text and for the foot below it, in points.
pub(crate) const HEAD: f64 = 18.0;

/// Which way round the paper lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Orientation {
    /// Its short side is its foot.
    #[default]
    Portrait,
    /// Its long side is its foot.
    Landscape,
}

/// A size of paper, and which way round it lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum PageSize {
    /// 210 mm by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 inch by 11 inch (ANSI/ASME Y14.1, size A).
    Letter,
    /// 297 mm by 210 mm.
    A4Landscape,
    /// 11 inch by 8.5 inch.
    LetterLandscape,
}

impl PageSize {
    /// The same paper turned as a document wants it.
    #[must_use]
    pub fn turned(self, orientation: Orientation) -> Self {
        match (self, orientation) {
            (PageSize::A4 | PageSize::A4Landscape, Orientation::Portrait) => PageSize::A4,
            (PageSize::A4 | PageSize::A4Landscape, Orientation::Landscape) => PageSize::A4Landscape,
            (_, Orientation::Portrait) => PageSize::Letter,
            (_, Orientation::Landscape) => PageSize::LetterLandscape,
        }
    }

    /// Width in points.
    #[must_use]
    pub fn width(self) -> f64 {
        match self {
            PageSize::A4 => 210.0 * POINTS_PER_MILLIMETRE,
            PageSize::Letter => 612.0,
            PageSize::A4Landscape => PageSize::A4.height(),
            PageSize::LetterLandscape => PageSize::Letter.height(),
        }
    }

    /// Height in points.
    #[must_use]
    pub fn height(self) -> f64 {
        match self {
            PageSize::A4 => 297.0 * POINTS_PER_MILLIMETRE,
            PageSize::Letter => 792.0,
            PageSize::A4Landscape => PageSize::A4.width(),
            PageSize::LetterLandscape => PageSize::Letter.width(),
        }
    }

    /// White on all four sides, in points.
    pub(crate) fn margin(self) -> f64 {
        match self {
            PageSize::A4 | PageSize::Letter => MARGIN,
            PageSize::A4Landscape | PageSize::LetterLandscape => MARGIN_ACROSS,
        }
    }

    /// Points from the left edge to the text.
    #[must_use]
    pub fn text_left(self) -> f64 {
        self.margin()
    }

    /// Width of the text in points.
    #[must_use]
    pub fn text_width(self) -> f64 {
        self.width() - 2.0 * self.margin()
    }

    /// Points from the upper edge to the text.
    #[must_use]
    pub fn text_top(self) -> f64 {
        self.margin() + HEAD
    }

    /// Points from the upper edge to the end of the text.
    #[must_use]
    pub fn text_bottom(self) -> f64 {
        self.height() - self.margin() - HEAD
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paper_is_as_large_as_its_standard_says() {
        // 210 mm / 25.4 mm times 72 is 595.2756, 297 mm gives 841.8898; half of the last figure is the rounding.
        assert!((PageSize::A4.width() - 595.2756).abs() <= 5e-5);
        assert!((PageSize::A4.height() - 841.8898).abs() <= 5e-5);
        // 8.5 in and 11 in times 72: exact.
        assert!((PageSize::Letter.width() - 8.5 * 72.0).abs() <= 1e-9);
        assert!((PageSize::Letter.height() - 11.0 * 72.0).abs() <= 1e-9);
    }

    #[test]
    fn turned_paper_has_its_sides_exchanged() {
        for size in [PageSize::A4, PageSize::Letter] {
            let turned = size.turned(Orientation::Landscape);
            assert!((turned.width() - size.height()).abs() <= 1e-9);
            assert!((turned.height() - size.width()).abs() <= 1e-9);
            assert_eq!(turned.turned(Orientation::Portrait), size);
        }
    }
}
