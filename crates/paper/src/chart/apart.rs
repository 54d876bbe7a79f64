//! For tests: words of a picture that cover one another or leave it.

use crate::font::CAPITAL;
use crate::picture::{Label, Picture, Shape};

/// Asserts that no word covers another or leaves the picture.
pub(super) fn assert_apart(picture: &Picture, what: &str) {
    let labels: Vec<&Label> = picture.shapes.iter().filter_map(Shape::label).collect();
    let boxed = |label: &Label| {
        let from = label.start();
        let top = from.y - label.size * CAPITAL;
        [from.x, top, from.x + label.width(), from.y]
    };
    for (n, one) in labels.iter().enumerate() {
        let own = boxed(one);
        // A hundredth of a point: float sums only.
        let inside = own[0] >= -0.01 && own[1] >= -0.01;
        let inside = inside && own[2] <= picture.width + 0.01 && own[3] <= picture.height + 0.01;
        assert!(inside, "{what}: {one:?}");
        for other in &labels[n + 1..] {
            let b = boxed(other);
            let apart = own[0] >= b[2] || b[0] >= own[2] || own[1] >= b[3] || b[1] >= own[3];
            assert!(apart, "{what}: {} and {}", one.text, other.text);
        }
    }
}
