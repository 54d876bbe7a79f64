//! Where the probes go, in words.

use std::collections::HashMap;

use circuit::{ContactKind, Job, ManualRow, Part, PartKind, Quantity, Setting, SettingValue};

use crate::figures::{self, percent};
use crate::labels::{gathered, listed};
use crate::switches::thrown;

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
    pub(crate) fn where_text<'r>(&self, row: impl Into<ManualRow<'r>>) -> String {
        let row = row.into();
        if let Some(part) = part_across(self.job, row) {
            return match row.quantity {
                Quantity::DcMilliamperes => format!("through {part}"),
                Quantity::DcVolts | Quantity::AcVolts | Quantity::Ohms => format!("across {part}"),
            };
        }
        if row.against.is_empty() || Some(row.against) == self.usual {
            if says_place(row.point, row.at) {
                return String::new();
            }
            row.at.to_owned()
        } else {
            format!("{} to {}", row.at, other_side(row))
        }
    }

    /// The place and the settings under which it is read: `V2B plate, S1 closed`.
    pub(crate) fn with_settings<'r>(&self, row: impl Into<ManualRow<'r>>) -> String {
        let row = row.into();
        let all = [self.where_text(row), controls(self.job, row.settings)];
        let told = all.into_iter().filter(|words| !words.is_empty());
        told.collect::<Vec<_>>().join(", ")
    }
}

/// The other side of a row; of two electrodes or pins of one device the second without the device,
/// as in `Q1 base to emitter`. Names of nodes have no blanks.
fn other_side(row: ManualRow<'_>) -> &str {
    match (row.at.split_once(' '), row.against.split_once(' ')) {
        (Some((one, _)), Some((other, electrode))) if one.eq_ignore_ascii_case(other) => electrode,
        _ => row.against,
    }
}

/// Whether a point is called after its place, as those of socket charts are, `V1 pin 6 ohms` too: once is
/// enough.
pub(crate) fn says_place(point: &str, at: &str) -> bool {
    point.trim_end_matches(" ohms") == at
}

/// A line for each setting of the controls under which the manual reads some points, with their names.
pub(crate) fn settings_lines(job: &Job) -> Vec<String> {
    let rows = job.row_ids().map(|id| job.row(id));
    let each = rows.map(|row| (controls(job, row.settings), row.point));
    let told = gathered(each.filter(|(words, _)| !words.is_empty()));
    told.into_iter()
        .map(|(words, points)| format!("Read with {words}: {}.", listed(points)))
        .collect()
}

/// Whether two rows of a manual are about one place in one state of the set, by whatever name.
pub(crate) fn is_same_place<'r>(a: impl Into<ManualRow<'r>>, b: impl Into<ManualRow<'r>>) -> bool {
    let (a, b) = (a.into(), b.into());
    let alike = a.port == b.port && a.quantity == b.quantity && a.settings == b.settings;
    alike && (a.port.is_some() || a.point == b.point)
}

/// The place of a single row in words.
pub(crate) fn where_text<'r>(job: &Job, row: impl Into<ManualRow<'r>>) -> String {
    Places::of(job).where_text(row)
}

/// What the red and the black probe touch; of a current through a part the lead that is opened, twice.
pub(crate) fn probes<'r>(job: &Job, row: impl Into<ManualRow<'r>>) -> (String, String) {
    let row = row.into();
    if let Some(lead) = opened_lead(job, row) {
        return (
            format!("{lead}, opened"),
            "other side of the opened lead".to_owned(),
        );
    }
    match (part_across(job, row), row.port) {
        (Some(part), Some(port)) => (
            format!("{} end of {part}", job.circuit.node_name(port.plus)),
            format!("{} end of {part}", job.circuit.node_name(port.minus)),
        ),
        _ if row.against.is_empty() => (row.at.to_owned(), "common".to_owned()),
        _ => (row.at.to_owned(), row.against.to_owned()),
    }
}

/// The lead of a two-ended part into which the ammeter of a row goes: `lead of R7 at bplus`; none for
/// other quantities and for rows that name the lead themselves.
pub(crate) fn opened_lead<'r>(job: &Job, row: impl Into<ManualRow<'r>>) -> Option<String> {
    let row = row.into();
    if row.quantity != Quantity::DcMilliamperes {
        return None;
    }
    let part = part_across(job, row)?;
    let end = job.circuit.node_name(row.port?.plus);
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
pub(crate) fn settings_words(job: &Job, settings: &[Setting]) -> String {
    match controls(job, settings) {
        words if words.is_empty() => words,
        // Nobody turns a tube on, or sets a part lifted.
        words if settings.iter().all(is_no_control) => format!("With {words}."),
        words => format!("Set {words}."),
    }
}

fn is_no_control(setting: &Setting) -> bool {
    match setting.value {
        SettingValue::Conducts(_) => true,
        SettingValue::Out | SettingValue::Alone | SettingValue::Replaced => true,
        SettingValue::Turn(_) | SettingValue::Closed(_) => false,
        SettingValue::Held(_) | SettingValue::Share(_) => false,
    }
}

/// Whether a setting is of a section whose socket has another one before it: a tube is named once.
fn is_later_section(job: &Job, setting: &Setting) -> bool {
    let whole = matches!(setting.value, SettingValue::Out | SettingValue::Replaced);
    whole && job.circuit.sections_of(setting.part).first() != Some(&setting.part)
}

/// The name of what was taken out or replaced: of a tube its socket.
pub(crate) fn taken(part: &Part) -> &str {
    match (&part.kind, circuit::socket(&part.designator)) {
        (PartKind::Device(_), Some(socket)) => socket,
        _ => &part.designator,
    }
}

/// Controls and supplies with their positions and volts: `R9 at 40 %, S1 closed`.
pub(crate) fn controls(job: &Job, settings: &[Setting]) -> String {
    let thrown = thrown(job, settings);
    let each = settings.iter().enumerate().filter_map(|(index, setting)| {
        // Of a switch with throws its throw says all, once.
        if let Some(switch) = thrown.iter().find(|own| own.settings.contains(&index)) {
            let is_first = switch.settings.iter().min() == Some(&index);
            return is_first.then(|| format!("{} at {}", switch.name, switch.throw));
        }
        let part = job.circuit.part(setting.part);
        if is_later_section(job, setting) {
            return None;
        }
        let name = &part.designator;
        Some(match setting.value {
            SettingValue::Share(share) => {
                let volts = set_volts(job, *setting, share);
                format!("{name} at {}", figures::stated(volts, units::Unit::Volt))
            }
            SettingValue::Conducts(true) => format!("{name} conducting"),
            SettingValue::Conducts(false) => format!("{name} cut off"),
            SettingValue::Turn(share) => format!("{name} at {} %", percent(share * 100.0)),
            SettingValue::Closed(true) if is_jack(part) => format!("{name} empty"),
            SettingValue::Closed(false) if is_jack(part) => format!("{name} plugged"),
            SettingValue::Closed(true) => format!("{name} closed"),
            SettingValue::Closed(false) => format!("{name} open"),
            SettingValue::Held(volts) => {
                format!("{name} at {}", figures::stated(volts, units::Unit::Volt))
            }
            SettingValue::Out if is_device(part) => format!("{} out", taken(part)),
            SettingValue::Out => format!("a lead of {name} lifted"),
            SettingValue::Alone => format!("{name} by itself, a lead lifted"),
            SettingValue::Replaced => format!("{} replaced", taken(part)),
        })
    });
    each.collect::<Vec<_>>().join(", ")
}

fn is_device(part: &Part) -> bool {
    matches!(part.kind, PartKind::Device(_))
}

fn is_jack(part: &Part) -> bool {
    matches!(&part.kind, PartKind::Contact(contact) if contact.kind == ContactKind::Jack)
}

/// The volts of a supply that a setting makes a multiple of those in the netlist.
pub(crate) fn set_volts(job: &Job, setting: Setting, share: f64) -> f64 {
    let supply = job.circuit.part(setting.part).kind.supply();
    supply.map_or(0.0, |supply| supply.volts * share)
}

/// How to undo settings when their points are read: `open S1 again`. What stands as drawn is left alone.
pub(crate) fn set_back(job: &Job, settings: &[Setting]) -> String {
    let thrown = thrown(job, settings);
    let each = settings.iter().enumerate().filter_map(|(index, setting)| {
        if let Some(switch) = thrown.iter().find(|own| own.settings.contains(&index)) {
            let is_first = switch.settings.iter().min() == Some(&index);
            return (is_first && switch.drawn != Some(switch.throw)).then(|| match switch.drawn {
                Some(throw) => format!("set {} back to {throw}", switch.name),
                None => format!("set {} back", switch.name),
            });
        }
        let part = job.circuit.part(setting.part);
        if is_later_section(job, setting) {
            return None;
        }
        let name = &part.designator;
        let stands =
            |closed| matches!(&part.kind, PartKind::Contact(contact) if contact.closed == closed);
        match setting.value {
            SettingValue::Closed(closed) if stands(closed) => None,
            SettingValue::Closed(true) if is_jack(part) => Some(format!("plug {name} again")),
            SettingValue::Closed(false) if is_jack(part) => {
                Some(format!("pull the plug out of {name}"))
            }
            SettingValue::Closed(true) => Some(format!("open {name} again")),
            SettingValue::Closed(false) => Some(format!("close {name} again")),
            SettingValue::Out if is_device(part) => {
                Some(format!("with the power off put {} back", taken(part)))
            }
            SettingValue::Out | SettingValue::Alone => {
                Some(format!("with the power off connect {name} again"))
            }
            // Neither state is the usual one, and a good part stays where it is.
            SettingValue::Conducts(_) | SettingValue::Replaced => None,
            SettingValue::Turn(_) | SettingValue::Held(_) | SettingValue::Share(_) => {
                Some(match drawn(part) {
                    Some(drawn) => format!("set {name} back to {drawn}"),
                    None => format!("set {name} back"),
                })
            }
        }
    });
    each.collect::<Vec<_>>().join(", ")
}

/// Where the netlist puts a control or a supply: `40 %`, `12 V`.
fn drawn(part: &Part) -> Option<String> {
    match &part.kind {
        PartKind::Potentiometer(pot) => pot
            .is_stated
            .then(|| format!("{} %", percent(pot.setting * 100.0))),
        kind => kind
            .supply()
            .map(|supply| figures::stated(supply.volts, units::Unit::Volt)),
    }
}

/// The two-ended part that the row measures across, from one end to the other.
fn part_across<'a>(job: &'a Job, row: ManualRow<'_>) -> Option<&'a str> {
    let port = row.port?;
    let part = job.circuit.part(job.circuit.part_named(row.at.trim())?);
    // A node of the same name comes first, as it does where places are read.
    let node = match part.designator == row.at.trim() {
        true => job.circuit.node_exactly(&part.designator),
        false => job.circuit.node(row.at),
    };
    if node.is_some() {
        return None;
    }
    (part.nodes == [port.plus, port.minus]).then_some(part.designator.as_str())
}
