//! Parts, faults and their sizes in the words of the trade.
//!
//! A fault with its size comes in; a phrase such as `has risen from 220 kΩ to about 480 kΩ` goes
//! out. How likely the fault is, is not known here.

use circuit::{ContactKind, Job, Part, PartKind};
use diagnose::{Fault, Hypothesis, Member, Misreading, Size, SizeUnit};
use units::Unit;

use crate::figures;

use super::sizes::{amount, bracketed, drawn};
use super::{feeds, strings};

/// A part by its designator and what is written on it: `R7 220 kΩ`, `V1A 12AX7`.
pub(crate) fn part_words(part: &Part) -> String {
    let value = match &part.kind {
        PartKind::Resistor(resistor) => figures::stated(resistor.ohms, Unit::Ohm),
        PartKind::Potentiometer(pot) => figures::stated(pot.ohms, Unit::Ohm),
        PartKind::Capacitor(capacitor) => figures::stated(capacitor.farads, Unit::Farad),
        PartKind::Inductor(coil) => match coil.henries {
            Some(henries) => figures::stated(henries, Unit::Henry),
            None => figures::stated(coil.ohms, Unit::Ohm),
        },
        PartKind::Supply(supply) => figures::stated(supply.volts, Unit::Volt),
        PartKind::Device(device) => device.type_name.clone(),
        other @ (PartKind::Transformer(_)
        | PartKind::Generator(_)
        | PartKind::Lamp(_)
        | PartKind::Contact(_)) => other.noun().to_owned(),
    };
    format!("{} {value}", part.designator)
}

/// Where a part sits: `decoup to plate1`, for a device `plate at plate3`.
pub(crate) fn seat_words(job: &Job, part: &Part) -> String {
    let name = |place: usize| Some(job.circuit.node_name(*part.nodes.get(place)?));
    match &part.kind {
        PartKind::Device(_) | PartKind::Potentiometer(_) => {
            let terminals = part.kind.terminals();
            let wiper = usize::from(matches!(part.kind, PartKind::Potentiometer(_)));
            match (terminals.get(wiper), name(wiper)) {
                (Some(terminal), Some(node)) => format!("{terminal} at {node}"),
                _ => String::new(),
            }
        }
        _ => match (name(0), name(1)) {
            (Some(first), Some(second)) => format!("{first} to {second}"),
            _ => String::new(),
        },
    }
}

/// What a fault does to its part, without the part's name.
pub(crate) fn fault_phrase(part: &Part, fault: &Hypothesis, size: Option<&Size>) -> String {
    let Some(kind) = fault.fault() else {
        return fault.name().to_owned();
    };
    if let Some(size) = size {
        return sized(part, kind, size);
    }
    let fuse =
        matches!(&part.kind, PartKind::Contact(contact) if contact.kind == ContactKind::Fuse);
    match kind {
        Fault::Open if matches!(part.kind, PartKind::Lamp(_)) => "burnt out".to_owned(),
        Fault::StuckOpen if fuse => "blown".to_owned(),
        Fault::Dead => "gives nothing".to_owned(),
        Fault::HeaterOpen => "heater open: no section of the tube draws current".to_owned(),
        Fault::NoEmission => "draws no current: cathode open or no heater".to_owned(),
        Fault::ElectrodeOpen => format!("{} not connected", electrode(part, fault)),
        Fault::OtherType => match other_type(fault) {
            Some(name) => format!("a {name} plugged in?"),
            None => kind.name().to_owned(),
        },
        other => other.name().to_owned(),
    }
}

fn sized(part: &Part, fault: Fault, size: &Size) -> String {
    let to = amount(size);
    let from = size
        .from
        .map_or(String::new(), |from| format!("from {} ", drawn(from, size)));
    let instead = size.from.map_or(String::new(), |from| {
        format!(" instead of {}", drawn(from, size))
    });
    match fault {
        Fault::DriftedHigh => format!("has risen {from}to {to}"),
        Fault::DriftedLow => format!("has fallen {from}to {to}"),
        Fault::TenTimes | Fault::ATenth => {
            format!("{to}{instead}: a wrong one fitted?")
        }
        Fault::SetHigher | Fault::SetLower => {
            format!("is set to {to}{instead}")
        }
        Fault::WeakSource | Fault::Aged => format!("own resistance has risen {from}to {to}"),
        Fault::ShortedTurns => format!("shorted turns: winding down {from}to {to}"),
        Fault::VoltsHigh | Fault::VoltsLow => {
            let gives = match part.kind {
                PartKind::Device(_) => "holds",
                _ => "gives",
            };
            format!("{gives} {to}{instead}")
        }
        Fault::Leaky if size.unit == SizeUnit::Amperes => {
            format!("leaks: cut-off current {to} {from}")
                .trim_end()
                .to_owned()
        }
        Fault::Leaky => format!("leaks: {to} across it"),
        Fault::DirtyContact => format!("dirty contact: {to} across it while closed"),
        Fault::LowEmission => format!("emission down to {to}"),
        Fault::LowGain
            if matches!(&part.kind, PartKind::Device(device)
            if device.class == circuit::DeviceClass::FieldEffect) =>
        {
            format!("drain current down to {to}")
        }
        Fault::LowGain => format!("current gain down to {to}"),
        Fault::Gassy => format!("gas: {to} out of the grid"),
        other => format!("{}: {to}", other.name()),
    }
}

/// The type that is plugged in instead.
fn other_type(fault: &Hypothesis) -> Option<&'static str> {
    let other = circuit::tube_types().nth(fault.other_type()?)?;
    Some(other.name.as_str())
}

fn electrode<'a>(part: &'a Part, fault: &Hypothesis) -> &'a str {
    let terminals = part.kind.terminals();
    let place = fault.terminal().and_then(|place| terminals.get(place));
    place.copied().unwrap_or("electrode")
}

/// One fault with its part: `R7 220 kΩ, decoup to plate2: has risen from 220 kΩ to …`.
pub(crate) fn fault_words(job: &Job, fault: &Hypothesis, size: Option<&Size>) -> String {
    if let Some(string) = fault.open_heater_of(&job.circuit) {
        return strings::open_words(string);
    }
    if let Some(words) = feeds::unfed_words(job, fault) {
        return words;
    }
    let Some(part) = fault.part().map(|id| job.circuit.part(id)) else {
        return match fault.reading().and_then(|index| job.readings.get(index)) {
            Some(reading) => format!("reading of point {} wrong", reading.point),
            None => fault.name().to_owned(),
        };
    };
    if let Some(other) = swapped_with(job, fault) {
        let of = match fault.terminal() {
            Some(_) => format!("{} leads of ", electrode(part, fault)),
            None => "sections ".to_owned(),
        };
        let (one, other) = (&part.designator, &other.designator);
        return format!("{of}{one} and {other} swapped at the socket");
    }
    let seat = match seat_words(job, part) {
        seat if seat.is_empty() => seat,
        seat => format!(", {seat}"),
    };
    let phrase = match strings::is_in_string(job, fault) && fault.fault() == Some(Fault::NoEmission)
    {
        true => "draws no current: cathode open or heater shorted".to_owned(),
        false => fault_phrase(part, fault, size),
    };
    let cold = strings::cold_too(job, fault);
    format!("{}{seat}: {phrase}{cold}", part_words(part))
}

/// The section with which an earlier repair has exchanged leads.
fn swapped_with<'a>(job: &'a Job, fault: &Hypothesis) -> Option<&'a Part> {
    match fault {
        Hypothesis::SectionsSwapped { with, .. } => Some(job.circuit.part(*with)),
        _ => None,
    }
}

/// All faults of a member, and how a wrong reading went wrong.
pub(crate) fn suspect_words(job: &Job, member: &Member) -> String {
    let faults = member.faults.iter();
    let faults: Vec<String> = faults
        .map(|(fault, size)| fault_words(job, fault, size.as_ref()))
        .collect();
    faults.join("; and ") + &misread_words(job, member)
}

fn misread_words(job: &Job, member: &Member) -> String {
    match member.misread {
        Some(Misreading::OtherScale { factor }) => format!(
            ": noted as {} times what the meter showed (scale of another range?)",
            figures::short(factor, 3)
        ),
        Some(Misreading::OtherPoint { entry }) => match job.manual.get(entry) {
            Some(entry) => format!(": taken at point {} instead?", entry.point),
            None => String::new(),
        },
        Some(Misreading::SwappedDigits { meant }) => {
            format!(
                ": two digits changed places, {} V?",
                figures::short(meant, 5)
            )
        }
        Some(Misreading::OtherSign) => ": the sign?".to_owned(),
        Some(Misreading::Unexplained) | None => String::new(),
    }
}

/// A member in few words: designators and kinds of fault, `R7 drifted high`.
pub(crate) fn short_words(job: &Job, member: &Member) -> String {
    let of_part = |fault: &Hypothesis| match fault.part().map(|id| job.circuit.part(id)) {
        Some(part) if fault.fault() == Some(Fault::ElectrodeOpen) => {
            format!("{} {} open", part.designator, electrode(part, fault))
        }
        Some(part) => match swapped_with(job, fault) {
            Some(other) => format!("{} and {} swapped", part.designator, other.designator),
            None => format!("{} {}", part.designator, fault.name()),
        },
        None => fault_words(job, fault, None),
    };
    let one = |fault: &Hypothesis| match fault.open_heater_of(&job.circuit) {
        Some(string) => strings::open_short(job, string),
        None if fault.fault() == Some(Fault::Unfed) => "set not fed".to_owned(),
        None => of_part(fault),
    };
    let faults: Vec<String> = member.faults.iter().map(|(fault, _)| one(fault)).collect();
    faults.join(" and ")
}

/// The same with the size of each fault, to tell two sizes of one fault apart: `C3 leaky (12 kΩ)`.
pub(super) fn sized_words(job: &Job, member: &Member) -> String {
    let sizes = member.faults.iter().filter_map(|(_, size)| size.as_ref());
    let sizes: Vec<String> = sizes.map(bracketed).collect();
    format!("{} {}", short_words(job, member), sizes.join(" "))
        .trim_end()
        .to_owned()
}
