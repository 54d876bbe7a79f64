//! Every fault of every part of a circuit, with its weight and the sizes it may have.
//!
//! A circuit and age factors come in. Faults that cannot be in this circuit, such as an open
//! winding across one node, are left out; what a fault does to any reading is not known here.

use circuit::{
    socket, Characteristic, Circuit, Device, DeviceClass, Part, PartId, PartKind, Resistor,
};

use crate::suspects::bounds::{drift, floating_grid, leak, ohms, turns};
use crate::suspects::fault::{Fault, Hypothesis, SizeUnit, Sizes};
use crate::suspects::priors::{weight, AgeFactors, PartClass};

/// A fault to be tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The fault.
    pub hypothesis: Hypothesis,
    /// Rate × share × age, relative to a composition resistor.
    pub weight: f64,
    /// The sizes it may have; none for a fault without a size.
    pub sizes: Option<Sizes>,
}

/// A capacitor from which it counts as electrolytic, and as paper, in farads (common practice, no
/// source).
pub(crate) const ELECTROLYTIC_FROM: f64 = 0.99e-6;
pub(crate) const PAPER_FROM: f64 = 0.99e-9;

/// All faults of all parts, in the order of the parts.
pub fn candidates(circuit: &Circuit, ages: &AgeFactors) -> Vec<Candidate> {
    let mut found = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        let id = PartId(index);
        let class = class(&part.kind);
        for (hypothesis, sizes) in faults_of(circuit, id, part) {
            let Some(weight) = weight(class, hypothesis.fault, ages) else {
                continue;
            };
            let sound = sizes.is_none_or(|s| s.least > 0.0 && s.most > s.least * 1.01);
            if weight > 0.0 && sound {
                found.push(Candidate {
                    hypothesis,
                    weight,
                    sizes,
                });
            }
        }
    }
    found
}

/// The kind of part, as the table of rates has it.
pub(crate) fn class(kind: &PartKind) -> PartClass {
    match kind {
        PartKind::Resistor(_) => PartClass::Resistor,
        PartKind::Potentiometer(_) => PartClass::Potentiometer,
        PartKind::Capacitor(capacitor) if capacitor.farads >= ELECTROLYTIC_FROM => {
            PartClass::Electrolytic
        }
        PartKind::Capacitor(capacitor) if capacitor.farads >= PAPER_FROM => PartClass::Paper,
        PartKind::Capacitor(_) => PartClass::Mica,
        PartKind::Inductor(_) => PartClass::Coil,
        PartKind::Transformer(_) => PartClass::Transformer,
        PartKind::Supply(_) | PartKind::Generator(_) => PartClass::Supply,
        PartKind::Lamp(_) => PartClass::Lamp,
        PartKind::Contact(_) => PartClass::Contact,
        PartKind::Device(device) => match device.class {
            DeviceClass::Tube => PartClass::Tube,
            DeviceClass::Diode => PartClass::Diode,
            DeviceClass::Regulator | DeviceClass::NeonLamp => PartClass::Regulator,
            DeviceClass::Transistor => PartClass::Transistor,
            DeviceClass::FieldEffect => PartClass::FieldEffect,
        },
    }
}

type Found = Vec<(Hypothesis, Option<Sizes>)>;

fn faults_of(circuit: &Circuit, id: PartId, part: &Part) -> Found {
    let plain = |fault: Fault| (Hypothesis::of(id, fault), None);
    let sized = |fault: Fault, sizes: Sizes| (Hypothesis::of(id, fault), Some(sizes));
    let joined = part.nodes.len() == 2 && part.nodes[0] == part.nodes[1];
    if joined {
        return Vec::new();
    }
    match &part.kind {
        PartKind::Resistor(resistor) => {
            let (up, down) = drift(circuit, id, resistor.ohms);
            vec![
                sized(Fault::DriftedHigh, up),
                sized(Fault::DriftedLow, down),
                plain(Fault::Open),
                plain(Fault::Shorted),
            ]
        }
        PartKind::Potentiometer(pot) => {
            let (up, down) = drift(circuit, id, pot.ohms);
            vec![
                plain(Fault::TrackOpenAbove),
                plain(Fault::TrackOpenBelow),
                plain(Fault::WiperOpen),
                sized(Fault::DriftedHigh, up),
                sized(Fault::DriftedLow, down),
            ]
        }
        PartKind::Capacitor(capacitor) => {
            vec![sized(Fault::Leaky, leak(capacitor)), plain(Fault::Shorted)]
        }
        PartKind::Inductor(coil) => vec![
            plain(Fault::Open),
            plain(Fault::Shorted),
            sized(Fault::ShortedTurns, turns(coil.ohms)),
        ],
        PartKind::Transformer(two) => vec![
            plain(Fault::PrimaryOpen),
            plain(Fault::SecondaryOpen),
            sized(Fault::ShortedTurns, turns(two.primary_ohms)),
        ],
        PartKind::Supply(supply) => {
            let volts = supply.volts;
            let source = supply.source;
            let weak = ohms(Some(source), 1.5 * source.max(1.0), 30.0 * source.max(10.0));
            let spread = circuit::spread_of(part, circuit::PartParameter::Volts);
            let off = |least: f64, most: f64| Sizes {
                from: Some(volts.abs()),
                least,
                most,
                unit: SizeUnit::Volts,
            };
            let high = off(volts.abs() + spread.half_width, 1.3 * volts.abs());
            let low = off(0.4 * volts.abs(), volts.abs() - spread.half_width);
            vec![
                sized(Fault::VoltsHigh, high),
                sized(Fault::VoltsLow, low),
                sized(Fault::WeakSource, weak),
                plain(Fault::Dead),
            ]
        }
        PartKind::Generator(_) => Vec::new(),
        PartKind::Lamp(_) => vec![plain(Fault::Open)],
        PartKind::Contact(_) => vec![plain(Fault::StuckOpen), plain(Fault::StuckClosed)],
        PartKind::Device(device) => device_faults(circuit, id, part, device),
    }
}

fn device_faults(circuit: &Circuit, id: PartId, part: &Part, device: &Device) -> Found {
    let plain = |fault: Fault| (Hypothesis::of(id, fault), None);
    let sized = |fault: Fault, sizes: Sizes| (Hypothesis::of(id, fault), Some(sizes));
    let apart = |a: usize, b: usize| match device.units.first() {
        Some(unit) if unit.at.len() > a.max(b) => part.nodes[unit.at[a]] != part.nodes[unit.at[b]],
        _ => false,
    };
    let leads = |found: &mut Found, places: &[usize]| {
        let Some(unit) = device.units.first() else {
            return;
        };
        let terminals = places.iter().filter_map(|place| unit.at.get(*place));
        found.extend(terminals.map(|terminal| (Hypothesis::electrode(id, *terminal), None)));
    };
    let share = |least: f64, most: f64| Sizes {
        from: Some(1.0),
        least,
        most,
        unit: SizeUnit::Share,
    };
    let mut found: Found = Vec::new();
    match device.class {
        DeviceClass::Tube => {
            let last = device.units.first().map_or(1, |unit| unit.at.len()) - 1;
            found.push(sized(Fault::LowEmission, share(0.1, 0.7)));
            found.push(plain(Fault::NoEmission));
            if heads_socket(circuit, id) {
                found.push(plain(Fault::HeaterOpen));
            }
            // Every electrode but the cathode, whose loss is the loss of the emission.
            leads(&mut found, &(0..last).collect::<Vec<_>>());
            for (hypothesis, sizes) in &mut found {
                *sizes = sizes.or(floating_grid(circuit, hypothesis));
            }
            if let Some(grid) = grid(device) {
                let gas = Sizes {
                    from: None,
                    least: 0.2e-6,
                    most: 5e-6,
                    unit: SizeUnit::Amperes,
                };
                found.push(sized(Fault::Gassy, gas));
                if apart(grid, last) {
                    found.push(plain(Fault::GridCathodeShort));
                }
            }
            if apart(0, last) {
                found.push(plain(Fault::PlateCathodeShort));
            }
            let cathode = device.units.first().map(|unit| part.nodes[unit.at[last]]);
            if cathode.is_some_and(|node| !circuit.nodes()[node.0].is_reference) {
                found.push(sized(Fault::HeaterCathodeLeak, ohms(None, 10e3, 10e6)));
            }
        }
        DeviceClass::Diode => found.extend([
            plain(Fault::Shorted),
            plain(Fault::Open),
            sized(Fault::Leaky, ohms(None, 1e3, 1e6)),
        ]),
        DeviceClass::Regulator | DeviceClass::NeonLamp => {
            if device.units.iter().any(|unit| unit.glow.is_some()) {
                found.push(plain(Fault::NoStrike));
            } else {
                found.push(plain(Fault::Open));
            }
            found.push(plain(Fault::Shorted));
            found.push(sized(Fault::Leaky, ohms(None, 1e3, 1e6)));
        }
        DeviceClass::Transistor => {
            found.push(plain(Fault::EndsShorted));
            found.extend(apart(1, 2).then(|| plain(Fault::BaseEmitterShort)));
            found.extend(apart(0, 1).then(|| plain(Fault::CollectorBaseShort)));
            leads(&mut found, &[0, 1, 2]);
            let leakage = device
                .units
                .iter()
                .find_map(|unit| match unit.characteristic {
                    Characteristic::Bipolar(transistor) => Some(transistor.leakage),
                    _ => None,
                });
            if let Some(normal) = leakage.filter(|amperes| *amperes > 0.0) {
                let leaky = Sizes {
                    from: Some(normal),
                    least: 3.0 * normal,
                    most: 30.0 * normal,
                    unit: SizeUnit::Amperes,
                };
                found.push(sized(Fault::Leaky, leaky));
            }
            found.push(sized(Fault::LowGain, share(0.1, 0.6)));
        }
        DeviceClass::FieldEffect => {
            found.push(plain(Fault::EndsShorted));
            leads(&mut found, &[0, 1, 2]);
            found.push(sized(Fault::LowGain, share(0.1, 0.6)));
        }
    }
    found
}

/// The place of the control grid among a tube's terminals.
pub(crate) fn grid(device: &Device) -> Option<usize> {
    match device.units.first()?.characteristic {
        Characteristic::Triode(_) => Some(1),
        Characteristic::Pentode(_) => Some(2),
        Characteristic::Pentagrid(_) => Some(3),
        _ => None,
    }
}

/// Whether a part is the first of several sections drawn for one socket.
fn heads_socket(circuit: &Circuit, id: PartId) -> bool {
    sections(circuit, id).first() == Some(&id) && sections(circuit, id).len() > 1
}

/// All sections drawn for the socket of a part, itself included.
pub(crate) fn sections(circuit: &Circuit, id: PartId) -> Vec<PartId> {
    let Some(own) = socket(&circuit.part(id).designator) else {
        return vec![id];
    };
    let same = |part: &Part| {
        matches!(part.kind, PartKind::Device(_)) && socket(&part.designator) == Some(own)
    };
    let parts = circuit.parts().iter().enumerate();
    parts
        .filter(|(_, part)| same(part))
        .map(|(index, _)| PartId(index))
        .collect()
}

/// A resistor of these ohms without tolerance.
pub(crate) fn resistor(ohms: f64) -> PartKind {
    PartKind::Resistor(Resistor {
        ohms,
        tolerance: None,
    })
}
