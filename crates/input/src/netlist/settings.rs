//! Settings as a table states them: `R9=100%; S1=closed`. Positions of controls are read in [`super::positions`],
//! what was done to a part in [`taken_out`].
//!
//! A circuit and a cell come in; settings go out, or every fault with its place in the cell. The
//! caller knows the place of the cell.

use std::ops::Range;

use circuit::{Circuit, PartId, PartKind, Setting, SettingValue};

use super::positions::{contact, has_states, is_not, share, state, turn, Unfit};
use super::taken_out;
use crate::nearest::near_or_all;

/// What is wrong with a setting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingFault {
    /// Its place in the text.
    pub bytes: Range<usize>,
    /// What is wrong, in one plain sentence without a full stop.
    pub message: String,
    /// What to write instead.
    pub help: String,
}

/// Reads settings, separated by semicolons. A blank text has none.
///
/// # Errors
/// Every [`SettingFault`] of the text.
pub fn parse_settings(circuit: &Circuit, text: &str) -> Result<Vec<Setting>, Vec<SettingFault>> {
    let mut settings: Vec<Setting> = Vec::new();
    let mut faults = Vec::new();
    let mut start = 0;
    for piece in text.split(';') {
        let bytes = trimmed(piece, start);
        start += piece.len() + 1;
        if bytes.is_empty() {
            continue;
        }
        match setting(circuit, piece.trim(), bytes.start) {
            Ok(found) => {
                let known = |part: PartId| settings.iter().any(|known| known.part == part);
                match found.iter().find(|new| known(new.part)) {
                    Some(again) => {
                        let name = &circuit.part(again.part).designator;
                        faults.push(SettingFault {
                            bytes,
                            message: format!("{name} is set twice"),
                            help: "leave one of them out".to_owned(),
                        });
                    }
                    None => settings.extend(found),
                }
            }
            Err(fault) => faults.push(fault),
        }
    }
    match faults.is_empty() {
        true => Ok(settings),
        false => Err(faults),
    }
}

/// The bytes of a piece without blanks at its ends.
fn trimmed(piece: &str, start: usize) -> Range<usize> {
    let first = start + (piece.len() - piece.trim_start().len());
    first..first + piece.trim().len()
}

/// The settings of one piece of the text: one control, or every contact of a switch with throws.
fn setting(circuit: &Circuit, text: &str, start: usize) -> Result<Vec<Setting>, SettingFault> {
    let fault = |bytes: Range<usize>, message: String, help: String| SettingFault {
        bytes: start + bytes.start..start + bytes.end,
        message,
        help,
    };
    let Some(equals) = text.find('=') else {
        let message = format!("'{text}' is no setting");
        let help = "write `R9=100%` or `S1=closed`, with a semicolon between two of them";
        return Err(fault(0..text.len(), message, help.to_owned()));
    };
    let name = trimmed(&text[..equals], 0);
    let value = trimmed(&text[equals + 1..], equals + 1);
    let (name_text, value_text) = (&text[name.clone()], &text[value.clone()]);
    // The whole setting where there is nothing to be marked.
    let or_whole = |bytes: Range<usize>| match bytes.is_empty() {
        true => 0..text.len(),
        false => bytes,
    };
    let place = or_whole(value.clone());
    if let Some(done) = taken_out::done(value_text) {
        let parts = taken_out::named(circuit, name_text);
        if !parts.is_empty() {
            return taken_out::taken_out(circuit, &parts, (done, value_text))
                .map_err(|unfit| fault(place, unfit.message, unfit.help));
        }
    }
    let Some(part) = circuit.part_named(name_text) else {
        let throws: Vec<(PartId, &str)> = throws(circuit, name_text).collect();
        if !throws.is_empty() {
            return thrown(name_text, &throws, value_text)
                .map_err(|(message, help)| fault(place, message, help));
        }
        let sections = taken_out::named(circuit, name_text);
        let pieces: Vec<String> = circuit
            .pieces_of(name_text)
            .map(|(id, _)| circuit.part(id).designator.clone())
            .collect();
        let message = match (sections.is_empty(), pieces.is_empty()) {
            (true, true) => format!("no part is called '{name_text}'"),
            (true, false) => {
                format!("{name_text} is drawn in pieces, and cannot be set as a whole")
            }
            (false, _) => format!("'{value_text}' is no setting of {name_text}"),
        };
        let name_of = |id: &PartId| circuit.part(*id).designator.as_str();
        let sections: Vec<&str> = sections.iter().map(name_of).collect();
        let help = match sections.is_empty() {
            true if !pieces.is_empty() => format!("its pieces: {}", pieces.join(", ")),
            true => known(circuit, name_text),
            false => format!(
                "write `out` or `replaced`, or the section: {}",
                sections.join(", ")
            ),
        };
        return Err(fault(or_whole(name), message, help));
    };
    let kind = &circuit.part(part).kind;
    let found = match kind {
        PartKind::Potentiometer(_) => turn(value_text),
        PartKind::Contact(_) => contact(kind.noun(), value_text),
        PartKind::Supply(supply) => share(supply.volts, value_text),
        PartKind::Device(device) if has_states(device.class) => {
            state(device.class.noun(), value_text)
        }
        _ => {
            let unfit = without_position(circuit, kind, value_text);
            return Err(fault(place, unfit.message, unfit.help));
        }
    };
    let value = found.map_err(|unfit| {
        let within = unfit.within.filter(|bytes| !bytes.is_empty());
        let within = within.map(|bytes| value.start + bytes.start..value.start + bytes.end);
        fault(within.unwrap_or(place), unfit.message, unfit.help)
    })?;
    Ok(vec![Setting { part, value }])
}

/// What is written for a part that has no position, but the words for what was done to it.
fn without_position(circuit: &Circuit, kind: &PartKind, text: &str) -> Unfit {
    let words = match taken_out::words_for(kind) {
        [] => String::new(),
        words => format!("write `{}`; ", words.join("` or `")),
    };
    Unfit::whole(
        is_not(kind.noun(), text),
        format!("{words}{}", known(circuit, "")),
    )
}

/// The contacts of the switch with throws of this name, or of all its sections, and their throws.
fn throws<'c>(circuit: &'c Circuit, name: &'c str) -> impl Iterator<Item = (PartId, &'c str)> + 'c {
    let pieces = circuit.pieces_of(name);
    pieces.filter(|(part, _)| matches!(circuit.part(*part).kind, PartKind::Contact(_)))
}

/// A switch with its throw: that contact is closed, the others are open. A throw that is not
/// connected in one section closes nothing there.
fn thrown(
    name: &str,
    throws: &[(PartId, &str)],
    wanted: &str,
) -> Result<Vec<Setting>, (String, String)> {
    let is = |throw: &str| throw.eq_ignore_ascii_case(wanted);
    // In a position that is not connected, all contacts are open.
    let nowhere = ["off", "open"]
        .iter()
        .any(|word| wanted.eq_ignore_ascii_case(word));
    if !nowhere && !throws.iter().any(|(_, throw)| is(throw)) {
        let mut names: Vec<&str> = throws.iter().map(|(_, throw)| *throw).collect();
        names.dedup();
        let help = near_or_all(wanted, &names, "its throws are");
        return Err((format!("'{wanted}' is no throw of {name}"), help));
    }
    let set = |(part, throw): &(PartId, &str)| Setting {
        part: *part,
        value: SettingValue::Closed(is(throw)),
    };
    Ok(throws.iter().map(set).collect())
}

/// The control or supply that was probably meant, or else all of them, for a help line.
fn known(circuit: &Circuit, name: &str) -> String {
    let mut controls: Vec<&str> = (0..circuit.parts().len())
        .map(|index| circuit.part(PartId(index)))
        .filter(|part| {
            matches!(
                part.kind,
                PartKind::Potentiometer(_) | PartKind::Contact(_) | PartKind::Supply(_)
            )
        })
        .map(|part| part.designator.split('.').next().unwrap_or_default())
        .collect();
    controls.dedup();
    match controls.is_empty() {
        true => "this circuit has no potentiometer, switch, fuse or supply".to_owned(),
        false => near_or_all(name, &controls, "positions belong to"),
    }
}

#[cfg(test)]
#[path = "settings_tests.rs"]
mod tests;
