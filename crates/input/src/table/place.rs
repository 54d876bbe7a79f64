//! The two nodes that a row's `at` and `against` name.

use circuit::{resolve, Circuit, PlaceError, Port, Quantity};
use units::{parse_cell, CellContent, Unit};

use crate::diagnostic::Diagnostic;
use crate::nearest::{did_you_mean, nearest, MOST_HINTS};
use crate::table::read_context::Drawn;
use crate::table::row::RowReader;
use crate::table::tube_row::{drawn_pins, is_of};
use crate::values::Reported;
use crate::words::Words;

/// What a place that is not in the circuit means for the row.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Unplaced {
    /// The row cannot be used.
    Refused,
    /// The row is kept without a place, with a warning.
    Doubted,
    /// The row states its own source resistance and needs no place.
    Allowed,
}

/// The port of a row; none where the row has no place in the drawn circuit and needs none.
pub(super) fn port(
    reader: &RowReader<'_>,
    unplaced: Unplaced,
    out: &mut Vec<Diagnostic>,
) -> Result<Option<Port>, Reported> {
    let Some(circuit) = reader.context.circuit.circuit() else {
        return Ok(None);
    };
    let (at, against) = (reader.words("at"), reader.words("against"));
    if at.is_blank() {
        if unplaced != Unplaced::Refused {
            return Ok(None);
        }
        let help = "name a node, a terminal such as `V1 plate`, a test point or a part";
        return Err(at.error("the place is missing").help(help).report(out));
    }
    let error = match resolve(circuit, &at.text, &against.text, &reader.context.commons) {
        Ok(port) => return Ok(Some(port)),
        Err(error) => error,
    };
    let may_be_unread = matches!(reader.context.circuit, Drawn::Faulty(_));
    if unplaced == Unplaced::Allowed || may_be_unread {
        return Ok(None);
    }
    let (error, in_against) = error;
    let words = if in_against { against } else { at };
    let help = match out.len() < MOST_HINTS {
        true => help(&error, circuit, (unplaced, in_against)),
        false => "look at the netlist for its nodes and parts".to_owned(),
    };
    if unplaced == Unplaced::Refused {
        return Err(words.error(&error).help(help).report(out));
    }
    out.push(words.warning(&error).help(help));
    Ok(None)
}

/// Warns if both probes are on one node, where the reading is always zero. For a current the row names a
/// lead, and the meter is in series with it.
pub(super) fn doubt_same_node(
    reader: &RowReader<'_>,
    quantity: Quantity,
    port: Option<Port>,
    out: &mut Vec<Diagnostic>,
) {
    let (Some(circuit), Some(port)) = (reader.context.circuit.circuit(), port) else {
        return;
    };
    if port.plus == port.minus && quantity != Quantity::DcMilliamperes {
        let node = circuit.node_name(port.plus);
        let at = reader.words("at");
        out.push(at.warning(format!("both probes are on '{node}'")));
    }
}

/// Warns if a chart prints anything but zero at a pin that the drawing joins to the reference: one of the two has the
/// wrong pin.
pub(super) fn doubt_volts_on_one_node(
    circuit: &Circuit,
    port: Port,
    words: &Words,
    out: &mut Vec<Diagnostic>,
) {
    let reads = |unit| match parse_cell(&words.text, unit) {
        Ok(CellContent::Value(cell)) => cell.figure.value != 0.0,
        _ => false,
    };
    if port.plus == port.minus && (reads(Unit::Volt) || reads(Unit::Ohm)) {
        let node = circuit.node_name(port.plus);
        let message =
            format!("this is not zero, and the drawing has the pin on '{node}', the reference");
        let help = "compare the pins of this tube in the netlist with the chart";
        out.push(words.warning(message).help(help));
    }
}

/// How to write a part that is drawn in sections, such as a tapped coil.
fn sections_of(name: &str, circuit: &Circuit) -> Option<String> {
    let of_part = |designator: &&str| {
        let own = designator.split_once('.');
        own.is_some_and(|(part, _)| part.eq_ignore_ascii_case(name))
    };
    let parts = circuit.parts().iter().map(|part| part.designator.as_str());
    let sections: Vec<String> = parts
        .filter(of_part)
        .map(|own| format!("`{own}`"))
        .collect();
    (!sections.is_empty()).then(|| {
        format!(
            "{name} is drawn in sections: write {}; for the volts across several put one end into 'at' and the \
             other into 'against'",
            sections.join(" or ")
        )
    })
}

/// What most cases of power transistors are called; they are joined to the collector.
const CASES: [&str; 4] = ["case", "can", "shell", "tab"];

/// What to write in the place of a place that is not in the circuit.
pub(super) fn help(
    error: &PlaceError,
    circuit: &Circuit,
    (unplaced, in_against): (Unplaced, bool),
) -> String {
    match error {
        PlaceError::Unknown { name } => {
            // As the tables show it.
            if let Some(("across" | "through", part)) = name.split_once(' ') {
                return format!("write `{part}` alone: a part stands for the place across it");
            }
            let nodes = circuit.nodes().iter().map(|node| node.name.as_str());
            let points = circuit.test_points().iter().map(|(name, _)| name.as_str());
            let parts = circuit.parts().iter().map(|part| part.designator.as_str());
            if let Some(sections) = sections_of(name, circuit) {
                return sections;
            }
            let near = pin_of(name, circuit)
                .or_else(|| did_you_mean(name, nodes.chain(points).chain(parts)))
                .or_else(|| near_part(name, circuit));
            let undrawn = match in_against {
                true => {
                    "the black probe is on a node, a test point or a terminal such as `V1 cathode`"
                }
                false => "a point whose circuit is not drawn needs its ohms in the column 'source'",
            };
            match (near, unplaced) {
                (Some(near), Unplaced::Refused) => format!("{near} {undrawn}"),
                (Some(near), _) => near,
                (None, Unplaced::Refused) => undrawn.to_owned(),
                (None, _) => "the reading is kept, but no part can be suspected by it".to_owned(),
            }
        }
        PlaceError::NoTerminal {
            designator,
            word,
            terminals,
        } => {
            if let Some(pin) = pin_of(&format!("{designator} {word}"), circuit) {
                return pin;
            }
            if let Some(pins) = pins_in_words(designator, word, circuit) {
                return pins;
            }
            let is_case = CASES.iter().any(|case| word.eq_ignore_ascii_case(case));
            if is_case && terminals.iter().any(|own| own == "collector") {
                return format!(
                    "the case of most power transistors is the collector: if so, write `{designator} collector`"
                );
            }
            let joined = format!("{designator} {}", word.replace(char::is_whitespace, ""));
            if joined != format!("{designator} {word}") && exists(&joined, circuit) {
                return format!("did you mean '{joined}'?");
            }
            let near = nearest(word, terminals.iter().map(String::as_str));
            let near = near.map(|near| format!("did you mean '{designator} {near}'?"));
            near.unwrap_or_else(|| format!("{designator} has: {}", terminals.join(", ")))
        }
        PlaceError::SeveralTerminals { word, sections, .. } => {
            let each: Vec<String> = sections
                .iter()
                .map(|name| format!("`{name} {word}`"))
                .collect();
            format!("write {}", each.join(" or "))
        }
        PlaceError::NotAcross {
            designator,
            terminals,
        } => {
            let first = terminals.first().map_or("", String::as_str);
            let all = terminals.join(", ");
            format!("write `{designator} {first}`, for example; its terminals: {all}")
        }
    }
}

/// The part that was probably meant by the first word of `V2 plate`, if a similar name has the same
/// class letter.
fn near_part(name: &str, circuit: &Circuit) -> Option<String> {
    let (part, terminal) = name.split_once(char::is_whitespace)?;
    let letter = |word: &str| {
        word.chars()
            .next()
            .map(|letter| letter.to_ascii_uppercase())
    };
    let designators = circuit.parts().iter().flat_map(|part| {
        let socket = circuit::socket(&part.designator);
        [Some(part.designator.as_str()), socket]
    });
    let same_class = designators
        .flatten()
        .filter(|known| letter(known) == letter(part));
    let near = nearest(part, same_class)?;
    let meant = format!("{near} {}", terminal.trim());
    exists(&meant, circuit).then(|| format!("did you mean '{meant}'?"))
}

/// `V4 pin 5` for `V4-5`, `V4 pin5`, `V4.5` and the like, if there is such a pin.
fn pin_of(name: &str, circuit: &Circuit) -> Option<String> {
    let meant = as_pin(name)?;
    exists(&meant, circuit).then(|| format!("did you mean '{meant}'?"))
}

/// A designation and a pin in the form of a place: letters and a number, any characters, and
/// another number.
pub(super) fn as_pin(name: &str) -> Option<String> {
    let name = name.trim();
    let letters = name.find(|c: char| !c.is_ascii_alphabetic())?;
    let digits = name.get(letters..)?;
    let end = digits.find(|c: char| !c.is_ascii_digit())?;
    let (number, rest) = digits.split_at_checked(end)?;
    let section = rest.find(|c: char| !c.is_ascii_uppercase()).unwrap_or(0);
    let (section, rest) = match rest.split_at_checked(section)? {
        (one, rest) if one.len() <= 1 => (one, rest),
        _ => ("", rest),
    };
    let at = rest.rfind(|c: char| !c.is_ascii_digit())?;
    let (between, pin) = rest.split_at_checked(at + rest.get(at..)?.chars().next()?.len_utf8())?;
    let plain: String = between
        .chars()
        .filter(|c| !c.is_whitespace() && !"-.:/#,_\u{2212}\u{2013}".contains(*c))
        .flat_map(char::to_lowercase)
        .collect();
    let fits = ["", "pin", "p"].contains(&plain.as_str());
    (letters > 0 && fits && !number.is_empty() && !pin.is_empty()).then(|| {
        format!(
            "{}{number}{section} pin {pin}",
            name.get(..letters).unwrap_or("")
        )
    })
}

fn exists(place: &str, circuit: &Circuit) -> bool {
    resolve(circuit, place, "", &circuit::Commons::default()).is_ok()
}

/// The pins of a tube that are drawn, for a row that names another pin.
fn pins_in_words(designator: &str, word: &str, circuit: &Circuit) -> Option<String> {
    let asked = word.split_whitespace().next()?;
    if !asked.eq_ignore_ascii_case("pin") {
        return None;
    }
    let parts: Vec<_> = circuit
        .parts()
        .iter()
        .filter(|part| is_of(&part.designator, designator))
        .collect();
    let pins: Vec<String> = drawn_pins(&parts)
        .into_iter()
        .map(|(pin, terminal)| format!("{pin} ({terminal})"))
        .collect();
    let named = parts.iter().flat_map(|part| part.kind.terminals());
    let named: Vec<&str> = named.collect();
    Some(match pins.as_slice() {
        [] => format!("{designator} has no pins; it has: {}", named.join(", ")),
        pins => format!("the drawn pins of {designator} are {}", pins.join(", ")),
    })
}

/// The text of a report for the other side: as written, or else the node that was used.
pub(super) fn against(reader: &RowReader<'_>, port: Option<Port>) -> String {
    let written = reader.words("against").text;
    match (written.is_empty(), port, reader.context.circuit.circuit()) {
        (false, _, _) => written,
        (true, Some(port), Some(circuit)) => circuit.node_name(port.minus).to_owned(),
        (true, _, _) => reader.context.reference_name.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::as_pin;

    #[test]
    fn a_pin_is_told_in_every_usual_spelling() {
        for name in [
            "V4-5", "V4 pin5", "V4.5", "V4 p5", "V4/5", "V4 – 5", "V4 #5", "V4pin 5",
        ] {
            assert_eq!(as_pin(name).as_deref(), Some("V4 pin 5"), "{name}");
        }
        assert_eq!(as_pin("V4A-5").as_deref(), Some("V4A pin 5"));
        for name in ["V45", "plate1", "V4 plate", "TP1", "4-5", "", "V-5"] {
            assert_eq!(as_pin(name), None, "{name}");
        }
    }
}
