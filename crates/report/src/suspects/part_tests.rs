//! How suspected parts are tested by themselves, with the power off.

use circuit::{
    spread_of, tube_type, Capacitor, ContactKind, Device, DeviceClass, Dielectric, Job, Part,
    PartKind, PartParameter, SupplyKind,
};
use diagnose::{Fault, Hypothesis, Member, Suspects};
use units::Unit;

use crate::figures;

use super::convicted::was_tested;
use super::feeds::unfed_test;
use super::strings::string_test;

/// Parts that are told to be tested, at most, and the probability below which only the first is.
const MOST_TESTS: usize = 4;
const LEAST_TESTED: f64 = 0.05;

/// How to test the most probable parts by themselves, each part once; none that was lifted or replaced already.
pub(super) fn part_tests(job: &Job, suspects: &Suspects) -> Vec<String> {
    let members = suspects.hypotheses.iter().flat_map(|one| &one.members);
    let mut members: Vec<&Member> = members.collect();
    members.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    let mut tests: Vec<String> = Vec::new();
    for (rank, member) in members.into_iter().enumerate() {
        if rank > 0 && member.probability < LEAST_TESTED {
            break;
        }
        for (fault, _) in &member.faults {
            let untested = fault.part().filter(|id| !was_tested(job, suspects, *id));
            let Some(part) = untested.map(|id| job.circuit.part(id)) else {
                continue;
            };
            let words = match (fault, fault.open_heater_of(&job.circuit)) {
                (_, Some(string)) => string_test(job, string),
                (Hypothesis::SectionsSwapped { .. }, None) => socket_test(part),
                (_, None) => unfed_test(job, fault)
                    .or_else(|| position_test(part, fault))
                    .unwrap_or_else(|| part_test(part)),
            };
            if tests.len() < MOST_TESTS && !tests.contains(&words) {
                tests.push(words);
            }
        }
    }
    tests
}

/// What a sound part measures: its ohms within the limits that it has, or is taken to have.
pub(super) fn within(part: &Part, number: PartParameter) -> String {
    let spread = spread_of(part, number);
    let share = match spread.nominal > 0.0 {
        true => spread.half_width / spread.nominal,
        false => 0.0,
    };
    let ohms = spread.nominal;
    match share > 0.0 {
        true => format!(
            "{} ± {} %",
            figures::stated(ohms, Unit::Ohm),
            figures::short(share * 100.0, 2)
        ),
        false => figures::stated(ohms, Unit::Ohm),
    }
}

/// Share of its usual leakage resistance below which an electrolytic capacitor is suspect, and ohms below which
/// another one is (common practice, no source).
const SOUND_ELECTROLYTIC: f64 = 0.1;
const SOUND_OTHERS: f64 = 100e6;

/// What a sound capacitor has at least, in ohms: half of what the drawing states, or as usual.
fn sound_leak(capacitor: &Capacitor) -> f64 {
    let usual = match capacitor.dielectric {
        Dielectric::Electrolytic => SOUND_ELECTROLYTIC * capacitor.usual_leak(),
        Dielectric::Paper | Dielectric::Mica => SOUND_OTHERS,
    };
    capacitor.leak.map_or(usual, |leak| 0.5 * leak)
}

/// Where to look for leads that are soldered to the wrong pins.
fn socket_test(part: &Part) -> String {
    let name = part.designator.as_str();
    let socket = circuit::socket(name).unwrap_or(name);
    format!("follow the leads at the socket of {socket} to where they end")
}

/// Where a control should stand that may be set elsewhere.
fn position_test(part: &Part, fault: &Hypothesis) -> Option<String> {
    let set = matches!(fault.fault()?, Fault::SetHigher | Fault::SetLower);
    match &part.kind {
        PartKind::Potentiometer(pot) if set => Some(format!(
            "see where {} stands: it should be at {} %",
            part.designator,
            figures::percent(pot.setting * 100.0)
        )),
        _ => None,
    }
}

/// Whether a regulator or rectifier is a tube in a socket.
fn is_plugged(device: &Device) -> bool {
    tube_type(&device.type_name).is_some()
}

/// How a part is tested out of its circuit (common practice, no source).
fn part_test(part: &Part) -> String {
    let name = part.designator.as_str();
    match &part.kind {
        PartKind::Resistor(_) => format!(
            "lift one end of {name} and measure it ({})",
            within(part, PartParameter::Resistance)
        ),
        PartKind::Potentiometer(_) => format!(
            "lift one end of {name} and measure it from end to end ({}) and to its wiper",
            within(part, PartParameter::Resistance)
        ),
        PartKind::Capacitor(capacitor) => format!(
            "lift one end of {name} and test it for leakage at its working volts (over {})",
            figures::ohms(sound_leak(capacitor))
        ),
        PartKind::Inductor(_) => format!(
            "lift one end of {name} and measure it ({})",
            within(part, PartParameter::Resistance)
        ),
        PartKind::Transformer(_) => format!(
            "free one end of each winding of {name} and measure them (first {}, second {})",
            within(part, PartParameter::PrimaryResistance),
            within(part, PartParameter::SecondaryResistance)
        ),
        PartKind::Supply(supply) => match supply.kind {
            SupplyKind::Battery => format!("measure {name} by itself under load"),
            // Hardly ever is a supply one part.
            SupplyKind::Supply => format!(
                "test what {name} stands for: rectifier, its filter capacitor, transformer or vibrator"
            ),
        },
        PartKind::Generator(_) | PartKind::Lamp(_) => format!("measure {name} by itself"),
        PartKind::Contact(contact) if contact.kind == ContactKind::Fuse => format!(
            "take {name} out and measure it; a blown one had a reason: look for a short behind it before \
             another of its rating goes in"
        ),
        PartKind::Contact(_) => {
            format!("measure {name} open and closed (next to nothing), and move it while you do")
        }
        PartKind::Device(device) if device.class == DeviceClass::Tube || is_plugged(device) => {
            let socket = circuit::socket(name).unwrap_or(name);
            format!("test {socket} or try another {}", device.type_name)
        }
        PartKind::Device(device) => format!("lift {name} ({}) and test it", device.type_name),
    }
}
