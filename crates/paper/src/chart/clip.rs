//! Cutting a curve at the edges of the plot.
//!
//! What it owns: the stretches of a line that lie inside a rectangle. What comes in: points. What goes out:
//! the stretches. Not known here: values and axes.

use crate::picture::Point;

/// The inside of a plot, in points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Window {
    pub left: f64,
    pub right: f64,
    pub top: f64,
    pub bottom: f64,
}

/// The stretches of the line through `points` that lie in the window. A point that is not finite breaks the line.
pub(crate) fn clipped(points: &[Point], window: Window) -> Vec<Vec<Point>> {
    let mut stretches: Vec<Vec<Point>> = Vec::new();
    let mut joined = false;
    for pair in points.windows(2) {
        let [from, to] = pair else { continue };
        let Some((a, b)) = segment(*from, *to, window) else {
            joined = false;
            continue;
        };
        match stretches.last_mut().filter(|_| joined && a == *from) {
            Some(stretch) => stretch.push(b),
            None => stretches.push(vec![a, b]),
        }
        joined = b == *to;
    }
    stretches
}

/// Liang and Barsky, "A New Concept and Method for Line Clipping" (ACM Transactions on Graphics 3, 1984):
/// the line is `from + t (to - from)`; each edge narrows the range of t.
fn segment(from: Point, to: Point, window: Window) -> Option<(Point, Point)> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    if !(dx.is_finite() && dy.is_finite()) {
        return None;
    }
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    let edges = [
        (-dx, from.x - window.left),
        (dx, window.right - from.x),
        (-dy, from.y - window.top),
        (dy, window.bottom - from.y),
    ];
    for (p, q) in edges {
        if p < 0.0 {
            enter = enter.max(q / p);
        } else if p > 0.0 {
            leave = leave.min(q / p);
        } else if q < 0.0 {
            return None;
        }
    }
    if enter > leave {
        return None;
    }
    let along = |t: f64| Point {
        x: from.x + t * dx,
        y: from.y + t * dy,
    };
    // Ends that are not cut are passed on unchanged, so that adjacent stretches can be joined.
    let a = if enter > 0.0 { along(enter) } else { from };
    let b = if leave < 1.0 { along(leave) } else { to };
    Some((a, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    const WINDOW: Window = Window {
        left: 0.0,
        right: 10.0,
        top: 0.0,
        bottom: 10.0,
    };

    fn points(list: &[(f64, f64)]) -> Vec<Point> {
        list.iter().map(|p| (*p).into()).collect()
    }

    #[test]
    fn a_line_inside_is_one_stretch() {
        let line = points(&[(1.0, 1.0), (5.0, 9.0), (9.0, 1.0)]);
        assert_eq!(clipped(&line, WINDOW), vec![line]);
    }

    #[test]
    fn a_line_that_leaves_and_returns_is_two_stretches_cut_at_the_edge() {
        let line = points(&[(2.0, 5.0), (4.0, 15.0), (6.0, 5.0)]);
        let got = clipped(&line, WINDOW);
        assert_eq!(
            got,
            vec![
                points(&[(2.0, 5.0), (3.0, 10.0)]),
                points(&[(5.0, 10.0), (6.0, 5.0)])
            ]
        );
    }

    #[test]
    fn what_lies_outside_or_is_no_number_is_left_out() {
        assert!(clipped(&points(&[(11.0, 1.0), (12.0, 2.0)]), WINDOW).is_empty());
        let broken = points(&[
            (1.0, 1.0),
            (2.0, 1.0),
            (f64::NAN, 1.0),
            (4.0, 1.0),
            (5.0, 1.0),
        ]);
        assert_eq!(clipped(&broken, WINDOW).len(), 2);
    }
}
