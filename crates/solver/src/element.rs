//! What parts are made of: conductances, and branches that carry their own current unknown.
//!
//! A part under given conditions comes in, its elements go out. A resistance of zero makes
//! a branch, any other a conductance; so a wiper at its end and a switch without resistance need no
//! special case later.

use circuit::{
    Circuit, Conditions, NodeId, Part, PartId, PartKind, PartParameter, Potentiometer, SettingValue,
};

/// One piece of a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Element {
    /// The part it belongs to.
    pub part: PartId,
    /// Which of the part's elements it is, from 0.
    pub piece: usize,
    /// The node at its plus or first end.
    pub plus: NodeId,
    /// The node at its minus or second end.
    pub minus: NodeId,
    /// What it does.
    pub kind: ElementKind,
}

/// What an element does between its two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ElementKind {
    /// Carries `siemens` times the voltage across it.
    Conductance {
        /// Conductance in siemens.
        siemens: f64,
    },
    /// Holds `volts` less the drop of its own current in `ohms`.
    Branch {
        /// Open-circuit volts of the plus end above the minus end.
        volts: f64,
        /// Series resistance in ohms; may be 0.
        ohms: f64,
    },
}

/// Every element of a circuit under these conditions.
pub fn elements(circuit: &Circuit, conditions: &Conditions) -> Vec<Element> {
    let mut found = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        lower(PartId(index), part, conditions, &mut found);
    }
    // Both ends on one node: nothing flows that any meter could see.
    found.retain(|element| element.plus != element.minus);
    found
}

/// The elements of one part under these conditions.
pub(crate) fn elements_of(id: PartId, part: &Part, conditions: &Conditions) -> Vec<Element> {
    let mut found = Vec::new();
    lower(id, part, conditions, &mut found);
    found.retain(|element| element.plus != element.minus);
    found
}

fn lower(id: PartId, part: &Part, conditions: &Conditions, found: &mut Vec<Element>) {
    if conditions.is_out(id) {
        return;
    }
    let mut piece = 0;
    let mut add = |plus: usize, minus: usize, kind: ElementKind| {
        found.push(Element {
            part: id,
            piece,
            plus: part.nodes[plus],
            minus: part.nodes[minus],
            kind,
        });
        piece += 1;
    };
    match &part.kind {
        PartKind::Resistor(resistor) => add(0, 1, resistance(resistor.ohms)),
        PartKind::Potentiometer(pot) => {
            for (upper, lower, share) in pot.lengths(pot.moved(conditions.turn(id))) {
                add(upper, lower, resistance(pot.ohms * share));
            }
        }
        PartKind::Capacitor(capacitor) => {
            if let Some(ohms) = capacitor.leak {
                add(0, 1, resistance(ohms));
            }
        }
        PartKind::Inductor(inductor) => add(0, 1, branch(0.0, inductor.ohms)),
        PartKind::Transformer(transformer) => {
            add(0, 1, branch(0.0, transformer.primary_ohms));
            add(2, 3, branch(0.0, transformer.secondary_ohms));
        }
        PartKind::Supply(supply) => {
            let factor = if supply.follows_line {
                conditions.line_factor
            } else {
                1.0
            };
            match conditions.of(id) {
                Some(SettingValue::Held(volts)) => add(0, 1, branch(volts, 0.0)),
                value => {
                    let volts = supply.volts * factor * set_share(value);
                    add(0, 1, branch(volts, supply.source));
                }
            }
        }
        // A generator's signal is alternating: for direct current only its resistance is there.
        PartKind::Generator(generator) => add(0, 1, branch(0.0, generator.source)),
        PartKind::Lamp(lamp) => add(0, 1, resistance(lamp.ohms())),
        PartKind::Contact(contact) => {
            let closed = match conditions.of(id) {
                Some(SettingValue::Closed(closed)) => closed,
                _ => contact.closed,
            };
            if closed {
                add(0, 1, branch(0.0, 0.0));
            }
        }
        // What conducts in a device is not linear; `device` sees to it.
        PartKind::Device(_) => {}
    }
}

/// The quantity of an element that depends on a number of its part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Target {
    /// Its conductance.
    Siemens,
    /// Its branch resistance.
    Ohms,
    /// Its branch volts.
    Volts,
}

/// How an element depends on one of its part's numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Dependence {
    pub(crate) parameter: PartParameter,
    pub(crate) target: Target,
    /// Derivative of the target by the number.
    pub(crate) slope: f64,
}

/// The numbers of its part on which an element depends.
pub(crate) fn dependences(
    part: &Part,
    element: &Element,
    conditions: &Conditions,
) -> Vec<Dependence> {
    use PartParameter as P;
    let on = |parameter, target, slope| Dependence {
        parameter,
        target,
        slope,
    };
    let own_volts_factor = |follows_line: bool| {
        if follows_line {
            conditions.line_factor
        } else {
            1.0
        }
    };
    // g = 1/R: dg/dR = −g/R
    let by_ohms = |parameter, ohms: f64| match element.kind {
        ElementKind::Conductance { siemens } => {
            vec![on(parameter, Target::Siemens, -siemens / ohms)]
        }
        ElementKind::Branch { .. } => Vec::new(),
    };
    let in_branch = |parameter| on(parameter, Target::Ohms, 1.0);
    match &part.kind {
        PartKind::Resistor(resistor) => by_ohms(P::Resistance, resistor.ohms),
        PartKind::Potentiometer(pot) => {
            let mut on = by_ohms(P::Resistance, pot.ohms);
            on.extend(by_position(pot, conditions.turn(element.part), element));
            on
        }
        PartKind::Lamp(lamp) => by_ohms(P::Resistance, lamp.ohms()),
        PartKind::Capacitor(capacitor) => {
            let leak = capacitor.leak.into_iter();
            leak.flat_map(|ohms| by_ohms(P::Leak, ohms)).collect()
        }
        PartKind::Inductor(_) => vec![in_branch(P::Resistance)],
        PartKind::Transformer(_) => vec![in_branch(match element.piece {
            0 => P::PrimaryResistance,
            _ => P::SecondaryResistance,
        })],
        PartKind::Supply(supply) => match conditions.of(element.part) {
            // Held at volts that were read, it follows nothing that is written on it.
            Some(SettingValue::Held(_)) => Vec::new(),
            value => {
                let factor = own_volts_factor(supply.follows_line) * set_share(value);
                vec![
                    on(P::Volts, Target::Volts, factor),
                    in_branch(P::SourceResistance),
                ]
            }
        },
        PartKind::Generator(_) => vec![in_branch(P::SourceResistance)],
        PartKind::Contact(_) | PartKind::Device(_) => Vec::new(),
    }
}

/// How a piece of a track depends on the position of its wiper; none of a piece between ends and taps.
fn by_position(pot: &Potentiometer, set: Option<f64>, element: &Element) -> Option<Dependence> {
    let ElementKind::Conductance { siemens } = element.kind else {
        return None;
    };
    let (upper, lower, share) = *pot.lengths(pot.moved(set)).get(element.piece)?;
    let by_offset = pot.by_offset(set);
    let longer = match (upper, lower) {
        _ if by_offset == 0.0 => return None,
        (Potentiometer::WIPER, _) => by_offset,
        (_, Potentiometer::WIPER) => -by_offset,
        _ => return None,
    };
    // g = 1/(R·s): dg/ds = −g/s
    Some(Dependence {
        parameter: PartParameter::WiperPosition,
        target: Target::Siemens,
        slope: -siemens / share * longer,
    })
}

/// The volts of a supply as a multiple of those in the netlist.
fn set_share(value: Option<SettingValue>) -> f64 {
    match value {
        Some(SettingValue::Share(share)) => share,
        _ => 1.0,
    }
}

fn resistance(ohms: f64) -> ElementKind {
    if ohms > 0.0 {
        ElementKind::Conductance {
            siemens: 1.0 / ohms,
        }
    } else {
        branch(0.0, 0.0)
    }
}

fn branch(volts: f64, ohms: f64) -> ElementKind {
    ElementKind::Branch { volts, ohms }
}
