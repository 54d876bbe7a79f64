//! The ring of a socket: its rim, what shows where to begin counting, and its contacts.
//!
//! A socket and the place of its middle come in; shapes go out. The words beside the contacts are not known here.

use super::{Locator, Socket, SocketContact, State};
use crate::chart::{DROP, TYPE};
use crate::picture::{Fill, Ink, Label, Pen, Picture, Point, Shape, TextAnchor};

/// From the middle to the middles of the contacts, in points.
pub(super) const RING: f64 = 45.0;
/// From the middle to the rim.
pub(super) const RIM: f64 = 59.0;
/// Radius of a contact: it holds two figures at the type size.
pub(super) const CONTACT: f64 = 9.5;
/// Height of the tab of a can.
pub(super) const TAB: f64 = 9.0;

impl Socket {
    /// Rim, locator and what stands in the middle.
    pub(super) fn base(&self, picture: &mut Picture, centre: Point) {
        self.outline(picture, centre);
        let mut say = |words: &str, below: f64| {
            let label = Label::new((centre.x, centre.y + below), words, TYPE);
            picture.add(label.anchored(TextAnchor::Middle).inked(Ink::Dark));
        };
        say(&self.middle, DROP);
        match self.locator {
            Locator::Gap => say("gap", RING + DROP),
            Locator::ThickPins => say("thick pins", RING * 0.4),
            Locator::Key => say("key", RING * 0.52),
            // It projects beyond the rim.
            Locator::Tab => {}
        }
    }

    pub(super) fn outline(&self, picture: &mut Picture, centre: Point) {
        picture.add(Shape::Circle {
            centre,
            radius: RIM,
            fill: Fill::Flat(Ink::Paper),
            pen: Some(Pen::new(Ink::Black, 1.4)),
        });
        match self.locator {
            Locator::Gap | Locator::ThickPins => {}
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

/// A place at so many degrees clockwise from the bottom.
pub(super) fn place(degrees: f64, radius: f64, centre: Point) -> Point {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    Point {
        x: centre.x - radius * sine,
        y: centre.y + radius * cosine,
    }
}

/// A contact with its name in it.
pub(super) fn disc(picture: &mut Picture, contact: &SocketContact, centre: Point) {
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
    picture.add(label.bold().anchored(TextAnchor::Middle).inked(ink));
}
