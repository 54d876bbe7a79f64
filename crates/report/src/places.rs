//! Where the probes go, in words.

use std::collections::HashMap;

use circuit::{Job, ManualEntry, Port, Quantity, Setting, SettingValue, UnprintedEntry};

use crate::figures::{self, percent};

/// The other side that most of the manual's rows share, the first of several; none without rows.
pub(crate) fn usual_reference(job: &Job) -> Option<&str> {
    let sides = || job.manual.iter().map(|entry| entry.against.as_str());
    let mut counts: HashMap<&str, usize> = HashMap::new();
    for side in sides().filter(|side| !side.is_empty()) {
        *counts.entry(side).or_default() += 1;
    }
    let most = counts.values().max().copied()?;
    sides().find(|side| counts.get(side) == Some(&most))
}

/// Places of a job in words, for tables of many rows.
#[derive(Clone, Copy)]
pub(crate) struct Places<'a> {
    job: &'a Job,
    usual: Option<&'a str>,
}

impl<'a> Places<'a> {
    pub(crate) fn of(job: &'a Job) -> Self {
        Places {
            job,
            usual: usual_reference(job),
        }
    }

    /// `plate1`, `plate1 to cath1` where the other side is not the usual one, `across R7`; of a current
    /// `through R7`, for an ammeter across a part is a short circuit.
    pub(crate) fn where_text(&self, entry: &ManualEntry) -> String {
        if let Some(part) = part_across(self.job, &entry.at, entry.port) {
            return at_part(part, entry.quantity);
        }
        if entry.against.is_empty() || Some(entry.against.as_str()) == self.usual {
            // A socket chart's points are called after their places; once is enough.
            if entry.at == entry.point {
                return String::new();
            }
            entry.at.clone()
        } else {
            format!("{} to {}", entry.at, entry.against)
        }
    }

    /// The place of a row without a printed value, as written where it is no part.
    pub(crate) fn where_unprinted(&self, entry: &UnprintedEntry) -> String {
        match part_across(self.job, &entry.at, entry.port) {
            Some(part) => at_part(part, entry.quantity),
            None if entry.at == entry.point => String::new(),
            None => entry.at.clone(),
        }
    }
}

fn at_part(part: &str, quantity: Quantity) -> String {
    match quantity {
        Quantity::DcMilliamperes => format!("through {part}"),
        Quantity::DcVolts | Quantity::AcVolts | Quantity::Ohms => format!("across {part}"),
    }
}

impl Places<'_> {
    /// The place and the settings under which it is read: `V2B plate, S1 closed`.
    pub(crate) fn with_settings(&self, entry: &ManualEntry) -> String {
        let all = [self.where_text(entry), controls(self.job, &entry.settings)];
        let told = all.into_iter().filter(|words| !words.is_empty());
        told.collect::<Vec<_>>().join(", ")
    }
}

/// A line for each setting of the controls under which the manual reads some points, with their names.
pub(crate) fn settings_lines(job: &Job) -> Vec<String> {
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for entry in &job.manual {
        let words = controls(job, &entry.settings);
        let name = entry.point.replace(' ', "\u{a0}");
        match told.iter_mut().find(|(known, _)| *known == words) {
            _ if words.is_empty() => {}
            Some((_, names)) => names.push(name),
            None => told.push((words, vec![name])),
        }
    }
    let line =
        |(words, names): (String, Vec<String>)| format!("Read with {words}: {}.", names.join(", "));
    told.into_iter().map(line).collect()
}

/// Whether two rows of a manual are about one place in one state of the set, by whatever name.
pub(crate) fn is_same_place(a: &ManualEntry, b: &ManualEntry) -> bool {
    let alike = a.port == b.port && a.quantity == b.quantity && a.settings == b.settings;
    alike && (a.port.is_some() || a.point == b.point)
}

/// The place of a single entry in words.
pub(crate) fn where_text(job: &Job, entry: &ManualEntry) -> String {
    Places::of(job).where_text(entry)
}

/// What the red and the black probe touch; of a current through a part the lead that is opened, twice.
pub(crate) fn probes(job: &Job, entry: &ManualEntry) -> (String, String) {
    if let Some(lead) = opened_lead(job, entry) {
        return (
            format!("{lead}, opened"),
            "other side of the opened lead".to_owned(),
        );
    }
    match (part_across(job, &entry.at, entry.port), entry.port) {
        (Some(part), Some(port)) => (
            format!("{} end of {part}", job.circuit.node_name(port.plus)),
            format!("{} end of {part}", job.circuit.node_name(port.minus)),
        ),
        _ if entry.against.is_empty() => (entry.at.clone(), "common".to_owned()),
        _ => (entry.at.clone(), entry.against.clone()),
    }
}

/// The lead of a two-ended part into which the ammeter of a row goes: `lead of R7 at bplus`; none for
/// other quantities and for rows that name the lead themselves.
pub(crate) fn opened_lead(job: &Job, entry: &ManualEntry) -> Option<String> {
    if entry.quantity != Quantity::DcMilliamperes {
        return None;
    }
    let part = part_across(job, &entry.at, entry.port)?;
    let end = job.circuit.node_name(entry.port?.plus);
    Some(format!("lead of {part} at {end}"))
}

/// What to do other than read direct volts; empty for those.
pub(crate) fn quantity_words(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::DcVolts => "",
        Quantity::AcVolts => "Read alternating volts.",
        Quantity::Ohms => "A resistance: power off, capacitors discharged.",
        Quantity::DcMilliamperes => {
            "A current: power off and capacitors discharged to put the meter in series."
        }
    }
}

/// The control positions that the row asks for, in a sentence; empty without any.
pub(crate) fn settings_words(job: &Job, entry: &ManualEntry) -> String {
    match controls(job, &entry.settings) {
        words if words.is_empty() => words,
        words => format!("Set {words}."),
    }
}

/// Controls and supplies with their positions and volts: `R9 at 40 %, S1 closed`.
pub(crate) fn controls(job: &Job, settings: &[Setting]) -> String {
    let controls: Vec<String> = settings
        .iter()
        .filter_map(|setting| {
            let part = &job.circuit.parts().get(setting.part.0)?.designator;
            // Of a switch with throws the one that is closed says all.
            Some(match (setting.value, part.split_once('.')) {
                (SettingValue::Closed(true), Some((switch, throw))) => {
                    return Some(format!("{switch} at {throw}"));
                }
                (SettingValue::Closed(false), Some(_)) => return None,
                (value, _) => value,
            })
            .map(|value| match value {
                SettingValue::Turn(share) => format!("{part} at {} %", percent(share * 100.0)),
                SettingValue::Closed(true) => format!("{part} closed"),
                SettingValue::Closed(false) => format!("{part} open"),
                SettingValue::Held(volts) => {
                    format!("{part} at {}", figures::stated(volts, units::Unit::Volt))
                }
            })
        })
        .collect();
    controls.join(", ")
}

/// How to undo settings when their points are read: `open S1 again`.
pub(crate) fn set_back(job: &Job, settings: &[Setting]) -> String {
    let back: Vec<String> = settings
        .iter()
        .filter_map(|setting| {
            let part = &job.circuit.parts().get(setting.part.0)?.designator;
            Some(match setting.value {
                SettingValue::Closed(true) => format!("open {part} again"),
                SettingValue::Closed(false) => format!("close {part} again"),
                SettingValue::Turn(_) | SettingValue::Held(_) => format!("set {part} back"),
            })
        })
        .collect();
    back.join(", ")
}

/// The two-ended part that the row measures across, from one end to the other.
fn part_across<'a>(job: &'a Job, at: &str, port: Option<Port>) -> Option<&'a str> {
    let port = port?;
    // A node of the same name comes first, as it does where places are read.
    if job.circuit.node(at).is_some() {
        return None;
    }
    let part = job.circuit.part(job.circuit.part_named(at.trim())?);
    (part.nodes == [port.plus, port.minus]).then_some(part.designator.as_str())
}
