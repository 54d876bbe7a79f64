//! The sockets of a set, compared from line to line: one type each, no section twice.
//!
//! The designation and type of each tube line come in; what two lines contradict each other in
//! goes out. Designations used twice are reported elsewhere.

use std::collections::HashMap;
use std::ops::Range;

use circuit::{socket, TubeType};

use crate::netlist::designator::letter;
use crate::netlist::findings::Findings;
use crate::netlist::types::with_article;
use crate::netlist::values::Subject;

/// Sockets so far, by their designations in capitals.
#[derive(Clone, Debug, Default)]
pub(in crate::netlist) struct SocketRegistry {
    sockets: HashMap<String, Vec<Seat>>,
}

/// One line of a socket.
#[derive(Clone, Debug)]
struct Seat {
    name: String,
    section: Option<usize>,
    type_name: String,
    bytes: Range<usize>,
}

/// The type has no such section, which has been reported.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::netlist) struct NoSuchSection;

/// What a designation draws of a tube: a section counted from 0, or the whole.
///
/// # Errors
/// [`NoSuchSection`] if the type has not the section of the designation's last letter.
pub(in crate::netlist) fn section_of(
    tube: &TubeType,
    subject: &Subject<'_>,
    findings: &mut Findings,
) -> Result<Option<usize>, NoSuchSection> {
    let Some(section) = stem(subject.name).1 else {
        return Ok(None);
    };
    if section < tube.units.len() {
        return Ok(Some(section));
    }
    // A tube that its line describes is one section, whichever it is of its socket.
    if tube.pins.is_empty() && tube.units.len() == 1 {
        return Ok(Some(0));
    }
    let letters: Vec<String> = (0..tube.units.len())
        .map(|section| letter(section).to_string())
        .collect();
    let has = match letters.as_slice() {
        [_] => "it has one section: write the designation without a letter".to_owned(),
        many => format!("its sections are {}", many.join(", ")),
    };
    let message = format!(
        "{} has no section {}",
        with_article(&tube.name),
        letter(section)
    );
    findings.refuse(&subject.bytes, message, "no such section", has);
    Err(NoSuchSection)
}

/// A designation without blanks, and the section of its last letter.
fn stem(name: &str) -> (String, Option<usize>) {
    let name = name.replace(char::is_whitespace, "").to_ascii_uppercase();
    match (socket(&name), name.bytes().last()) {
        (Some(stem), Some(last @ b'A'..=b'Z')) => (stem.to_owned(), Some(usize::from(last - b'A'))),
        _ => (name, None),
    }
}

impl SocketRegistry {
    /// Adds a line, and reports what it contradicts.
    pub fn seat(&mut self, tube: &TubeType, subject: &Subject<'_>, findings: &mut Findings) {
        let (stem, section) = stem(subject.name);
        let seats = self.sockets.entry(stem.clone()).or_default();
        let clash = seats.iter().find_map(|seat| {
            let one_is_whole = seat.section.is_none() != section.is_none();
            if one_is_whole {
                let message = format!("{} and {} draw the same socket", seat.name, subject.name);
                let help = format!("draw {stem} as a whole, or each of its sections once");
                Some((seat, message, "drawn again", help))
            } else if !seat.type_name.eq_ignore_ascii_case(&tube.name) {
                let message = format!(
                    "{} is {}, but {} of the same socket is {}",
                    subject.name,
                    with_article(&tube.name),
                    seat.name,
                    with_article(&seat.type_name)
                );
                let help = "a socket has one type: correct it, or number the socket otherwise";
                Some((seat, message, "another type", help.to_owned()))
            } else {
                None
            }
        });
        if let Some((seat, message, label, help)) = clash.filter(|(seat, ..)| {
            // The same designation twice has been reported as such.
            seat.section != section
        }) {
            findings.refuse_beside(
                &subject.bytes,
                message,
                label,
                help,
                (&seat.bytes, "the first line of this socket"),
            );
        }
        seats.push(Seat {
            name: subject.name.to_owned(),
            section,
            type_name: tube.name.clone(),
            bytes: subject.bytes.clone(),
        });
    }
}
