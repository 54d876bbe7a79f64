//! A tinted stretch between two curves.
//!
//! What it owns: the outline of the stretch, held inside the plot. What comes in: for each x two values. What
//! goes out: a polygon with two fine edges. Not known here: what lies between.

use super::axis::Ruler;
use super::clip::{clipped, Window};
use crate::picture::{Ink, Pen, Picture, Point, Shape};

/// A stretch of the plot between two curves, tinted.
#[derive(Debug, Clone, PartialEq)]
pub struct Shade {
    /// x, lower and upper end, in rising order of x; a point that is not finite is left out.
    pub points: Vec<(f64, f64, f64)>,
    /// Words at its right end.
    pub label: String,
}

/// Tints the stretch; returns the place of its words.
pub(crate) fn shade(
    picture: &mut Picture,
    shade: &Shade,
    (along, up): (Ruler, Ruler),
    window: Window,
) -> Option<(Point, String)> {
    let sound: Vec<&(f64, f64, f64)> = shade
        .points
        .iter()
        .filter(|(x, low, high)| along.holds(*x) && low.is_finite() && high.is_finite())
        .collect();
    let edge = |value: &dyn Fn(&(f64, f64, f64)) -> f64| -> Vec<Point> {
        let held = |point: &&(f64, f64, f64)| Some((along.at(point.0), up.held(value(point))?));
        sound.iter().filter_map(held).map(Point::from).collect()
    };
    let (low, high) = (edge(&|p| p.1), edge(&|p| p.2));
    let (Some(a), Some(b)) = (low.last().copied(), high.last().copied()) else {
        return None;
    };
    let outline = low.iter().chain(high.iter().rev()).copied().collect();
    picture.add(Shape::Polygon {
        points: outline,
        ink: Ink::Tint,
    });
    for value in [1, 2] {
        let pick = |p: &&(f64, f64, f64)| if value == 1 { p.1 } else { p.2 };
        let points: Vec<Point> = sound
            .iter()
            .map(|p| (along.at(p.0), up.at(pick(p))).into())
            .collect();
        for points in clipped(&points, window) {
            picture.add(Shape::Polyline {
                points,
                pen: Pen::hairline(),
            });
        }
    }
    // A curve often runs through the middle, so the words stand a quarter below the upper end.
    let beside = Point {
        x: window.right,
        y: b.y + (a.y - b.y) / 4.0,
    };
    (!shade.label.is_empty()).then(|| (beside, shade.label.clone()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::{Axis, Scale};

    #[test]
    fn the_tint_stays_inside_the_plot_and_leaves_out_what_is_no_number() {
        let label = |v: f64| v.to_string();
        let axis = |high: f64| Axis::new("", Scale::Linear, (0.0, high), &label);
        let along = Ruler::new(&axis(10.0), 20.0, 120.0);
        let up = Ruler::new(&axis(4.0), 100.0, 10.0);
        let window = Window {
            left: 20.0,
            right: 120.0,
            top: 10.0,
            bottom: 100.0,
        };
        let stretch = Shade {
            points: vec![
                (-5.0, 1.0, 2.0),
                (0.0, 1.0, 9.0),
                (5.0, f64::NAN, 2.0),
                (10.0, 1.0, 3.0),
            ],
            label: "room".into(),
        };
        let mut picture = Picture::new(140.0, 120.0, "");
        let (at, words) = shade(&mut picture, &stretch, (along, up), window).unwrap();
        assert_eq!(words, "room");
        // 2.5 of 4 on a plot 90 points high; sums of small numbers round below 1e-9.
        assert!((at.y - 43.75).abs() <= 1e-9, "{at:?}");
        let Shape::Polygon { points, .. } = &picture.shapes[0] else {
            panic!("{:?}", picture.shapes[0]);
        };
        assert_eq!(points.len(), 4);
        assert!(points
            .iter()
            .all(|p| p.y >= 10.0 && p.y <= 100.0 && p.x >= 20.0 && p.x <= 120.0));
    }
}
