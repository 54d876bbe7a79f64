//! Slanting lines that fill a rectangle, worked out as plain lines.
//!
//! What it owns: where each line enters and leaves. What comes in: the rectangle. What goes out: pairs of
//! points. Not known here: patterns and clipping of any back-end, which it makes unnecessary.

use super::Point;

/// Distance in points between two hatching lines, measured along the x axis.
const PITCH: f64 = 4.0;
/// More lines than this would be a black area; the pitch is widened instead.
const AT_MOST: f64 = 2000.0;

/// The 45 degree lines, rising to the right, that fill the rectangle.
pub(crate) fn hatching(corner: Point, width: f64, height: f64) -> Vec<(Point, Point)> {
    let reach = width + height;
    if !(reach.is_finite() && width > 0.0 && height > 0.0) {
        return Vec::new();
    }
    let pitch = PITCH.max(reach / AT_MOST);
    let count = (reach / pitch).floor() as usize;
    // Each line is x + y = c, seen from the upper left corner.
    (1..=count)
        .map(|n| n as f64 * pitch)
        .filter(|c| *c < reach)
        .map(|c| {
            let low_x = (c - height).max(0.0);
            let high_x = c.min(width);
            let point = |x: f64| Point {
                x: corner.x + x,
                y: corner.y + (c - x),
            };
            (point(low_x), point(high_x))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_end_lies_on_the_rectangle() {
        let lines = hatching(Point { x: 5.0, y: 7.0 }, 30.0, 12.0);
        assert_eq!(lines.len(), 10);
        for (from, to) in lines {
            for end in [from, to] {
                // Sums of a few numbers below 100: rounding stays far below 1e-9.
                assert!(end.x >= 5.0 - 1e-9 && end.x <= 35.0 + 1e-9, "{end:?}");
                assert!(end.y >= 7.0 - 1e-9 && end.y <= 19.0 + 1e-9, "{end:?}");
            }
        }
    }

    #[test]
    fn empty_or_absurd_rectangles_give_no_lines() {
        assert!(hatching(Point::default(), 0.0, 5.0).is_empty());
        assert!(hatching(Point::default(), f64::INFINITY, 5.0).is_empty());
        assert!(hatching(Point::default(), 1e9, 5.0).len() <= 2000);
    }
}
