//! The plain shapes a picture is made of.
//!
//! What it owns: their measures and how they are moved and scaled. What comes in: points, widths, labels.
//! What goes out: the shape itself. Not known here: how a back-end draws it.

use super::hatch::hatching;
use super::{Ink, Label, Pen};

/// A place in points, x to the right and y downwards.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point {
    /// Points to the right of the left edge.
    pub x: f64,
    /// Points below the upper edge.
    pub y: f64,
}

impl From<(f64, f64)> for Point {
    fn from((x, y): (f64, f64)) -> Self {
        Point { x, y }
    }
}

/// What the inside of a shape is filled with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Fill {
    /// Nothing: what lies below is seen.
    #[default]
    Open,
    /// A flat ink.
    Flat(Ink),
    /// Slanting lines of that ink (rectangles only; a circle is left open).
    Hatch(Ink),
}

/// The shape of a data mark: shape, not colour, carries the meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarkerKind {
    /// A filled circle.
    Circle,
    /// A filled square.
    Square,
    /// A filled triangle, point up.
    Triangle,
    /// An upright cross of two strokes, turned by 45 degrees.
    Cross,
}

/// One plain shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A straight line.
    Line {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
        /// How it is drawn.
        pen: Pen,
    },
    /// A line through several points.
    Polyline {
        /// The points, in order.
        points: Vec<Point>,
        /// How it is drawn.
        pen: Pen,
    },
    /// A closed, filled area without a border.
    Polygon {
        /// The corners, in order.
        points: Vec<Point>,
        /// The filling.
        ink: Ink,
    },
    /// An upright rectangle.
    Rectangle {
        /// Upper left corner.
        corner: Point,
        /// Width in points.
        width: f64,
        /// Height in points.
        height: f64,
        /// The filling.
        fill: Fill,
        /// The border, if any.
        pen: Option<Pen>,
    },
    /// A circle.
    Circle {
        /// The centre.
        centre: Point,
        /// Radius in points.
        radius: f64,
        /// The filling.
        fill: Fill,
        /// The border, if any.
        pen: Option<Pen>,
    },
    /// A data mark.
    Marker {
        /// The centre.
        at: Point,
        /// Its shape.
        kind: MarkerKind,
        /// Breadth in points.
        size: f64,
        /// Its colour.
        ink: Ink,
    },
    /// A text.
    Text(Label),
}

impl From<Label> for Shape {
    fn from(label: Label) -> Self {
        Shape::Text(label)
    }
}

impl Shape {
    /// A straight line.
    pub(crate) fn line(from: impl Into<Point>, to: impl Into<Point>, pen: Pen) -> Shape {
        Shape::Line {
            from: from.into(),
            to: to.into(),
            pen,
        }
    }

    /// The text, of a shape that is one.
    pub fn label(&self) -> Option<&Label> {
        match self {
            Shape::Text(label) => Some(label),
            _ => None,
        }
    }

    /// The plainer shapes that a back-end draws for a marker, or over the outline of a hatched
    /// rectangle; none for any other shape.
    pub(crate) fn parts(&self) -> Vec<Shape> {
        match self {
            Shape::Marker {
                at,
                kind,
                size,
                ink,
            } => marker(*at, *kind, *size, *ink),
            Shape::Rectangle {
                corner,
                width,
                height,
                fill: Fill::Hatch(ink),
                ..
            } => {
                let pen = Pen::new(*ink, 0.4);
                let lines = hatching(*corner, *width, *height).into_iter();
                lines.map(|(from, to)| Shape::line(from, to, pen)).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The same shape, first scaled about the origin by `scale`, then moved by `(dx, dy)` points.
    #[must_use]
    pub fn placed(&self, scale: f64, dx: f64, dy: f64) -> Shape {
        let place = |point: &mut Point| {
            point.x = point.x * scale + dx;
            point.y = point.y * scale + dy;
        };
        let thicken = |pen: &mut Pen| pen.width *= scale;
        let mut shape = self.clone();
        match &mut shape {
            Shape::Line { from, to, pen } => {
                place(from);
                place(to);
                thicken(pen);
            }
            Shape::Polyline { points, pen } => {
                points.iter_mut().for_each(place);
                thicken(pen);
            }
            Shape::Polygon { points, .. } => points.iter_mut().for_each(place),
            Shape::Rectangle {
                corner,
                width,
                height,
                pen,
                ..
            } => {
                place(corner);
                *width *= scale;
                *height *= scale;
                pen.iter_mut().for_each(thicken);
            }
            Shape::Circle {
                centre,
                radius,
                pen,
                ..
            } => {
                place(centre);
                *radius *= scale;
                pen.iter_mut().for_each(thicken);
            }
            Shape::Marker { at, size, .. } | Shape::Text(Label { at, size, .. }) => {
                place(at);
                *size *= scale;
            }
        }
        shape
    }
}

/// The same shapes, each [placed](Shape::placed).
pub(crate) fn placed(
    shapes: &[Shape],
    scale: f64,
    dx: f64,
    dy: f64,
) -> impl Iterator<Item = Shape> + '_ {
    shapes.iter().map(move |shape| shape.placed(scale, dx, dy))
}

/// A data mark as plainer shapes.
fn marker(at: Point, kind: MarkerKind, size: f64, ink: Ink) -> Vec<Shape> {
    let offsets: &[(f64, f64)] = match kind {
        MarkerKind::Square => &[(-0.88, -0.88), (0.88, -0.88), (0.88, 0.88), (-0.88, 0.88)],
        MarkerKind::Triangle => &[(0.0, -1.1), (1.1, 0.85), (-1.1, 0.85)],
        MarkerKind::Circle => {
            return vec![Shape::Circle {
                centre: at,
                radius: size / 2.0,
                fill: Fill::Flat(ink),
                pen: None,
            }]
        }
        MarkerKind::Cross => {
            let (half, pen) = (size * 0.45, Pen::new(ink, size * 0.22));
            let stroke = |turn: f64| {
                Shape::line((at.x - half, at.y - turn), (at.x + half, at.y + turn), pen)
            };
            return [half, -half].map(stroke).into();
        }
    };
    let half = size / 2.0;
    let corner = |(x, y): &(f64, f64)| Point {
        x: at.x + x * half,
        y: at.y + y * half,
    };
    let points = offsets.iter().map(corner).collect();
    vec![Shape::Polygon { points, ink }]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn placing_scales_before_it_moves() {
        let shape = Shape::Circle {
            centre: Point { x: 2.0, y: 3.0 },
            radius: 1.0,
            fill: Fill::Open,
            pen: None,
        };
        let placed = shape.placed(2.0, 10.0, 20.0);
        let want = Shape::Circle {
            centre: Point { x: 14.0, y: 26.0 },
            radius: 2.0,
            fill: Fill::Open,
            pen: None,
        };
        assert_eq!(placed, want);
    }

    #[test]
    fn markers_have_shapes_of_their_own() {
        let corners = |kind| match marker(Point::default(), kind, 6.0, Ink::Black).as_slice() {
            [Shape::Polygon { points, .. }] => Some(points.len()),
            _ => None,
        };
        assert_eq!(corners(MarkerKind::Triangle), Some(3));
        assert_eq!(corners(MarkerKind::Square), Some(4));
        assert_eq!(corners(MarkerKind::Cross), None);
    }
}
