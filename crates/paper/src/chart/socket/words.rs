//! The words beside the contacts of a socket.
//!
//! What they own: the two columns, stacked so that none covers another, and the room that they need. What comes in: a
//! socket with its contacts. What goes out: which words stand on which side, how large the picture is, and the words
//! with a line to each contact. Not known here: how the ring is drawn.

use super::ring::{place, CONTACT, RIM, RING, TAB};
use super::{Locator, Socket, SocketContact};
use crate::chart::spread::{spread, Segment};
use crate::chart::{DROP, LEAD, TYPE};
use crate::font::text_width;
use crate::picture::{Ink, Label, Pen, Picture, Point, Shape, TextAnchor};

/// From the middle to where the words begin.
const WORDS: f64 = 74.0;
/// White between the words of two contacts.
const BETWEEN: f64 = 7.0;
/// Half of the angle within which a contact counts as standing in the middle, in degrees.
const MIDDLE: f64 = 1.0;

/// The size of a picture, in points, and where the middle of the ring stands in it.
pub(super) struct Extent {
    pub(super) width: f64,
    pub(super) tall: f64,
    pub(super) centre: Point,
}

impl Socket {
    /// The contacts with words to the left and to the right, each from the top down. One right in the middle goes
    /// to the side with fewer lines.
    pub(super) fn sides(&self) -> [Vec<&SocketContact>; 2] {
        let mut sides: [Vec<&SocketContact>; 2] = [Vec::new(), Vec::new()];
        let mut middle = Vec::new();
        for contact in self.contacts.iter().filter(|c| !c.words.is_empty()) {
            let angle = contact.degrees.rem_euclid(360.0);
            let in_middle = is_top(contact);
            match (in_middle, angle < 180.0) {
                (true, _) => middle.push(contact),
                (false, true) => sides[0].push(contact),
                (false, false) => sides[1].push(contact),
            }
        }
        let lines = |side: &[&SocketContact]| side.iter().map(|c| c.words.len()).sum::<usize>();
        for contact in middle {
            let [left, right] = &mut sides;
            match lines(left) < lines(right) {
                true => left.push(contact),
                false => right.push(contact),
            }
        }
        let up = |contact: &&SocketContact| place(contact.degrees, RING, Point::default()).y;
        for side in &mut sides {
            side.sort_by(|a, b| up(a).total_cmp(&up(b)));
        }
        sides
    }

    /// The room that the ring and its words need.
    pub(super) fn extent(&self, left: &[&SocketContact], right: &[&SocketContact]) -> Extent {
        let widest = |side: &[&SocketContact]| {
            let lines = side.iter().flat_map(|contact| &contact.words);
            lines
                .map(|(words, weight)| text_width(words, TYPE, *weight))
                .fold(0.0, f64::max)
        };
        let (room_left, room_right) = (widest(left), widest(right));
        let needed =
            |side: &[&SocketContact]| side.iter().map(|contact| height(contact)).sum::<f64>();
        // The words of a contact at the very top stand above all others, so that its line crosses none.
        let at_top = |side: &[&SocketContact]| {
            let first = side.first().filter(|contact| is_top(contact));
            first.map_or(0.0, |contact| height(contact))
        };
        let above = at_top(left).max(at_top(right));
        let others = [left, right].map(|side| needed(side) - at_top(side));
        let half = others[0].max(others[1]).max(2.0 * RIM + 4.0) / 2.0;
        let tab = match self.locator {
            Locator::Tab => TAB,
            Locator::Gap | Locator::ThickPins | Locator::Key => 0.0,
        };
        // Nor are the words below it pushed down past their contacts.
        let pushed = |side: &[&SocketContact], others: f64| match at_top(side) > 0.0 {
            true => {
                let next = side.get(1).map_or(0.0, |contact| {
                    height(contact) / 2.0 - place(contact.degrees, RIM, Point::default()).y
                });
                above + next.max(others / 2.0)
            }
            false => 0.0,
        };
        let pushed = pushed(left, others[0]).max(pushed(right, others[1]));
        let middle = half.max(above / 2.0 + RIM + 5.0).max(pushed);
        let tall = (middle + half.max(RIM + 2.0 + tab)).max(above + 2.0 * half);
        let width = room_left + room_right + 2.0 * WORDS;
        let centre = Point {
            x: room_left + WORDS,
            y: middle,
        };
        Extent {
            width,
            tall,
            centre,
        }
    }
}

/// Height of a contact's words, with the white below them.
fn height(contact: &SocketContact) -> f64 {
    contact.words.len() as f64 * LEAD + BETWEEN
}

/// Whether a contact stands at the very top.
fn is_top(contact: &SocketContact) -> bool {
    (contact.degrees.rem_euclid(360.0) - 180.0).abs() < MIDDLE
}

/// The words of one side, and a fine line from each to its contact.
pub(super) fn beside(
    picture: &mut Picture,
    side: &[&SocketContact],
    centre: Point,
    anchor: TextAnchor,
) {
    let outward = match anchor {
        TextAnchor::End => -1.0,
        TextAnchor::Start | TextAnchor::Middle => 1.0,
    };
    let x = centre.x + outward * WORDS;
    let spans: Vec<Segment> = side
        .iter()
        .map(|contact| Segment {
            centre: place(contact.degrees, RIM, centre).y,
            length: height(contact),
        })
        .collect();
    let above = match (side.first(), spans.first()) {
        (Some(contact), Some(span)) if is_top(contact) => span.length,
        _ => 0.0,
    };
    let below = spread(
        spans.get(usize::from(above > 0.0)..).unwrap_or_default(),
        above,
        picture.height,
    );
    let first = (above > 0.0).then_some(above / 2.0);
    for (contact, y) in side.iter().zip(first.into_iter().chain(below)) {
        let lines = contact.words.len() as f64 * LEAD;
        let top = y - lines / 2.0;
        for (n, (words, weight)) in contact.words.iter().enumerate() {
            let base = top + (n as f64 + 0.5) * LEAD + DROP;
            let label = Label::new((x, base), words.clone(), TYPE);
            picture.add(label.weighted(*weight).anchored(anchor));
        }
        // Out of the ring first, so that no line runs through another contact.
        let points = vec![
            place(contact.degrees, RING + CONTACT, centre),
            place(contact.degrees, RIM + 5.0, centre),
            (x - outward * 4.0, y).into(),
        ];
        picture.add(Shape::Polyline {
            points,
            pen: Pen::new(Ink::Mid, 0.8),
        });
    }
}
