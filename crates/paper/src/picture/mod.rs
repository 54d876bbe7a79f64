//! A picture: a size, an accessible title and description, and a list of plain shapes.
//!
//! What it owns: the list and its coordinates. What comes in: shapes in points (1/72 inch), x to the right,
//! y downwards from the upper left corner. What goes out: the same list, moved or scaled, for a back-end to
//! draw. Not known here: axes, numbers, pages, and the language of any file.

mod hatch;
mod ink;
mod label;
mod shape;

pub use ink::{Dash, Ink, Pen};
pub use label::{Label, TextAnchor};
pub(crate) use shape::placed;
pub use shape::{Fill, MarkerKind, Point, Shape};

use crate::chart::{LEAD, TYPE};
use crate::text::Text;
use crate::wrap::wrap;

/// Type size of a picture's title, in points.
const HEADING: f64 = 13.0;
/// White between the heading of a picture and the picture, in points.
const BELOW_HEADING: f64 = 6.0;

/// A drawing made of plain shapes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Picture {
    /// Width in points.
    pub width: f64,
    /// Height in points.
    pub height: f64,
    /// What the picture is, in a few words; read out where the picture cannot be seen.
    pub title: String,
    /// What the picture shows, in a sentence or two; may be empty.
    pub description: String,
    /// The shapes, drawn first to last.
    pub shapes: Vec<Shape>,
}

impl Picture {
    /// An empty picture of the given size in points.
    #[must_use]
    pub fn new(width: f64, height: f64, title: impl Into<String>) -> Self {
        Picture {
            width,
            height,
            title: title.into(),
            description: String::new(),
            shapes: Vec::new(),
        }
    }

    /// The same picture with a description.
    #[must_use]
    pub fn described(mut self, description: impl Into<String>) -> Self {
        self.description = description.into();
        self
    }

    /// Adds a rectangle by its upper left corner, its width and its height.
    pub fn rectangle(
        &mut self,
        corner: impl Into<Point>,
        (width, height): (f64, f64),
        fill: Fill,
        pen: Option<Pen>,
    ) {
        self.add(Shape::Rectangle {
            corner: corner.into(),
            width,
            height,
            fill,
            pen,
        });
    }

    /// The text that is read out instead of the picture.
    #[must_use]
    pub fn spoken(&self) -> String {
        let told = [self.title.trim_end_matches('.'), self.description.as_str()];
        let told: Vec<&str> = told.into_iter().filter(|words| !words.is_empty()).collect();
        match told.is_empty() {
            true => "picture".to_owned(),
            false => told.join(". "),
        }
    }

    /// This picture with another to its right, `gap` points apart, both at their tops; keeps its title, and has
    /// the descriptions of both.
    #[must_use]
    pub fn beside(self, right: &Picture, gap: f64) -> Self {
        let from = self.width + gap;
        self.joined(right, from, 0.0)
    }

    /// This picture with another below it, `gap` points apart, both at the left; keeps its title, and has the
    /// descriptions of both.
    #[must_use]
    pub fn above(self, lower: &Picture, gap: f64) -> Self {
        let from = self.height + gap;
        self.joined(lower, 0.0, from)
    }

    /// This picture with another whose upper left corner stands at `(x, y)`.
    fn joined(mut self, other: &Picture, x: f64, y: f64) -> Self {
        self.shapes.extend(placed(&other.shapes, 1.0, x, y));
        self.width = self.width.max(x + other.width);
        self.height = self.height.max(y + other.height);
        let told = [self.description, other.description.clone()];
        self.description = told.join(" ").trim().to_owned();
        self
    }

    /// Pictures in rows no wider than `width`, as many in each as fit `gap` points apart.
    #[must_use]
    pub fn in_rows(pictures: &[Picture], width: f64, gap: f64) -> Vec<Vec<&Picture>> {
        let mut rows: Vec<(f64, Vec<&Picture>)> = Vec::new();
        for picture in pictures {
            match rows.last_mut() {
                Some((taken, row)) if *taken + gap + picture.width <= width => {
                    *taken += gap + picture.width;
                    row.push(picture);
                }
                _ => rows.push((picture.width, vec![picture])),
            }
        }
        rows.into_iter().map(|(_, row)| row).collect()
    }

    /// The same picture below its title, which says what it shows, and a line on its signs.
    #[must_use]
    pub fn headed(self, signs: &str) -> Self {
        let mut headed = Picture::new(self.width, 0.0, self.title.clone());
        let mut y = 0.0;
        let bold = Text::default().bold(self.title.clone());
        for (text, size, lead, ink) in [
            (bold, HEADING, 1.25 * HEADING, Ink::Black),
            (Text::from(signs), TYPE, LEAD, Ink::Dark),
        ] {
            if text.is_empty() {
                continue;
            }
            for line in wrap(&text, size, self.width.max(1.0)) {
                let base = y + 0.8 * lead;
                for piece in &line.pieces {
                    let label = Label::new((piece.x, base), piece.text.clone(), size);
                    headed.add(label.weighted(piece.weight).inked(ink));
                }
                y += lead;
            }
        }
        if y > 0.0 {
            y += BELOW_HEADING;
        }
        headed.shapes.extend(placed(&self.shapes, 1.0, 0.0, y));
        headed.height = y + self.height;
        headed.described(self.description)
    }

    /// Adds a shape on top of the others.
    pub fn add(&mut self, shape: impl Into<Shape>) {
        self.shapes.push(shape.into());
    }

    /// Adds a black data mark of this breadth in points.
    pub fn marker(&mut self, at: impl Into<Point>, kind: MarkerKind, size: f64) {
        self.add(Shape::Marker {
            at: at.into(),
            kind,
            size,
            ink: Ink::Black,
        });
    }

    /// Adds a straight line.
    pub fn line(&mut self, from: impl Into<Point>, to: impl Into<Point>, pen: Pen) {
        self.add(Shape::line(from, to, pen));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_beside_another_is_moved_by_its_width_and_the_gap() {
        let mut left = Picture::new(100.0, 20.0, "left").described("One.");
        left.line((0.0, 0.0), (1.0, 0.0), Pen::hairline());
        let mut right = left.clone().described("Two.");
        right.height = 30.0;
        let both = left.beside(&right, 8.0);
        // 100 + 8 + 100 and so on: whole numbers, exact but for float equality.
        assert!((both.width - 208.0).abs() <= 1e-9 && (both.height - 30.0).abs() <= 1e-9);
        assert!(
            matches!(&both.shapes[1], Shape::Line { from, .. } if (from.x - 108.0).abs() <= 1e-9)
        );
        assert_eq!(both.description, "One. Two.");
    }

    #[test]
    fn shapes_keep_their_order() {
        let mut picture = Picture::new(10.0, 20.0, "two lines").described("one over the other");
        picture.line((0.0, 0.0), (1.0, 0.0), Pen::hairline());
        picture.line((0.0, 5.0), (1.0, 5.0), Pen::rule());
        assert_eq!(picture.shapes.len(), 2);
        assert!(matches!(&picture.shapes[1], Shape::Line { from, .. } if from.y > 4.0));
    }
}
