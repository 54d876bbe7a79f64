//! Switches with throws as settings put them: `S1 at record`, of one section or of all.
//!
//! Settings of single contacts come in, a switch with its throw goes out. The words round it are written elsewhere.

use circuit::{Job, PartId, PartKind, Setting, SettingValue};

/// The throw of a switch at which no contact is closed.
const OFF: &str = "off";

/// A switch with throws, or a section of one, all of whose contacts are set.
#[derive(Debug, PartialEq)]
pub(crate) struct Thrown<'a> {
    /// Places of its contacts among the settings.
    pub settings: Vec<usize>,
    pub name: &'a str,
    pub throw: &'a str,
    /// Its throw in the netlist; none if its sections stand at different ones.
    pub drawn: Option<&'a str>,
}

/// The switches that the settings put somewhere as a whole, in the order of the settings.
pub(crate) fn thrown<'a>(job: &'a Job, settings: &[Setting]) -> Vec<Thrown<'a>> {
    let mut found: Vec<Thrown<'a>> = Vec::new();
    for setting in settings {
        let Some((line, _)) = contact(job, setting.part) else {
            continue;
        };
        let known = |switch: &Thrown<'_>| switch.name == line || switch.name == stem(line);
        if found.iter().any(known) {
            continue;
        }
        let whole = stem(line);
        let is_sectioned = whole != line && has_sections(job, whole);
        let switch = is_sectioned
            .then(|| at_one_throw(job, settings, whole))
            .flatten()
            .or_else(|| at_one_throw(job, settings, line));
        found.extend(switch);
    }
    found
}

/// A switch, or a section of one, if the settings put all of its contacts, and all of its sections at one throw.
fn at_one_throw<'a>(job: &'a Job, settings: &[Setting], name: &'a str) -> Option<Thrown<'a>> {
    let contacts: Vec<(PartId, &'a str, &'a str)> = job
        .circuit
        .pieces_of(name)
        .filter_map(|(id, _)| contact(job, id).map(|(line, throw)| (id, line, throw)))
        .collect();
    let mut places = Vec::new();
    for (id, ..) in &contacts {
        places.push(settings.iter().position(|setting| setting.part == *id)?);
    }
    let set = |index: usize| settings[places[index]].value == SettingValue::Closed(true);
    let drawn = |index: usize| matches!(&job.circuit.part(contacts[index].0).kind, PartKind::Contact(contact) if contact.closed);
    let throw = throw_of(&contacts, set)?;
    Some(Thrown {
        name,
        throw,
        drawn: throw_of(&contacts, drawn),
        settings: places,
    })
}

/// The throw at which just these contacts are closed; none if no single one is.
fn throw_of<'a>(
    contacts: &[(PartId, &'a str, &'a str)],
    is_closed: impl Fn(usize) -> bool,
) -> Option<&'a str> {
    let closed = (0..contacts.len()).find(|index| is_closed(*index));
    let throw = closed.map_or(OFF, |index| contacts[index].2);
    let mut each = contacts.iter().enumerate();
    each.all(|(index, (_, _, own))| is_closed(index) == (*own == throw && closed.is_some()))
        .then_some(throw)
}

/// The line of a switch with throws, and the throw of which this part is the contact.
fn contact(job: &Job, id: PartId) -> Option<(&str, &str)> {
    let part = job.circuit.part(id);
    let is_contact = matches!(part.kind, PartKind::Contact(_));
    part.designator.split_once('.').filter(|_| is_contact)
}

/// `S2` of its section `S2A`.
fn stem(line: &str) -> &str {
    let whole = line.strip_suffix(|last: char| last.is_ascii_alphabetic());
    let numbered = |whole: &&str| whole.ends_with(|last: char| last.is_ascii_digit());
    whole.filter(numbered).unwrap_or(line)
}

/// Whether several sections of a switch are drawn.
fn has_sections(job: &Job, whole: &str) -> bool {
    let pieces = job.circuit.pieces_of(whole);
    let mut lines = pieces.filter_map(|(id, _)| contact(job, id).map(|(line, _)| line));
    let first = lines.next();
    lines.any(|line| Some(line) != first)
}
