//! What parts are made of: conductances, and branches that carry their own current unknown.
//!
//! A part under given conditions comes in, its elements go out. Resistance of zero makes a
//! branch, any other a conductance; so a wiper at its end and a switch without resistance need
//! no special case further on.

use circuit::{Circuit, Conditions, NodeId, Part, PartId, PartKind, SettingValue};

/// One piece of a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Element {
    /// The part it belongs to.
    pub part: PartId,
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
    /// Holds `volts` less what its own current drops in `ohms`.
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

fn lower(id: PartId, part: &Part, conditions: &Conditions, found: &mut Vec<Element>) {
    let mut add = |plus: usize, minus: usize, kind: ElementKind| {
        found.push(Element {
            part: id,
            plus: part.nodes[plus],
            minus: part.nodes[minus],
            kind,
        });
    };
    match &part.kind {
        PartKind::Resistor(resistor) => add(0, 1, resistance(resistor.ohms)),
        PartKind::Potentiometer(pot) => {
            let turn = match conditions.of(id) {
                Some(SettingValue::Turn(turn)) => turn,
                _ => pot.setting,
            };
            add(0, 1, resistance(pot.ohms * (1.0 - turn)));
            add(1, 2, resistance(pot.ohms * turn));
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
            add(0, 1, branch(supply.volts * factor, supply.source));
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
