//! The tube of a row of a socket chart, and its drawn parts.
//!
//! A designation comes in; the nodes of its pins go out. Values are not known here.

use circuit::{resolve, Circuit, Commons, Part, PartKind, Pin, PlaceError, Port, TubeType};

use crate::diagnostic::Diagnostic;
use crate::source::Span;
use crate::table::columns::Spot;
use crate::words::Words;

/// A tube in the row of a chart.
pub(super) struct TubeRow<'a> {
    pub name: String,
    /// The place of its designation.
    pub span: Span,
    /// The type that the chart gives; blank if none.
    type_words: Words,
    circuit: Option<&'a Circuit>,
    /// Its drawn parts: a socket, or its sections.
    parts: Vec<&'a Part>,
    /// Its type, if drawn or stated and known.
    tube_type: Option<&'a TubeType>,
}

impl<'a> TubeRow<'a> {
    /// Reads `V1`, or `V1 12AX7` where the chart has no column of its own for the type.
    pub fn new(
        words: Words,
        type_words: Words,
        circuit: Option<&'a Circuit>,
        own: &'a [TubeType],
    ) -> Self {
        let (name, behind) = split(&words);
        let type_words = match behind {
            Some(behind) if type_words.is_blank() => behind,
            _ => type_words,
        };
        let parts: Vec<&Part> = circuit
            .map_or(&[][..], Circuit::parts)
            .iter()
            .filter(|part| is_of(&part.designator, &name))
            .collect();
        let drawn = parts.iter().find_map(|part| device_type(part));
        let named = drawn.unwrap_or(&type_words.text);
        let tube_type = own
            .iter()
            .find(|tube| tube.name.eq_ignore_ascii_case(named))
            .or_else(|| circuit::tube_type(named));
        TubeRow {
            name,
            span: words.span,
            type_words,
            circuit,
            parts,
            tube_type,
        }
    }

    /// The node of a pin or electrode against the reference.
    pub fn port(&self, spot: &Spot, commons: &Commons) -> Result<Port, Option<PlaceError>> {
        let circuit = self.circuit.ok_or(None)?;
        let at = format!("{} {}", self.name, spot.words());
        resolve(circuit, &at, "", commons).map_err(|(error, _)| Some(error))
    }

    /// Warns if the chart has a type other than the netlist's.
    pub fn doubt_type(&self, out: &mut Vec<Diagnostic>) {
        let written = &self.type_words.text;
        let drawn = self.parts.iter().find_map(|part| device_type(part));
        // Another name of the same type is not another type.
        let same = |drawn: &&str| {
            let names = [*drawn, written.as_str()].map(circuit::tube_type);
            drawn.eq_ignore_ascii_case(written) || (names[0].is_some() && names[0] == names[1])
        };
        let Some(drawn) = drawn.filter(|drawn| !same(drawn)) else {
            return;
        };
        // A tube whose line could not be read has no type; that has been reported.
        if !written.is_empty() && !drawn.is_empty() {
            let message = format!(
                "column 'type', row of tube '{}': the netlist has a {drawn} here, not a {written}",
                self.name
            );
            let warning = Diagnostic::warning(self.type_words.span.clone(), message);
            out.push(warning.help("the netlist's is used"));
        }
    }

    /// Warns if the tube is drawn as a part whose pins are not known.
    pub fn doubt_pins(&self, out: &mut Vec<Diagnostic>) {
        let Some(part) = self.parts.first() else {
            return;
        };
        if drawn_pins(&self.parts).is_empty() {
            let message = format!(
                "{} is drawn, but its terminals have no pin numbers",
                part.designator
            );
            let terminal = part.kind.terminals().first().copied().unwrap_or("plate");
            let help = format!(
                "place its points in the manual's table, by terminal: `{} {terminal}`",
                part.designator
            );
            out.push(Diagnostic::warning(self.span.clone(), message).help(help));
        }
    }

    /// Warns about a value at a pin that the base does not have, or that is drawn on two nodes.
    pub fn doubt_pin(
        &self,
        spot: &Spot,
        found: &Result<Port, Option<PlaceError>>,
        words: &Words,
        out: &mut Vec<Diagnostic>,
    ) {
        let pin = match spot {
            Spot::Pin(pin) => Some(*pin),
            Spot::Electrode(_) => None,
        };
        let lacks = |tube: &&TubeType| pin.is_some_and(|pin| tube.pin(pin).is_none());
        if let (Some(tube), Some(pin)) = (self.tube_type.filter(lacks), pin) {
            let message = format!("a {} has no pin {}", tube.name, Pin::name_of(pin));
            let pins: Vec<String> = tube
                .pins
                .iter()
                .map(|pin| Pin::name_of(pin.number))
                .collect();
            let help = format!("its pins are {}", pins.join(", "));
            out.push(words.warning(message).help(help));
        }
        if let Err(Some(PlaceError::SeveralTerminals { sections, .. })) = found {
            let message = "the sections of the tube have this pin on other nodes";
            let help = format!(
                "draw it on one node in {}: it is one pin",
                sections.join(" and ")
            );
            out.push(words.warning(message).help(help));
        }
    }
}

/// `V1` and `12AX7` of `V1 12AX7`; a blank within a designation, as in `V 1`, is left out.
fn split(words: &Words) -> (String, Option<Words>) {
    let text = &words.text;
    let designation = |word: &str| word.contains(|c: char| c.is_ascii_digit());
    match text.find(char::is_whitespace) {
        Some(at) if text.get(..at).is_some_and(designation) => {
            let name = text.get(..at).unwrap_or_default().to_owned();
            (name, Some(words.cut(at..text.len())))
        }
        _ => (text.replace(char::is_whitespace, ""), None),
    }
}

/// Whether a designator is this one, or that of a section in this socket: `V1A` is of `V1`.
pub(super) fn is_of(designator: &str, name: &str) -> bool {
    let socket = circuit::socket(designator).unwrap_or(designator);
    [designator, socket]
        .iter()
        .any(|own| own.eq_ignore_ascii_case(name))
}

fn device_type<'p>(part: &&'p Part) -> Option<&'p str> {
    match &part.kind {
        PartKind::Device(device) => Some(&device.type_name),
        _ => None,
    }
}

/// The drawn pins of a part, or of the sections of a tube, each with its terminal.
pub(super) fn drawn_pins(parts: &[&Part]) -> Vec<(u8, String)> {
    let devices = parts.iter().filter_map(|part| match &part.kind {
        PartKind::Device(device) => Some(device),
        _ => None,
    });
    let mut pins: Vec<(u8, String)> = devices
        .flat_map(|device| &device.terminals)
        .flat_map(|terminal| {
            terminal
                .pins
                .iter()
                .map(|pin| (*pin, terminal.name.clone()))
        })
        .collect();
    pins.sort();
    pins.dedup();
    pins
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;
    use circuit::{CircuitBuilder, Device, DeviceClass, Terminal};

    /// Two sections of a tube in one socket, each a plate and the cathode they share.
    fn circuit(cathodes: [&str; 2]) -> Circuit {
        let mut builder = CircuitBuilder::new();
        let chassis = builder.node("chassis");
        builder.reference(chassis);
        for (letter, pin, cathode) in [("A", 6, cathodes[0]), ("B", 1, cathodes[1])] {
            let plate = builder.node(&format!("plate{letter}"));
            let cathode = builder.node(cathode);
            let terminal = |name: &str, pin| Terminal {
                name: name.into(),
                pins: vec![pin],
            };
            builder.part(Part::new(
                format!("V1{letter}"),
                PartKind::Device(Device {
                    type_name: "6ZZ9".into(),
                    class: DeviceClass::Tube,
                    terminals: vec![terminal("plate", pin), terminal("cathode", 3)],
                    units: Vec::new(),
                    tolerance: None,
                }),
                vec![plate, cathode],
            ));
        }
        builder.finish()
    }

    fn words(text: &str) -> Words {
        Words::new(SourceId(0), text, 0..text.len(), text)
    }

    fn row<'a>(circuit: &'a Circuit, tube: &str, kind: &str) -> TubeRow<'a> {
        TubeRow::new(words(tube), words(kind), Some(circuit), &[])
    }

    #[test]
    fn the_pins_of_a_socket_are_those_of_its_sections() {
        let circuit = circuit(["cath", "cath"]);
        for name in ["V1", "v1", "V 1", "V1 6ZZ9"] {
            let tube = row(&circuit, name, "");
            let plus = |pin| {
                tube.port(&Spot::Pin(pin), &Commons::default())
                    .map(|port| circuit.node_name(port.plus))
            };
            assert_eq!(plus(6), Ok("plateA"), "{name}");
            assert_eq!(plus(1), Ok("plateB"), "{name}");
            assert_eq!(plus(3), Ok("cath"), "{name}");
            assert!(matches!(plus(4), Err(Some(PlaceError::NoTerminal { .. }))));
        }
        assert!(row(&circuit, "V2", "")
            .port(&Spot::Pin(6), &Commons::default())
            .is_err());
    }

    #[test]
    fn one_pin_on_two_nodes_and_another_type_are_doubted() {
        let circuit = circuit(["cath1", "cath2"]);
        let tube = row(&circuit, "V1", "6YY9");
        let mut out = Vec::new();
        tube.doubt_type(&mut out);
        let found = tube.port(&Spot::Pin(3), &Commons::default());
        tube.doubt_pin(
            &Spot::Pin(3),
            &found,
            &words("1.2").named("cell".to_owned()),
            &mut out,
        );
        let messages: Vec<&str> = out.iter().map(|d| d.message.as_str()).collect();
        assert_eq!(
            messages,
            [
                "column 'type', row of tube 'V1': the netlist has a 6ZZ9 here, not a 6YY9",
                "cell: the sections of the tube have this pin on other nodes",
            ]
        );
    }
}
