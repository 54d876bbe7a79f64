//! Strips across the page that are never cut.
//!
//! What it owns: the strip, its height, and what it asks of the page break before or after it. What comes in:
//! shapes, with y measured from the top of the strip. What goes out: the same. Not known here: blocks.

use std::ops::Range;
use std::rc::Rc;

use super::spoken::SpokenPart;
use super::{BODY, LEAD};
use crate::font::CAPITAL;
use crate::picture::{placed, Ink, Label, Pen, Shape};
use crate::text::Text;
use crate::wrap::{wrap, Line};

/// The room for text on a page, in points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// From the left edge of the paper to the text.
    pub left: f64,
    /// Width of the text.
    pub width: f64,
    /// Height of the text on one page.
    pub height: f64,
}

/// The room for text in tests.
#[cfg(test)]
pub(crate) const FRAME: Frame = Frame {
    left: 45.0,
    width: 500.0,
    height: 700.0,
};

impl Frame {
    /// From the left edge of the paper to the right edge of the text.
    pub fn right(self) -> f64 {
        self.left + self.width
    }

    /// The same room, made narrower at its two sides.
    pub fn inset(self, left: f64, right: f64) -> Self {
        Frame {
            left: self.left + left,
            width: (self.width - left - right).max(1.0),
            ..self
        }
    }
}

/// A strip across the page that is never cut.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Strip {
    /// Height in points.
    pub height: f64,
    /// Points of white above it, dropped at the top of a page.
    pub space: f64,
    /// What is drawn in it.
    pub shapes: Vec<Shape>,
    /// Whether it must stand on the same page as the next one.
    pub keep: bool,
    /// Whether it may be left out if what it keeps with fits on the page without it.
    pub spare: bool,
    /// Whether it begins a new page.
    pub new_page: bool,
    /// What is set again above it where it begins a page.
    pub repeat: Option<Rc<Vec<Strip>>>,
    /// Level and words of the heading it holds.
    pub bookmark: Option<(u8, String)>,
    /// Number of the block it is part of, in the order of the document.
    pub block: usize,
    /// What the shapes are, each run by the number of its first shape and that behind its last.
    pub spoken: Vec<(Range<usize>, SpokenPart)>,
}

impl Strip {
    /// An empty strip of this height in points.
    pub fn new(height: f64) -> Self {
        Strip {
            height,
            ..Strip::default()
        }
    }

    /// Adds shapes that are read out as one part.
    pub fn say(&mut self, part: SpokenPart, shapes: impl IntoIterator<Item = Shape>) {
        let from = self.shapes.len();
        self.shapes.extend(shapes);
        self.spoken.push((from..self.shapes.len(), part));
    }

    /// Draws a line across the text, so many points below the top of the strip; it is not read out.
    pub fn across(&mut self, y: f64, pen: Pen, frame: Frame) {
        let ends = ((frame.left, y), (frame.right(), y));
        self.shapes.push(Shape::line(ends.0, ends.1, pen));
    }

    /// Puts a shape below all others; it is not read out.
    pub fn underlay(&mut self, shape: Shape) {
        for (run, _) in &mut self.spoken {
            *run = run.start + 1..run.end + 1;
        }
        self.shapes.insert(0, shape);
    }

    /// Moves what it holds down, and makes it higher by as much.
    pub fn lower(&mut self, by: f64) {
        self.height += by;
        self.shapes = placed(&self.shapes, 1.0, 0.0, by).collect();
    }
}

/// Type size, distance of the base lines (both in points) and ink.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Setting {
    pub size: f64,
    pub lead: f64,
    pub ink: Ink,
}

impl Setting {
    /// Type of this size on lines this far apart.
    pub const fn new(size: f64, lead: f64, ink: Ink) -> Self {
        Setting { size, lead, ink }
    }

    /// From the top of a line to its base line, so that capitals stand in the middle.
    pub fn base(self) -> f64 {
        (self.lead + CAPITAL * self.size) / 2.0
    }
}

/// The shapes of one line whose left end stands at `x` and whose base line at `y`.
pub(crate) fn set_line(
    line: &Line,
    x: f64,
    y: f64,
    setting: Setting,
) -> impl Iterator<Item = Shape> + '_ {
    let last = line.pieces.len().saturating_sub(1);
    line.pieces.iter().enumerate().map(move |(n, piece)| {
        // The space that the break replaced is set too, so that copied text contains it.
        let space = if n == last && line.goes_on { " " } else { "" };
        let words = format!("{}{space}", piece.text);
        let label = Label::new((x + piece.x, y), words, setting.size);
        Shape::from(label.weighted(piece.weight).inked(setting.ink))
    })
}

/// A text as one strip for each line.
pub(crate) fn lines(text: &Text, frame: Frame, setting: Setting) -> Vec<Strip> {
    said(text, frame, setting, &SpokenPart::Paragraph(0))
}

/// The same, read out as this part.
pub(crate) fn said(text: &Text, frame: Frame, setting: Setting, part: &SpokenPart) -> Vec<Strip> {
    wrap(text, setting.size, frame.width)
        .iter()
        .map(|line| {
            let mut strip = Strip::new(setting.lead);
            let shapes = set_line(line, frame.left, setting.base(), setting);
            strip.say(part.clone(), shapes);
            strip
        })
        .collect()
}

/// Keeps the first two and the last two strips together, so that no line is left alone on a page.
pub(crate) fn keep_ends(strips: &mut [Strip]) {
    let count = strips.len();
    for n in [0, count.saturating_sub(2)] {
        if let Some(strip) = strips.get_mut(n).filter(|_| n + 1 < count) {
            strip.keep = true;
        }
    }
}

/// Keeps all strips on one page; the last one is free of what follows.
pub(crate) fn keep_all(strips: &mut [Strip]) {
    if let Some((_, others)) = strips.split_last_mut() {
        keep_with_next(others);
    }
}

/// Keeps all strips on the page of what follows.
pub(crate) fn keep_with_next(strips: &mut [Strip]) {
    for strip in strips {
        strip.keep = true;
    }
}

pub(crate) const RUNNING_TEXT: Setting = Setting::new(BODY, LEAD, Ink::Black);

/// Items of a list: many short ones, read one by one.
pub(crate) const ITEM: Setting = Setting::new(9.0, 11.7, Ink::Black);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ends_of_a_long_paragraph_are_kept() {
        let mut strips = vec![Strip::new(1.0); 5];
        keep_ends(&mut strips);
        assert_eq!(
            strips.iter().map(|s| s.keep).collect::<Vec<_>>(),
            [true, false, false, true, false]
        );
        let mut single = vec![Strip::new(1.0)];
        keep_ends(&mut single);
        assert!(!single[0].keep);
        keep_ends(&mut []);
        keep_all(&mut []);
    }

    #[test]
    fn a_wrapped_text_gives_a_strip_for_each_line() {
        let frame = Frame {
            left: 50.0,
            width: 60.0,
            height: 700.0,
        };
        let setting = Setting::new(10.0, 13.0, Ink::Black);
        let strips = lines(&"one two three four five six".into(), frame, setting);
        assert!(strips.len() > 1);
        assert!(strips.iter().all(|strip| strip.shapes.len() == 1));
    }
}
