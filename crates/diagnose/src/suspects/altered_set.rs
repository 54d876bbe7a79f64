//! What a step on a part changes: a tube swapped, two exchanged, a capacitor's lead lifted.
//!
//! Faults as a trial has them come in; those that are left after the step go out, also where readings were taken
//! after it. A fault of a tube goes
//! with the tube, a lost connection of an electrode too: it is taken to lie in the tube and not in
//! its socket. Leads exchanged between two sections stay with the socket.

use circuit::{Circuit, Conditions, DeviceClass, PartId, PartKind};

use crate::suspects::bench_model::SizedFault;
use crate::suspects::fault::Fault;
use crate::suspects::hypothesis::Hypothesis;

/// Ohms of a capacitor whose lead is lifted: far beyond any meter, but a number.
const LIFTED_OHMS: f64 = 1e15;

/// A step on a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartStep {
    /// The tube of a socket swapped for a good one of its type; its first section.
    Swap(PartId),
    /// The tubes of two sockets exchanged; their first sections.
    Exchange(PartId, PartId),
    /// A capacitor's lead lifted with the power off, then a reading in the running set: the part,
    /// and which of its terminals is lifted.
    LiftAndRead(PartId, usize),
    /// One end of a part lifted, and the part itself measured, all with the power off.
    LiftAndMeasure(PartId),
}

impl PartStep {
    /// The faults of a set after it, in their order.
    pub(crate) fn after(self, circuit: &Circuit, faults: &[SizedFault]) -> Vec<SizedFault> {
        let stays = |one: &Hypothesis| is_of_a_string(one, circuit);
        let each = faults.iter().copied();
        match self {
            PartStep::Swap(tube) => {
                let gone = circuit.sections_of(tube);
                each.filter(|(one, _)| stays(one) || !is_in(one, &gone))
                    .collect()
            }
            PartStep::Exchange(a, b) => {
                let (a, b) = (circuit.sections_of(a), circuit.sections_of(b));
                let there = |one| match stays(&one) {
                    true => one,
                    false => moved(one, &a, &b),
                };
                each.map(|(one, size)| (there(one), size)).collect()
            }
            PartStep::LiftAndRead(part, _) => {
                let mut left: Vec<SizedFault> =
                    each.filter(|(one, _)| !is_in(one, &[part])).collect();
                left.push((lifted(part), LIFTED_OHMS));
                left
            }
            PartStep::LiftAndMeasure(_) => each.collect(),
        }
    }

    /// Parts whose numbers are new ones after it: of them the readings so far say nothing.
    pub(crate) fn fresh(self, circuit: &Circuit) -> Vec<PartId> {
        match self {
            PartStep::Swap(tube) => circuit.sections_of(tube),
            PartStep::Exchange(a, b) => {
                let both = [circuit.sections_of(a), circuit.sections_of(b)];
                both.concat()
            }
            PartStep::LiftAndRead(..) | PartStep::LiftAndMeasure(_) => Vec::new(),
        }
    }
}

/// Whether a fault acts in a set with these parts out of it or replaced by others.
pub(crate) fn acts(one: &Hypothesis, circuit: &Circuit, conditions: &Conditions) -> bool {
    let Some(part) = one.part() else {
        return true;
    };
    if conditions.is_out(part) {
        return false;
    }
    !conditions.is_replaced(part) || is_of_a_string(one, circuit) || !is_in(one, &[part])
}

/// Which tube of a string has the open heater is not known, so no single swap mends it.
fn is_of_a_string(one: &Hypothesis, circuit: &Circuit) -> bool {
    let string = one.open_heater_of(circuit);
    string.is_some_and(|string| string.tubes().count() > 1)
}

fn is_in(one: &Hypothesis, parts: &[PartId]) -> bool {
    let wiring = matches!(one, Hypothesis::SectionsSwapped { .. });
    !wiring && one.part().is_some_and(|part| parts.contains(&part))
}

/// A fault that goes with its tube to the other socket.
fn moved(one: Hypothesis, a: &[PartId], b: &[PartId]) -> Hypothesis {
    let to = |part: PartId| {
        let there = |from: &[PartId], to: &[PartId]| {
            let place = from.iter().position(|own| *own == part)?;
            to.get(place).copied()
        };
        there(a, b).or_else(|| there(b, a)).unwrap_or(part)
    };
    match one {
        Hypothesis::Part { part, fault } => Hypothesis::of(to(part), fault),
        Hypothesis::LeadLost { part, terminal } => Hypothesis::LeadLost {
            part: to(part),
            terminal,
        },
        Hypothesis::OtherType { part, other } => Hypothesis::OtherType {
            part: to(part),
            other,
        },
        Hypothesis::SectionsSwapped { .. }
        | Hypothesis::NothingWrong
        | Hypothesis::NoneOfThese
        | Hypothesis::ReadingWrong { .. } => one,
    }
}

/// A capacitor that lets nothing through.
fn lifted(part: PartId) -> Hypothesis {
    Hypothesis::of(part, Fault::Leaky)
}

/// Steps that swap or exchange the tube of a part; none where it is no tube. A tube is exchanged with
/// the first other one of its type.
pub(crate) fn tube_steps(circuit: &Circuit, part: PartId) -> Vec<PartStep> {
    let Some(own) = types(circuit, part) else {
        return Vec::new();
    };
    let sockets = circuit.sections_of(part);
    let Some(first) = sockets.first().copied() else {
        return Vec::new();
    };
    let heads = (0..circuit.parts().len()).map(PartId);
    let mut others = heads.filter(|id| {
        let apart = !sockets.contains(id) && circuit.sections_of(*id).first() == Some(id);
        apart && types(circuit, *id).as_ref() == Some(&own)
    });
    let exchange = others.next().map(|other| PartStep::Exchange(first, other));
    std::iter::once(PartStep::Swap(first))
        .chain(exchange)
        .collect()
}

/// The types of a socket's sections.
fn types(circuit: &Circuit, part: PartId) -> Option<Vec<&str>> {
    let each = circuit.sections_of(part).into_iter();
    each.map(|id| match &circuit.part(id).kind {
        PartKind::Device(device) if device.class == DeviceClass::Tube => {
            Some(device.type_name.as_str())
        }
        _ => None,
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two twin tubes of one type, numbered 0 to 3.
    const A: [PartId; 2] = [PartId(0), PartId(1)];
    const B: [PartId; 2] = [PartId(2), PartId(3)];

    fn gassy(part: usize) -> Hypothesis {
        Hypothesis::of(PartId(part), Fault::Gassy)
    }

    #[test]
    fn a_fault_goes_with_its_section_to_the_other_socket_and_all_else_stays() {
        let there = [0, 1, 2, 3, 4].map(|part| moved(gassy(part), &A, &B).part());
        assert_eq!(there, [2, 3, 0, 1, 4].map(|part| Some(PartId(part))));
        for stays in [
            Hypothesis::NothingWrong,
            Hypothesis::SectionsSwapped {
                part: PartId(0),
                with: PartId(1),
                terminal: None,
            },
        ] {
            assert_eq!(moved(stays, &A, &B), stays);
            assert!(!is_in(&stays, &A));
        }
    }
}
