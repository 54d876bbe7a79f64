//! A socket seen from below: its contacts in their places, what there is to say of each beside it.
//!
//! What comes in: contacts with their angles and words. What goes out: a picture, of the ring ([`ring`]) and the words
//! beside it ([`words`]), or of the ring alone. Not known here: volts, and which type of tube sits in which socket.

mod ring;
mod words;

use ring::{disc, place, CONTACT, RIM, RING};
use words::{beside, Extent};

use crate::font::Weight;
use crate::picture::{placed, Fill, Ink, Pen, Picture, Point, Shape, TextAnchor};

/// What shows where counting begins, at the bottom of the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Locator {
    /// A wider gap between the last contact and the first.
    Gap,
    /// The last contact and the first are thicker than the others.
    ThickPins,
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
pub struct SocketContact {
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
    pub contacts: Vec<SocketContact>,
}

impl Socket {
    /// The drawing with its words; as wide as they ask for.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let [left, right] = self.sides();
        let Extent {
            width,
            tall,
            centre,
        } = self.extent(&left, &right);
        let mut picture =
            Picture::new(width, tall, self.title.clone()).described(self.description.clone());
        self.base(&mut picture, centre);
        beside(&mut picture, &left, centre, TextAnchor::End);
        beside(&mut picture, &right, centre, TextAnchor::Start);
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
        let outline = placed(&full.shapes, scale, centre.x, centre.y);
        picture.shapes.extend(outline);
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
}

#[cfg(test)]
#[path = "socket_tests.rs"]
mod tests;
