//! The sockets of a set: which drawn parts sit in each, and where its contacts stand.

use circuit::{socket, DeviceClass, Electrode, Job, NodeId, Part, PartKind, Pin, TubeType};

use crate::clean::clean;
use crate::devices::Socket;

/// A tube in its socket, or a transistor.
pub(crate) struct Seat<'a> {
    /// `V1`, though the drawing has `V1A` and `V1B`.
    pub name: &'a str,
    /// The type as the drawing writes it.
    pub type_name: &'a str,
    pub kind: Kind<'a>,
    parts: Vec<&'a Part>,
}

/// What it plugs into.
#[derive(Clone, Copy)]
pub(crate) enum Kind<'a> {
    /// A base that is known.
    Base(&'a TubeType, Socket),
    /// Three leads; in which order the case decides.
    Leads,
}

/// A contact of a socket.
pub(crate) struct Place {
    /// Number of a pin, or letter of a lead.
    pub name: String,
    /// Degrees clockwise from the bottom, seen from below.
    pub degrees: f64,
    /// What it leads to, in a word or two; empty for a contact that leads nowhere.
    pub electrode: String,
    /// The node of the drawing that it is.
    pub node: Option<NodeId>,
}

/// Every tube and transistor of a job whose base is known, by designator.
pub(crate) fn seats(job: &Job) -> Vec<Seat<'_>> {
    let mut seats: Vec<Seat<'_>> = Vec::new();
    for part in job.circuit.parts() {
        let PartKind::Device(device) = &part.kind else {
            continue;
        };
        let tube = job.tube_type(&device.type_name);
        let name = name(part, tube);
        if let Some(seat) = seats.iter_mut().find(|seat| seat.name == name) {
            seat.parts.push(part);
            continue;
        }
        let based = tube.and_then(|tube| Some((tube, Socket::of(tube)?)));
        let kind = match (based, device.class) {
            (Some((tube, base)), _) => Kind::Base(tube, base),
            (None, DeviceClass::Transistor | DeviceClass::FieldEffect) => Kind::Leads,
            _ => continue,
        };
        seats.push(Seat {
            name,
            type_name: &device.type_name,
            kind,
            parts: vec![part],
        });
    }
    seats.sort_by(|a, b| natural(a.name).cmp(&natural(b.name)));
    seats
}

/// Tubes whose base tells no socket, each once: a blank and a sentence, or nothing.
pub(crate) fn not_drawn(job: &Job) -> String {
    let mut tubes: Vec<String> = Vec::new();
    for part in job.circuit.parts() {
        let PartKind::Device(device) = &part.kind else {
            continue;
        };
        let tube = job.tube_type(&device.type_name);
        if tube.is_some_and(|tube| Socket::of(tube).is_none()) {
            let words = format!("{} {}", name(part, tube), device.type_name);
            tubes.extend((!tubes.contains(&words)).then_some(words));
        }
    }
    match tubes.is_empty() {
        true => String::new(),
        false => format!(
            " Not drawn, because no base is stated that tells a socket with its pins: {}.",
            clean(&tubes.join(", "))
        ),
    }
}

/// The designator of the whole tube, or of a transistor.
fn name<'a>(part: &'a Part, tube: Option<&TubeType>) -> &'a str {
    let whole = tube.and_then(|_| socket(&part.designator));
    whole.unwrap_or(&part.designator)
}

/// `V2` before `V10`.
fn natural(name: &str) -> (&str, u32, &str) {
    let digits = name
        .find(|c: char| c.is_ascii_digit())
        .unwrap_or(name.len());
    let (letters, rest) = name.split_at(digits);
    let end = rest
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(rest.len());
    let (number, tail) = rest.split_at(end);
    (letters, number.parse().unwrap_or(0), tail)
}

impl Seat<'_> {
    /// Its contacts in the order of their numbers.
    pub(crate) fn places(&self) -> Vec<Place> {
        match self.kind {
            Kind::Base(tube, base) => (1..=base.contacts())
                .map(|number| Place {
                    name: number.to_string(),
                    degrees: base.degrees(number),
                    electrode: tube
                        .pin(number)
                        .map_or(String::new(), |pin| short(tube, pin)),
                    node: self.node_at_pin(number),
                })
                .collect(),
            Kind::Leads => self.leads(),
        }
    }

    /// The leads of a can as most cases have them, clockwise from the tab (common practice, no source).
    fn leads(&self) -> Vec<Place> {
        let Some(part) = self.parts.first() else {
            return Vec::new();
        };
        let places = [45.0, 135.0, 225.0];
        let order = ["emitter", "base", "collector", "source", "gate", "drain"];
        let rank = |name: &str| order.iter().position(|own| *own == name);
        let mut leads: Vec<(&str, NodeId)> = part
            .kind
            .terminals()
            .into_iter()
            .zip(part.nodes.iter().copied())
            .collect();
        leads.sort_by_key(|(name, _)| rank(name));
        leads
            .into_iter()
            .zip(places)
            .map(|((name, node), degrees)| Place {
                name: name.chars().take(1).flat_map(char::to_uppercase).collect(),
                degrees,
                electrode: name.to_owned(),
                node: Some(node),
            })
            .collect()
    }

    fn node_at_pin(&self, number: u8) -> Option<NodeId> {
        self.parts.iter().find_map(|part| {
            let PartKind::Device(device) = &part.kind else {
                return None;
            };
            let mut terminals = device.terminals.iter().zip(&part.nodes);
            let found = terminals.find(|(terminal, _)| terminal.pins.contains(&number));
            found.map(|(_, node)| *node)
        })
    }
}

/// What a pin leads to, with the letter of its section where several have one of the kind.
fn short(tube: &TubeType, pin: Pin) -> String {
    let word = match pin.electrode {
        Electrode::NoConnection => return String::new(),
        Electrode::InternalConnection => "use for nothing",
        other => other.words(),
    };
    let alike = tube
        .pins
        .iter()
        .filter(|other| other.electrode == pin.electrode && other.unit != pin.unit);
    match pin.unit {
        Some(unit) if alike.count() > 0 => format!("{word} {}", crate::devices::letter(unit)),
        _ => word.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::tube_type;

    #[test]
    fn designators_go_by_their_numbers() {
        let mut names = ["V10", "V2", "Q3", "V1", "CR"];
        names.sort_by(|a, b| natural(a).cmp(&natural(b)));
        assert_eq!(names, ["CR", "Q3", "V1", "V2", "V10"]);
    }

    #[test]
    fn sections_are_named_where_there_are_several() {
        let words = |name: &str, number: u8| {
            let tube = tube_type(name).unwrap();
            short(tube, tube.pin(number).unwrap())
        };
        // Base 9A: plate of the second section at pin 1, heater tap at 9; base 7S: plate at 3 (from memory).
        assert_eq!(
            (words("12AX7", 1), words("12AX7", 9)),
            ("plate B".into(), "heater tap".into())
        );
        assert_eq!(
            (words("6V6", 3), words("6V6", 8)),
            ("plate".into(), "cathode".into())
        );
    }

    /// Every base of the catalogue: as many places as the socket has, each leading to what the catalogue says of
    /// its pin, and standing clockwise from the bottom as seen from below.
    #[test]
    fn the_places_of_every_tube_are_those_of_its_base_and_go_round_clockwise() {
        for tube in circuit::tube_types() {
            let base = Socket::of(tube).unwrap();
            let seat = Seat {
                name: "V1",
                type_name: &tube.name,
                kind: Kind::Base(tube, base),
                parts: Vec::new(),
            };
            let places = seat.places();
            assert_eq!(places.len(), usize::from(base.contacts()), "{}", tube.name);
            assert!(
                places.windows(2).all(|two| two[0].degrees < two[1].degrees),
                "{}",
                tube.name
            );
            assert!(places
                .iter()
                .all(|place| place.degrees > 0.0 && place.degrees < 360.0));
            // A cap on the bulb is no place of the socket.
            for pin in tube.pins.iter().filter(|pin| pin.number > 0) {
                let place = &places[usize::from(pin.number) - 1];
                assert_eq!(place.name, pin.number.to_string());
                if pin.electrode == Electrode::NoConnection {
                    assert_eq!(place.electrode, "");
                } else if pin.electrode != Electrode::InternalConnection {
                    let word = pin.electrode.words();
                    assert!(
                        place.electrode.starts_with(word),
                        "{} {}",
                        tube.name,
                        place.electrode
                    );
                }
            }
        }
    }
}
