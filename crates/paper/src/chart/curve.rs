//! A chart of curves over a horizontal axis, with a band, marked places and direct labels.
//!
//! What it owns: the layout of plot, axes and labels. What comes in: points and words. What goes out: a
//! picture. Not known here: what the curves mean.

use super::axis::{foot, side, side_width, Axis, Ruler, FOOT};
use super::band::{tint, TintedBand};
use super::clip::{clipped, Window};
use super::ends::end_labels;
use super::marks::{self, Feet, Mark};
use super::rows::widest;
use super::shade::{shade, Shade};
use super::TYPE;
use crate::font::{text_width, Weight};
use crate::picture::{Ink, Label, MarkerKind, Pen, Picture, Point, Shape, TextAnchor};

/// One curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Words at its right end.
    pub label: String,
    /// Its points, x and y, in the order they are joined; one that is not finite leaves a gap.
    pub points: Vec<(f64, f64)>,
    /// How it is drawn; dashes tell curves apart without colour.
    pub pen: Pen,
}

/// A data mark.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dot {
    /// Place on the horizontal axis.
    pub x: f64,
    /// Place on the vertical axis.
    pub y: f64,
    /// Its shape.
    pub kind: MarkerKind,
}

/// A chart of curves.
#[derive(Debug, Clone)]
pub struct CurveChart<'a> {
    /// Accessible title.
    pub title: String,
    /// What its signs mean; set below the title.
    pub subtitle: String,
    /// Accessible description.
    pub description: String,
    /// Width and height of the whole picture in points; it gets higher where labels would leave no plot.
    pub size: (f64, f64),
    /// Horizontal axis.
    pub x: Axis<'a>,
    /// Vertical axis.
    pub y: Axis<'a>,
    /// The curves.
    pub curves: Vec<Curve>,
    /// The tinted range, if any.
    pub band: Option<TintedBand>,
    /// The tinted stretch between two curves, if any.
    pub shade: Option<Shade>,
    /// Marked places on the horizontal axis, named above the plot.
    pub marks: Vec<Mark>,
    /// Marked places that are named below the plot.
    pub feet: Feet,
    /// Data marks.
    pub dots: Vec<Dot>,
}

/// The least height of the plot itself in points.
const LEAST_PLOT: f64 = 110.0;

impl CurveChart<'_> {
    /// The chart as a picture. What lies outside the axes is cut off at the edge of the plot.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let (width, height) = self.size;
        let mut picture =
            Picture::new(width, height, self.title.clone()).described(self.description.clone());
        let curves = self.curves.iter().map(|curve| &curve.label);
        let ends = curves
            .chain(self.band.iter().map(|band| &band.label))
            .chain(self.shade.iter().map(|shade| &shade.label));
        let end_width = widest(ends, Weight::Regular).min(width * 0.3);
        let right = width - end_width - 16.0;
        // The title of the upright axis stands level above it, where it is read without turning the head.
        let marks = marks::levelled(&self.marks, &self.x, (width, right));
        let feet = marks::levelled(&self.feet.marks, &self.x, (width, right));
        let strip = match feet.is_empty() {
            true => 0.0,
            false => marks::height(&feet) + 4.0,
        };
        let top = TYPE + 10.0 + marks::height(&marks);
        let height = height.max(top + LEAST_PLOT + strip + FOOT);
        picture.height = height;
        let bottom = height - FOOT - strip;
        let up = Ruler::new(&self.y, bottom, top);
        let feet_title = text_width(&self.feet.title, TYPE, Weight::Regular) + 6.5;
        let left = match feet.is_empty() {
            true => side_width(&self.y, up),
            false => side_width(&self.y, up).max(feet_title),
        };
        let along = Ruler::new(&self.x, left, right);
        let window = Window {
            left,
            right,
            top,
            bottom,
        };
        picture.add(Label::new((1.0, TYPE), self.y.title.clone(), TYPE));
        let mut labels = Vec::new();
        if let Some(band) = &self.band {
            labels.extend(tint(&mut picture, band, up, window));
        }
        if let Some(stretch) = &self.shade {
            labels.extend(shade(&mut picture, stretch, (along, up), window));
        }
        marks::above(&mut picture, &marks, along, window);
        marks::below(&mut picture, &feet, along, window);
        if !feet.is_empty() {
            let at = (left - 5.5, bottom + TYPE + 2.0);
            let title = Label::new(at, self.feet.title.clone(), TYPE);
            picture.add(title.anchored(TextAnchor::End).inked(Ink::Dark));
        }
        labels.extend(self.lines(&mut picture, (along, up), window));
        foot(&mut picture, &self.x, along, bottom + strip);
        side(&mut picture, &self.y, up, left);
        end_labels(&mut picture, &labels, window, end_width);
        picture.headed(&self.subtitle)
    }

    /// Draws the curves and the data marks; where each curve ends, and its words.
    fn lines(
        &self,
        picture: &mut Picture,
        (along, up): (Ruler, Ruler),
        window: Window,
    ) -> Vec<(Point, String)> {
        let mut ends = Vec::new();
        let place = |x: f64, y: f64| Point::from((along.at(x), up.at(y)));
        for curve in &self.curves {
            let points: Vec<Point> = curve.points.iter().map(|(x, y)| place(*x, *y)).collect();
            let stretches = clipped(&points, window);
            let end = stretches.last().and_then(|stretch| stretch.last());
            ends.extend(end.map(|end| (*end, curve.label.clone())));
            let pen = curve.pen;
            for points in stretches {
                picture.add(Shape::Polyline { points, pen });
            }
        }
        let shown = |dot: &&Dot| along.holds(dot.x) && up.holds(dot.y);
        for dot in self.dots.iter().filter(shown) {
            picture.marker(place(dot.x, dot.y), dot.kind, 6.5);
        }
        ends
    }
}

#[cfg(test)]
#[path = "curve_tests.rs"]
mod tests;
