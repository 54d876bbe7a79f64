//! Every fault of every part of a circuit, with its weight and the sizes it may have.
//!
//! A circuit and age factors come in. Faults that cannot be in this circuit, such as an open
//! winding across one node, are left out; what a fault does to any reading is not known here.

use circuit::{
    tube_type, Circuit, Device, DeviceClass, Dielectric, Part, PartId, PartKind, Resistor,
};

use crate::suspects::bounds::{floating_grid, grid, sizes};
use crate::suspects::cold::fed_together;
use crate::suspects::fault::Fault;
use crate::suspects::fault_size::Sizes;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::modes::mode_of;
use crate::suspects::part_class::PartClass;
use crate::suspects::priors::{weight, AgeFactors};

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

/// All faults of all parts, in the order of the parts. A part drawn only for its pins, with nothing
/// but itself on every node, is none that a reading could speak of.
pub fn candidates(circuit: &Circuit, ages: &AgeFactors) -> Vec<Candidate> {
    let mut found = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        let id = PartId(index);
        let class = class(&part.kind);
        for hypothesis in faults_of(circuit, id, part) {
            let Some(fault) = hypothesis.fault() else {
                continue;
            };
            let Some(weight) = weight(class, fault, ages) else {
                continue;
            };
            let rule = mode_of(class, fault).and_then(|mode| mode.size.as_ref());
            let sizes = match rule {
                Some(rule) => match sizes(circuit, id, fault, rule) {
                    Some(sizes) => Some(sizes),
                    None => continue,
                },
                None => {
                    floating_grid(circuit, &hypothesis).or(fault.breaks().then_some(Sizes::BROKEN))
                }
            };
            let sound = sizes.is_none_or(|s| s.least > 0.0 && s.most > s.least * 1.01);
            let weight = weight / sharers(circuit, id, &hypothesis);
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

/// Among how many the weight of a fault is shared: the sections of one tube fail as one, but for
/// its heater, which they have in common. A string of heaters is open as often as all its heaters together.
fn sharers(circuit: &Circuit, id: PartId, hypothesis: &Hypothesis) -> f64 {
    let PartKind::Device(device) = &circuit.part(id).kind else {
        return 1.0;
    };
    if let Some(string) = hypothesis.open_heater_of(circuit) {
        return 1.0 / string.tubes().count() as f64;
    }
    let sections = match hypothesis {
        Hypothesis::Part {
            fault: Fault::HeaterOpen,
            ..
        } => 1,
        Hypothesis::OtherType { .. } => other_types(circuit, id, device).len(),
        Hypothesis::SectionsSwapped { .. } => swapped(circuit, id, device).len(),
        _ => circuit.sections_of(id).len().max(1),
    };
    sections as f64
}

/// The kind of part, as the table of rates has it.
pub(crate) fn class(kind: &PartKind) -> PartClass {
    match kind {
        PartKind::Resistor(_) => PartClass::Resistor,
        PartKind::Potentiometer(_) => PartClass::Potentiometer,
        PartKind::Capacitor(capacitor) => match capacitor.dielectric {
            Dielectric::Electrolytic => PartClass::Electrolytic,
            Dielectric::Paper => PartClass::Paper,
            Dielectric::Mica => PartClass::Mica,
        },
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

fn faults_of(circuit: &Circuit, id: PartId, part: &Part) -> Vec<Hypothesis> {
    use Fault as F;
    let joined = part.nodes.len() == 2 && part.nodes[0] == part.nodes[1];
    if joined {
        let string = circuit.heater_string_of_tube(id).is_some() && heads_heater(circuit, id);
        return Vec::from_iter(string.then(|| Hypothesis::of(id, F::HeaterOpen)));
    }
    let faults: &[Fault] = match &part.kind {
        PartKind::Resistor(_) => &[
            F::DriftedHigh,
            F::DriftedLow,
            F::TenTimes,
            F::ATenth,
            F::Open,
            F::Shorted,
        ],
        PartKind::Potentiometer(_) => &[
            F::TrackOpenAbove,
            F::TrackOpenBelow,
            F::WiperOpen,
            F::SetHigher,
            F::SetLower,
            F::DriftedHigh,
            F::DriftedLow,
        ],
        PartKind::Capacitor(_) => &[F::Leaky, F::Shorted],
        PartKind::Inductor(_) => &[F::Open, F::Shorted, F::ShortedTurns],
        PartKind::Transformer(_) => &[F::PrimaryOpen, F::SecondaryOpen, F::ShortedTurns],
        PartKind::Supply(_) if !fed_together(circuit, id).is_empty() => {
            &[F::VoltsHigh, F::VoltsLow, F::WeakSource, F::Dead, F::Unfed]
        }
        PartKind::Supply(_) => &[F::VoltsHigh, F::VoltsLow, F::WeakSource, F::Dead],
        PartKind::Generator(_) => &[],
        PartKind::Lamp(_) => &[F::Open],
        PartKind::Contact(_) => &[F::StuckOpen, F::StuckClosed, F::DirtyContact],
        PartKind::Device(device) => return device_faults(circuit, id, part, device),
    };
    faults
        .iter()
        .map(|fault| Hypothesis::of(id, *fault))
        .collect()
}

fn device_faults(circuit: &Circuit, id: PartId, part: &Part, device: &Device) -> Vec<Hypothesis> {
    let plain = |fault: Fault| Hypothesis::of(id, fault);
    let apart = |a: usize, b: usize| match device.units.first() {
        Some(unit) if unit.at.len() > a.max(b) => part.nodes[unit.at[a]] != part.nodes[unit.at[b]],
        _ => false,
    };
    let leads = |places: std::ops::Range<usize>| {
        let first = device.units.first();
        let terminals = places.filter_map(move |place| first?.at.get(place));
        // The plates of diodes beside a triode, and the second one of a rectifier.
        let others = device
            .units
            .iter()
            .skip(1)
            .filter_map(|unit| unit.at.first());
        let beside = others.filter(|_| device.class == DeviceClass::Tube);
        terminals
            .chain(beside)
            .map(|terminal| Hypothesis::LeadLost {
                part: id,
                terminal: *terminal,
            })
    };
    let mut found = Vec::new();
    match device.class {
        DeviceClass::Tube => {
            let last = device.units.first().map_or(1, |unit| unit.at.len()) - 1;
            found.extend([plain(Fault::LowEmission), plain(Fault::NoEmission)]);
            if heads_heater(circuit, id) {
                found.push(plain(Fault::HeaterOpen));
            }
            found.extend(other_types(circuit, id, device));
            found.extend(swapped(circuit, id, device));
            // Every electrode but the cathode, whose loss is the loss of the emission.
            found.extend(leads(0..last));
            if let Some(grid) = grid(device) {
                found.push(plain(Fault::Gassy));
                if apart(grid, last) {
                    found.extend([Fault::GridCathodeShort, Fault::GridCathodeLeak].map(plain));
                }
            }
            if apart(0, last) {
                found.push(plain(Fault::PlateCathodeShort));
            }
            let mut units = device.units.iter();
            if units.any(|unit| unit.characteristic.oscillates()) {
                found.push(plain(Fault::NotOscillating));
            }
            let cathode = device.units.first().map(|unit| part.nodes[unit.at[last]]);
            if cathode.is_some_and(|node| !circuit.nodes()[node.0].is_reference) {
                found.push(plain(Fault::HeaterCathodeLeak));
            }
        }
        DeviceClass::Diode => {
            found.extend([Fault::Shorted, Fault::Open, Fault::Leaky].map(plain));
            found.extend(has_knee(device).then(|| plain(Fault::Aged)));
        }
        DeviceClass::Regulator | DeviceClass::NeonLamp => {
            let glows = device.units.iter().any(|unit| unit.glow.is_some());
            let dark = if glows { Fault::NoStrike } else { Fault::Open };
            let other_volts = [Fault::VoltsLow, Fault::VoltsHigh];
            found.extend([dark, Fault::Shorted, Fault::Leaky].map(plain));
            found.extend(other_volts.map(plain));
        }
        DeviceClass::Transistor => {
            found.push(plain(Fault::EndsShorted));
            found.extend(apart(1, 2).then(|| plain(Fault::BaseEmitterShort)));
            found.extend(apart(0, 1).then(|| plain(Fault::CollectorBaseShort)));
            found.extend(leads(0..3));
            found.extend([Fault::Leaky, Fault::CollectorEmitterLeak, Fault::LowGain].map(plain));
        }
        DeviceClass::FieldEffect => {
            found.push(plain(Fault::EndsShorted));
            found.extend(apart(1, 2).then(|| plain(Fault::GateSourceLeak)));
            found.extend(apart(0, 1).then(|| plain(Fault::GateDrainLeak)));
            found.extend(leads(0..3));
            found.push(plain(Fault::LowGain));
        }
    }
    found
}

/// Whether a diode is a stack that conducts above a knee, as of selenium.
fn has_knee(device: &Device) -> bool {
    let mut units = device.units.iter();
    units.any(|unit| unit.characteristic.knee_volts().is_some())
}

/// Tubes of another type that fit the socket and do the same in it, for the first section of it.
fn other_types(circuit: &Circuit, id: PartId, device: &Device) -> Vec<Hypothesis> {
    let first = circuit.sections_of(id).first() == Some(&id);
    let own = tube_type(&device.type_name).filter(|_| first && device.units.len() == 1);
    let Some(own) = own else {
        return Vec::new();
    };
    let others = own.others_in_socket().into_iter();
    others
        .map(|(other, _)| Hypothesis::OtherType { part: id, other })
        .collect()
}

/// The first section of a tube exchanged with each of the others that has the same electrodes: one
/// lead of both, where they hang on two nodes, and all of them where the sections are not alike.
fn swapped(circuit: &Circuit, id: PartId, device: &Device) -> Vec<Hypothesis> {
    let all = circuit.sections_of(id);
    let mut found = Vec::new();
    for with in all.iter().copied().filter(|_| all.first() == Some(&id)) {
        let (own, theirs) = (circuit.part(id), circuit.part(with));
        let PartKind::Device(other) = &theirs.kind else {
            continue;
        };
        let ([unit], [its]) = (&device.units[..], &other.units[..]) else {
            continue;
        };
        let kind = std::mem::discriminant(&unit.characteristic);
        let alike = unit.at == its.at && kind == std::mem::discriminant(&its.characteristic);
        if with == id || !alike || own.nodes.len() != theirs.nodes.len() {
            continue;
        }
        let made = |terminal| Hypothesis::SectionsSwapped {
            part: id,
            with,
            terminal,
        };
        let apart = unit
            .at
            .iter()
            .filter(|place| own.nodes[**place] != theirs.nodes[**place]);
        found.extend(apart.map(|place| made(Some(*place))));
        if unit.characteristic != its.characteristic {
            found.push(made(None));
        }
    }
    found
}

/// Which section of its tube a part is, from 0: `V1A` is the first.
pub(crate) fn section_of(circuit: &Circuit, id: PartId) -> usize {
    let designator = &circuit.part(id).designator;
    let last = designator.bytes().last().filter(u8::is_ascii_alphabetic);
    last.map_or(0, |letter| usize::from(letter.to_ascii_uppercase() - b'A'))
}

/// Whether a part stands for a heater that other parts depend on too: the first section of a string
/// of heaters in series, or else the first of several sections drawn for one socket.
fn heads_heater(circuit: &Circuit, id: PartId) -> bool {
    match circuit.heater_string_of_tube(id) {
        Some(string) => string.head() == Some(id),
        None => circuit.sections_of(id).first() == Some(&id) && circuit.sections_of(id).len() > 1,
    }
}

/// A resistor of these ohms without tolerance.
pub(crate) fn resistor(ohms: f64) -> PartKind {
    PartKind::Resistor(Resistor {
        ohms,
        tolerance: None,
    })
}

#[cfg(test)]
#[path = "hypotheses_tests.rs"]
mod tests;
