//! A socket seen from below: its contacts in their places, what there is to say of each beside it.
//!
//! What it owns: the ring, what shows where to begin counting, and the two columns of words, stacked so that none
//! covers another. What comes in: contacts with their angles and words. What goes out: a picture. Not known here:
//! volts, and which type of tube sits in which socket.

use super::spread::{spread, Span};
use super::{DROP, LEAD, TYPE};
use crate::font::{text_width, Weight};
use crate::picture::{Anchor, Fill, Ink, Label, Pen, Picture, Point, Shape};

/// From the middle to the middles of the contacts, in points.
const RING: f64 = 45.0;
/// From the middle to the rim.
const RIM: f64 = 59.0;
/// Radius of a contact: it holds two figures at the type size.
const CONTACT: f64 = 9.5;
/// From the middle to where the words begin.
const WORDS: f64 = 74.0;
/// Height of the tab of a can.
const TAB: f64 = 9.0;
/// White between the words of two contacts.
const BETWEEN: f64 = 7.0;
/// Half of the angle within which a contact counts as standing in the middle, in degrees.
const MIDDLE: f64 = 1.0;

/// What shows where counting begins, at the bottom of the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Locator {
    /// A wider gap between the last contact and the first.
    Gap,
    /// A key in the middle that fits a groove.
    Key,
    /// A tab at the rim of a can.
    Tab,
}

/// How a contact is drawn: its shape tells, not its ink.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum State {
    /// A thin circle.
    #[default]
    Plain,
    /// A thick circle.
    Doubtful,
    /// A black disc.
    Failing,
}

/// One contact.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Its number or letter.
    pub name: String,
    /// Degrees clockwise from the bottom.
    pub degrees: f64,
    /// How it is drawn.
    pub state: State,
    /// Lines of words beside it; none leaves it without.
    pub words: Vec<(String, Weight)>,
}

/// A socket.
#[derive(Debug, Clone, PartialEq)]
pub struct Socket {
    /// Its name and what the picture shows; set above it.
    pub title: String,
    /// What the picture shows, for whoever cannot see it.
    pub description: String,
    /// What stands in the middle.
    pub middle: String,
    /// What shows where to begin.
    pub locator: Locator,
    /// The contacts.
    pub contacts: Vec<Contact>,
}

impl Socket {
    /// The drawing with its words; as wide as they ask for.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let [left, right] = self.sides();
        let widest = |side: &[&Contact]| {
            let lines = side.iter().flat_map(|contact| &contact.words);
            lines
                .map(|(words, weight)| text_width(words, TYPE, *weight))
                .fold(0.0, f64::max)
        };
        let (room_left, room_right) = (widest(&left), widest(&right));
        let needed = |side: &[&Contact]| side.iter().map(|contact| height(contact)).sum::<f64>();
        // The words of a contact at the very top stand above all others, so that its line crosses none.
        let at_top = |side: &[&Contact]| {
            let first = side.first().filter(|contact| is_top(contact));
            first.map_or(0.0, |contact| height(contact))
        };
        let above = at_top(&left).max(at_top(&right));
        let others = [&left, &right].map(|side| needed(side) - at_top(side));
        let half = others[0].max(others[1]).max(2.0 * RIM + 4.0) / 2.0;
        let tab = match self.locator {
            Locator::Tab => TAB,
            Locator::Gap | Locator::Key => 0.0,
        };
        // Nor are the words below it pushed down past their contacts.
        let pushed = |side: &[&Contact], others: f64| match at_top(side) > 0.0 {
            true => {
                let next = side.get(1).map_or(0.0, |contact| {
                    height(contact) / 2.0 - place(contact.degrees, RIM, Point::default()).y
                });
                above + next.max(others / 2.0)
            }
            false => 0.0,
        };
        let pushed = pushed(&left, others[0]).max(pushed(&right, others[1]));
        let middle = half.max(above / 2.0 + RIM + 5.0).max(pushed);
        let tall = (middle + half.max(RIM + 2.0 + tab)).max(above + 2.0 * half);
        let width = room_left + room_right + 2.0 * WORDS;
        let centre = Point {
            x: room_left + WORDS,
            y: middle,
        };
        let mut picture =
            Picture::new(width, tall, self.title.clone()).described(self.description.clone());
        self.base(&mut picture, centre);
        beside(&mut picture, &left, centre, Anchor::End);
        beside(&mut picture, &right, centre, Anchor::Start);
        for contact in &self.contacts {
            disc(&mut picture, contact, centre);
        }
        picture.headed("")
    }

    /// The drawing alone, so many points wide, with one contact marked: for a place beside its row.
    #[must_use]
    pub fn small(&self, width: f64, marked: &str) -> Picture {
        let scale = width / (2.0 * RIM + 2.0);
        let mut picture = Picture::new(width, width, self.title.clone());
        let centre = Point {
            x: width / 2.0,
            y: width / 2.0,
        };
        let mut full = Picture::new(0.0, 0.0, "");
        self.outline(&mut full, Point::default());
        picture.shapes.extend(
            full.shapes
                .iter()
                .map(|shape| shape.placed(scale, centre.x, centre.y)),
        );
        for contact in &self.contacts {
            let at = place(contact.degrees, RING * scale, centre);
            let (radius, fill) = match contact.name == marked {
                true => (CONTACT * scale * 1.5, Fill::Flat(Ink::Black)),
                false => (CONTACT * scale * 0.8, Fill::Flat(Ink::Paper)),
            };
            picture.add(Shape::Circle {
                centre: at,
                radius,
                fill,
                pen: Some(Pen::new(Ink::Black, 0.6)),
            });
        }
        picture
    }

    /// The contacts with words to the left and to the right, each from the top down. One right in the middle goes
    /// to the side with fewer lines.
    fn sides(&self) -> [Vec<&Contact>; 2] {
        let mut sides: [Vec<&Contact>; 2] = [Vec::new(), Vec::new()];
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
        let lines = |side: &[&Contact]| side.iter().map(|c| c.words.len()).sum::<usize>();
        for contact in middle {
            let [left, right] = &mut sides;
            match lines(left) < lines(right) {
                true => left.push(contact),
                false => right.push(contact),
            }
        }
        let up = |contact: &&Contact| place(contact.degrees, RING, Point::default()).y;
        for side in &mut sides {
            side.sort_by(|a, b| up(a).total_cmp(&up(b)));
        }
        sides
    }

    /// Rim, locator and what stands in the middle.
    fn base(&self, picture: &mut Picture, centre: Point) {
        self.outline(picture, centre);
        let at = (centre.x, centre.y + DROP);
        picture.add(
            Label::new(at, self.middle.clone(), TYPE)
                .anchored(Anchor::Middle)
                .inked(Ink::Dark),
        );
        let word = match self.locator {
            Locator::Gap => "gap",
            Locator::Key => "key",
            // The tab projects beyond the rim.
            Locator::Tab => return,
        };
        let below = match self.locator {
            Locator::Key => RING * 0.52,
            _ => RING + DROP,
        };
        let at = (centre.x, centre.y + below);
        picture.add(
            Label::new(at, word, TYPE)
                .anchored(Anchor::Middle)
                .inked(Ink::Dark),
        );
    }

    fn outline(&self, picture: &mut Picture, centre: Point) {
        picture.add(Shape::Circle {
            centre,
            radius: RIM,
            fill: Fill::Flat(Ink::Paper),
            pen: Some(Pen::new(Ink::Black, 1.4)),
        });
        match self.locator {
            Locator::Gap => {}
            Locator::Key => picture.rectangle(
                (centre.x - 6.0, centre.y + RING * 0.62),
                (12.0, 8.0),
                Fill::Flat(Ink::Black),
                None,
            ),
            Locator::Tab => picture.rectangle(
                (centre.x - 7.0, centre.y + RIM),
                (14.0, TAB),
                Fill::Flat(Ink::Black),
                None,
            ),
        }
    }
}

/// Height of a contact's words, with the white below them.
fn height(contact: &Contact) -> f64 {
    contact.words.len() as f64 * LEAD + BETWEEN
}

/// Whether a contact stands at the very top.
fn is_top(contact: &Contact) -> bool {
    (contact.degrees.rem_euclid(360.0) - 180.0).abs() < MIDDLE
}

/// A place at so many degrees clockwise from the bottom.
fn place(degrees: f64, radius: f64, centre: Point) -> Point {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    Point {
        x: centre.x - radius * sine,
        y: centre.y + radius * cosine,
    }
}

/// The words of one side, and a fine line from each to its contact.
fn beside(picture: &mut Picture, side: &[&Contact], centre: Point, anchor: Anchor) {
    let outward = match anchor {
        Anchor::End => -1.0,
        Anchor::Start | Anchor::Middle => 1.0,
    };
    let x = centre.x + outward * WORDS;
    let spans: Vec<Span> = side
        .iter()
        .map(|contact| Span {
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

fn disc(picture: &mut Picture, contact: &Contact, centre: Point) {
    let at = place(contact.degrees, RING, centre);
    let (fill, width, ink) = match contact.state {
        State::Plain => (Ink::Paper, 0.9, Ink::Black),
        State::Doubtful => (Ink::Paper, 2.6, Ink::Black),
        State::Failing => (Ink::Black, 0.9, Ink::Paper),
    };
    picture.add(Shape::Circle {
        centre: at,
        radius: CONTACT,
        fill: Fill::Flat(fill),
        pen: Some(Pen::new(Ink::Black, width)),
    });
    let label = Label::new((at.x, at.y + DROP), contact.name.clone(), TYPE);
    picture.add(label.bold().anchored(Anchor::Middle).inked(ink));
}

#[cfg(test)]
#[path = "socket_tests.rs"]
mod tests;
