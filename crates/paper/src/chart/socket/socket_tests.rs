//! The words beside a socket stay apart and inside, its contacts in their order, whatever is said of them.

use super::*;
use crate::chart::apart::assert_apart;

/// A ring of so many places, the last of them the gap, each with so many lines.
fn ring(places: usize, lines: impl Fn(usize) -> usize) -> Socket {
    let contacts = (1..places)
        .map(|n| SocketContact {
            name: n.to_string(),
            degrees: 360.0 * n as f64 / places as f64,
            state: State::Plain,
            words: (0..lines(n))
                .map(|k| (format!("line {k} of pin {n}"), Weight::Regular))
                .collect(),
        })
        .collect();
    Socket {
        title: "V1".into(),
        description: String::new(),
        middle: "9A".into(),
        locator: Locator::Gap,
        contacts,
    }
}

/// Which side of the line through `a` and `b` a point lies on, in square points.
fn side_of(a: Point, b: Point, p: Point) -> f64 {
    (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)
}

fn check(socket: &Socket, what: &str) {
    let picture = socket.picture();
    assert_apart(&picture, what);
    let lines: Vec<&Vec<Point>> = picture
        .shapes
        .iter()
        .filter_map(|shape| match shape {
            Shape::Polyline { points, .. } => Some(points),
            _ => None,
        })
        .collect();
    let segments: Vec<(usize, Point, Point)> = lines
        .iter()
        .enumerate()
        .flat_map(|(n, points)| points.windows(2).map(move |pair| (n, pair[0], pair[1])))
        .collect();
    for (n, a, b) in &segments {
        for (m, c, d) in segments.iter().filter(|(m, ..)| m > n) {
            let crossed = side_of(*a, *b, *c) * side_of(*a, *b, *d) < 0.0
                && side_of(*c, *d, *a) * side_of(*c, *d, *b) < 0.0;
            assert!(!crossed, "{what}: lines {n} and {m} cross");
        }
    }
}

#[test]
fn no_words_cover_each_other_and_no_lines_cross_whatever_is_said() {
    for places in [4, 8, 10] {
        for most in 0..6 {
            check(&ring(places, |_| most), &format!("{places} places, {most}"));
            check(
                &ring(places, |n| (n * 7 + most) % 5),
                &format!("{places} places, mixed {most}"),
            );
            check(
                &ring(places, |n| if n == 1 + most { 8 } else { 1 }),
                &format!("{places} places, one long {most}"),
            );
        }
    }
}

#[test]
fn contacts_stand_clockwise_from_the_bottom() {
    let picture = ring(8, |_| 0).picture();
    let at = |name: &str| {
        let mut labels = picture.shapes.iter().filter_map(Shape::label);
        let found = labels.find(|label| label.text == name);
        found.unwrap().at
    };
    let middle = picture.width / 2.0;
    // Pins 1 to 3 to the left, rising; 4 at the top; 5 to 7 to the right, falling.
    assert!(["1", "2", "3"].iter().all(|n| at(n).x < middle));
    assert!(["5", "6", "7"].iter().all(|n| at(n).x > middle));
    assert!(at("1").y > at("2").y && at("2").y > at("3").y && at("3").y > at("4").y);
    assert!(at("5").y < at("6").y && at("6").y < at("7").y);
    // Sums of a few numbers below 200.
    assert!((at("4").x - middle).abs() <= 1e-9);
}

#[test]
fn a_failing_contact_is_black_and_its_number_is_not() {
    let mut socket = ring(8, |_| 1);
    socket.contacts[2].state = State::Failing;
    let picture = socket.picture();
    let black = |shape: &&Shape| {
        matches!(
            shape,
            Shape::Circle {
                fill: Fill::Flat(Ink::Black),
                ..
            }
        )
    };
    assert_eq!(picture.shapes.iter().filter(black).count(), 1);
    let mut labels = picture.shapes.iter().filter_map(Shape::label);
    let number = labels.find(|label| label.text == "3").unwrap();
    assert_eq!(number.ink, Ink::Paper);
}

#[test]
fn a_small_one_marks_its_contact_and_stays_inside() {
    let picture = ring(10, |_| 3).small(40.0, "4");
    assert!(picture.shapes.iter().all(|shape| shape.label().is_none()));
    let mut black = 0;
    for shape in &picture.shapes {
        if let Shape::Circle {
            centre,
            radius,
            fill,
            ..
        } = shape
        {
            black += usize::from(*fill == Fill::Flat(Ink::Black));
            // Half of the stroke, 0.6 points at most.
            assert!(centre.x - radius >= -0.6 && centre.x + radius <= 40.6);
        }
    }
    assert_eq!(black, 1);
}
