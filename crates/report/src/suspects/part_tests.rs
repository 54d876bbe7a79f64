//! How suspected parts are tested by themselves, with the power off.

use circuit::{DeviceClass, Job, Part, PartKind};
use diagnose::{Member, Suspects};

/// Parts that are told to be tested, at most, and the probability below which only the first is.
const MOST_TESTS: usize = 4;
const LEAST_TESTED: f64 = 0.05;

/// How to test the most probable parts by themselves, each part once.
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
            let Some(part) = fault.part.and_then(|id| job.circuit.parts().get(id.0)) else {
                continue;
            };
            let words = part_test(part);
            if tests.len() < MOST_TESTS && !tests.contains(&words) {
                tests.push(words);
            }
        }
    }
    tests
}

/// How a part is tested out of its circuit (common practice, no source).
fn part_test(part: &Part) -> String {
    let name = part.designator.as_str();
    match &part.kind {
        PartKind::Resistor(_) => format!("lift one end of {name} and measure it"),
        PartKind::Potentiometer(_) => format!("measure {name} from end to end and to its wiper"),
        PartKind::Capacitor(_) => {
            format!("lift one end of {name} and test it for leakage at its working volts")
        }
        PartKind::Inductor(_) | PartKind::Transformer(_) => {
            format!("measure the windings of {name}")
        }
        PartKind::Supply(_) => format!("disconnect {name} and test it by itself"),
        PartKind::Generator(_) | PartKind::Lamp(_) => format!("measure {name} by itself"),
        PartKind::Contact(_) => format!("measure {name} open and closed"),
        PartKind::Device(device) if device.class == DeviceClass::Tube => {
            let socket = circuit::socket(name).unwrap_or(name);
            format!("test {socket} or try another {}", device.type_name)
        }
        PartKind::Device(device) => format!("lift {name} ({}) and test it", device.type_name),
    }
}
