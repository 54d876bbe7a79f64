//! What was done to a part before a reading: `C6=lifted`, `V2=out`, `V2=replaced`.
//!
//! A circuit, a name and a word come in; a setting for the part, or for every section of its socket, goes out.

use circuit::{Circuit, PartId, PartKind, Setting, SettingValue};

use super::positions::{is_not, Unfit};

/// Words for a tube that is pulled, or a part of which a lead is lifted.
const OUT: [&str; 5] = ["out", "lifted", "pulled", "removed", "disconnected"];

/// Words for a good one in its place.
const REPLACED: [&str; 2] = ["replaced", "swapped"];

/// What the words say was done; none if they say where a control stands.
pub(super) fn done(words: &str) -> Option<SettingValue> {
    let is = |word: &&str| word.eq_ignore_ascii_case(words);
    match OUT.iter().any(is) {
        true => Some(SettingValue::Out),
        false => REPLACED.iter().any(is).then_some(SettingValue::Replaced),
    }
}

/// The part of this name, or all sections of this socket: a tube comes out whole.
pub(super) fn named(circuit: &Circuit, name: &str) -> Vec<PartId> {
    let of_socket = |id: &PartId| {
        let socket = circuit::socket(&circuit.part(*id).designator);
        socket.is_some_and(|socket| socket.eq_ignore_ascii_case(name))
    };
    let parts = (0..circuit.parts().len()).map(PartId);
    let device = |id: &PartId| matches!(circuit.part(*id).kind, PartKind::Device(_));
    let first = circuit.part_named(name);
    match first.or_else(|| parts.filter(device).find(of_socket)) {
        Some(id) if device(&id) => circuit.sections_of(id),
        found => found.into_iter().collect(),
    }
}

/// The words for what can be done to a part of this kind.
pub(super) fn words_for(kind: &PartKind) -> &'static [&'static str] {
    match kind {
        PartKind::Resistor(_)
        | PartKind::Capacitor(_)
        | PartKind::Inductor(_)
        | PartKind::Lamp(_) => &["lifted", "replaced"],
        PartKind::Device(_) => &["out", "replaced"],
        PartKind::Potentiometer(_) | PartKind::Transformer(_) | PartKind::Supply(_) => {
            &["replaced"]
        }
        PartKind::Contact(_) | PartKind::Generator(_) => &[],
    }
}

/// The settings of these sections, or of this part.
///
/// # Errors
/// [`Unfit`] where nothing such can be done to it, or where it would leave other tubes cold.
pub(super) fn taken_out(
    circuit: &Circuit,
    parts: &[PartId],
    (value, text): (SettingValue, &str),
) -> Result<Vec<Setting>, Unfit> {
    for id in parts {
        let part = circuit.part(*id);
        let mut words = words_for(&part.kind).iter();
        if !words.any(|word| done(word) == Some(value)) {
            let help = match &part.kind {
                PartKind::Contact(_) => "write `open` or `closed`",
                PartKind::Supply(_) => "write its volts, such as `0V`, or `replaced`",
                PartKind::Potentiometer(_) => "write a percentage, such as `40%`, or `replaced`",
                _ => "tubes and semiconductors can be out, and parts with two ends be lifted",
            };
            return Err(Unfit::whole(is_not(part.kind.noun(), text), help));
        }
        let mut strings = circuit.heater_strings().iter();
        let is_out = value == SettingValue::Out;
        if is_out && strings.any(|string| string.members.iter().any(|m| m.parts.contains(id))) {
            return Err(Unfit::whole(
                "without it, every tube of its string of heaters is cold",
                "leave such a reading out: it says nothing of the volts",
            ));
        }
    }
    let setting = |part: &PartId| Setting { part: *part, value };
    Ok(parts.iter().map(setting).collect())
}
