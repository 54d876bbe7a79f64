//! A text on one line.
//!
//! What it owns: its type and its anchor. What comes in: words and a place. What goes out:
//! the label, and where its first letter begins. Not known here: how a back-end draws it.

use super::{Ink, Point};
use crate::font::{text_width, Weight};

/// Which part of a text stands at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum TextAnchor {
    /// The text begins at the point.
    #[default]
    Start,
    /// The text is centred on the point.
    Middle,
    /// The text ends at the point.
    End,
}

/// A text on one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Where the foot of the letters (the base line) and the anchor meet.
    pub at: Point,
    /// The text.
    pub text: String,
    /// Type size in points.
    pub size: f64,
    /// Weight of the letters.
    pub weight: Weight,
    /// Which part of the text stands at `at`.
    pub anchor: TextAnchor,
    /// Colour of the letters.
    pub ink: Ink,
}

impl Label {
    /// A regular, black text that begins at the point.
    #[must_use]
    pub fn new(at: impl Into<Point>, text: impl Into<String>, size: f64) -> Self {
        Label {
            at: at.into(),
            text: text.into(),
            size,
            weight: Weight::Regular,
            anchor: TextAnchor::Start,
            ink: Ink::Black,
        }
    }

    /// The same text in bold.
    #[must_use]
    pub fn bold(self) -> Self {
        self.weighted(Weight::Bold)
    }

    /// The same text in another weight.
    #[must_use]
    pub fn weighted(self, weight: Weight) -> Self {
        Label { weight, ..self }
    }

    /// The same text in another ink.
    #[must_use]
    pub fn inked(self, ink: Ink) -> Self {
        Label { ink, ..self }
    }

    /// The same text, anchored otherwise.
    #[must_use]
    pub fn anchored(self, anchor: TextAnchor) -> Self {
        Label { anchor, ..self }
    }

    /// Width of the text in points.
    #[must_use]
    pub fn width(&self) -> f64 {
        text_width(&self.text, self.size, self.weight)
    }

    /// The point where the first letter begins, after the anchor has been reckoned with.
    #[must_use]
    pub fn start(&self) -> Point {
        let back = match self.anchor {
            TextAnchor::Start => 0.0,
            TextAnchor::Middle => self.width() / 2.0,
            TextAnchor::End => self.width(),
        };
        Point {
            x: self.at.x - back,
            y: self.at.y,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_anchored_text_begins_its_width_before_the_point() {
        let label = Label::new((100.0, 50.0), "Ω", 10.0).anchored(TextAnchor::End);
        let gone = 100.0 - label.start().x;
        // The same sum taken twice: equal up to float rounding.
        assert!((gone - label.width()).abs() <= 1e-9);
    }
}
