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
mod tests {
    use super::*;
    use crate::chart::{Scale, LEAD};

    fn plain(value: f64) -> String {
        format!("{value}")
    }

    fn bare(curves: Vec<Curve>, marks: Vec<Mark>) -> CurveChart<'static> {
        let axis = |title: &str, scale, low, high| Axis::new(title, scale, (low, high), &plain);
        CurveChart {
            title: "Loudness".into(),
            subtitle: String::new(),
            description: String::new(),
            size: (440.0, 220.0),
            x: axis("frequency, Hz", Scale::Logarithmic, 100.0, 10_000.0),
            y: axis("level, dB", Scale::Linear, -20.0, 0.0),
            curves,
            band: None,
            shade: None,
            marks,
            feet: Feet::default(),
            dots: Vec::new(),
        }
    }

    fn chart(curves: Vec<Curve>, marks: Vec<Mark>) -> Picture {
        CurveChart {
            band: Some(TintedBand {
                low: -12.0,
                high: -6.0,
                label: "good".into(),
            }),
            dots: vec![Dot {
                x: 1000.0,
                y: -8.0,
                kind: MarkerKind::Square,
            }],
            ..bare(curves, marks)
        }
        .picture()
    }

    fn flat(label: &str, level: f64) -> Curve {
        Curve {
            label: label.into(),
            points: vec![(50.0, level), (20_000.0, level)],
            pen: Pen::rule(),
        }
    }

    fn texts(picture: &Picture) -> Vec<&Label> {
        picture.shapes.iter().filter_map(Shape::label).collect()
    }

    #[test]
    fn end_labels_of_equal_curves_do_not_cover_each_other() {
        let names = ["horn", "handset", "headphones", "spare"];
        let picture = chart(names.iter().map(|n| flat(n, -8.0)).collect(), Vec::new());
        let mut bases: Vec<f64> = texts(&picture)
            .iter()
            .filter(|l| names.contains(&l.text.as_str()))
            .map(|l| l.at.y)
            .collect();
        bases.sort_by(f64::total_cmp);
        assert_eq!(bases.len(), 4);
        // Base lines of labels one above the other are a whole lead apart; 1e-9 for float sums.
        assert!(
            bases.windows(2).all(|w| w[1] - w[0] >= LEAD - 1e-9),
            "{bases:?}"
        );
    }

    #[test]
    fn marks_close_together_stand_on_different_levels() {
        let mark = |x: f64| Mark {
            x,
            label: "speech band".into(),
        };
        let picture = chart(
            vec![],
            vec![mark(1000.0), mark(1100.0), mark(1200.0), mark(1e9)],
        );
        let mut bases: Vec<f64> = texts(&picture)
            .iter()
            .filter(|l| l.text == "speech band")
            .map(|l| l.at.y)
            .collect();
        bases.sort_by(f64::total_cmp);
        assert_eq!(bases.len(), 3);
        assert!(
            bases.windows(2).all(|w| w[1] - w[0] >= LEAD - 1e-9),
            "{bases:?}"
        );
    }

    #[test]
    fn curves_are_cut_at_the_plot() {
        let picture = chart(
            vec![flat("inside", -8.0), flat("far above", 40.0)],
            Vec::new(),
        );
        let lines: Vec<&Shape> = picture
            .shapes
            .iter()
            .filter(|s| matches!(s, Shape::Polyline { .. }))
            .collect();
        assert_eq!(lines.len(), 1);
        assert!(!texts(&picture).iter().any(|l| l.text == "far above"));
    }

    #[test]
    fn names_below_the_plot_stand_between_it_and_the_axis_and_no_line_crosses_a_word() {
        let mark = |x: f64, label: &str| Mark {
            x,
            label: label.into(),
        };
        let marks = vec![mark(300.0, "deep"), mark(310.0, "not so deep")];
        let picture = CurveChart {
            size: (440.0, 60.0),
            feet: Feet {
                title: "stations".into(),
                marks: vec![mark(1000.0, "cook house"), mark(1010.0, "ladder")],
            },
            ..bare(vec![flat("", -8.0)], marks)
        }
        .picture();
        // The plot keeps its least height, whatever was asked for.
        assert!(picture.height > LEAST_PLOT);
        let base = |words: &str| {
            let found = texts(&picture).into_iter().find(|l| l.text == words);
            found.unwrap().at.y
        };
        assert!(base("cook house") < base("frequency, Hz"));
        assert!((base("ladder") - base("cook house")).abs() >= LEAD - 1e-9);
        assert!((base("stations") - base("cook house")).abs() <= 1e-9);
        // Every word of a mark comes after the last dotted line, so that its ground covers the line.
        let place = |wanted: &dyn Fn(&Shape) -> bool| {
            let found = picture.shapes.iter().rposition(wanted);
            found.unwrap()
        };
        let dotted = |s: &Shape| matches!(s, Shape::Line { pen, .. } if pen.dash == crate::picture::Dash::Dotted);
        let deep = |s: &Shape| matches!(s, Shape::Text(l) if l.text == "deep");
        let first_below = |s: &Shape| matches!(s, Shape::Text(l) if l.text == "cook house");
        assert!(place(&dotted) < place(&first_below) && place(&deep) < place(&first_below));
    }
}
