//! Alterations of a drawn circuit: a few parts replaced, bridged, or connected through a broken
//! lead.
//!
//! An alteration is a list of such changes. Applied to a circuit, it gives another circuit in which
//! nodes and parts keep their numbers, and what is added comes after them. A caller that has solved
//! the circuit can read from the list what changes in the equations. Why a part is altered is not
//! known here.

use crate::circuit::{Circuit, CircuitBuilder, NodeId, PartId};
use crate::part::{Part, PartKind};
use crate::setting::Conditions;

/// A resistor that joins two nodes of a drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bridge {
    /// One end.
    pub plus: NodeId,
    /// The other.
    pub minus: NodeId,
    /// Resistance in ohms, above 0.
    pub ohms: f64,
}

/// A terminal of a part that is connected to its node only through a resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BrokenLead {
    /// The part.
    pub part: PartId,
    /// The terminal, by its place in the part's list of nodes.
    pub terminal: usize,
    /// Resistance in ohms, above 0.
    pub ohms: f64,
}

/// Changes to a circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Alteration {
    /// The altered parts, each once.
    pub parts: Vec<(PartId, Part)>,
    /// Resistors added.
    pub bridges: Vec<Bridge>,
    /// Leads broken.
    pub broken_leads: Vec<BrokenLead>,
    /// The altered conditions.
    pub conditions: Conditions,
}

impl Alteration {
    /// No change.
    pub fn none(conditions: &Conditions) -> Self {
        Alteration {
            parts: Vec::new(),
            bridges: Vec::new(),
            broken_leads: Vec::new(),
            conditions: conditions.clone(),
        }
    }

    /// Whether it changes and joins only what a circuit has. One of an altered circuit may speak of what was added.
    pub fn is_of(&self, circuit: &Circuit) -> bool {
        let (nodes, parts) = (circuit.nodes().len(), circuit.parts().len());
        let changed = self
            .parts
            .iter()
            .all(|(id, part)| id.0 < parts && part.nodes.iter().all(|node| node.0 < nodes));
        let mut bridges = self.bridges.iter();
        let mut leads = self.broken_leads.iter();
        changed
            && bridges.all(|bridge| bridge.plus.0 < nodes && bridge.minus.0 < nodes)
            && leads.all(|lead| lead.part.0 < parts)
    }

    /// A part with the changes so far, to be changed further.
    pub fn part_mut(&mut self, circuit: &Circuit, id: PartId) -> &mut Part {
        let known = self.parts.iter().position(|(part, _)| *part == id);
        let place = known.unwrap_or_else(|| {
            self.parts.push((id, circuit.part(id).clone()));
            self.parts.len() - 1
        });
        &mut self.parts[place].1
    }
}

impl Circuit {
    /// The same drawing with these changes. A lead of a part or terminal that the drawing does not
    /// have is ignored.
    pub fn altered(&self, alteration: &Alteration) -> Circuit {
        let mut circuit = self.clone();
        for (id, part) in &alteration.parts {
            circuit.part_mut(*id).clone_from(part);
        }
        let mut added: Vec<Part> = alteration.bridges.iter().map(resistor).collect();
        let mut inside = circuit.nodes().len();
        for lead in &alteration.broken_leads {
            let terminals = &mut circuit.part_mut(lead.part).nodes;
            if let Some(at) = terminals.get_mut(lead.terminal) {
                added.push(resistor(&Bridge {
                    plus: NodeId(inside),
                    minus: *at,
                    ohms: lead.ohms,
                }));
                *at = NodeId(inside);
                inside += 1;
            }
        }
        let mut builder = CircuitBuilder::continuing(circuit);
        for node in self.nodes().len()..inside {
            // No name that a netlist could hold.
            builder.node(&format!("\u{0}{node}"));
        }
        for part in added {
            builder.part(part);
        }
        builder.finish()
    }
}

fn resistor(bridge: &Bridge) -> Part {
    Part::new(
        "bridge",
        PartKind::resistor(bridge.ohms),
        vec![bridge.plus, bridge.minus],
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_added_is_not_of_the_drawing() {
        let mut builder = CircuitBuilder::new();
        let (top, ground) = (builder.node("top"), builder.node("ground"));
        builder.reference(ground);
        let bridge = Bridge {
            plus: top,
            minus: ground,
            ohms: 1e3,
        };
        builder.part(resistor(&bridge));
        let drawn = builder.finish();
        let mut added = Alteration::none(&Conditions::default());
        added.bridges.push(bridge);
        assert!(added.is_of(&drawn));
        let mended = drawn.altered(&added);
        let mut of_added = Alteration::none(&Conditions::default());
        of_added.part_mut(&mended, PartId(1)).kind = PartKind::resistor(2e3);
        assert!(of_added.is_of(&mended) && !of_added.is_of(&drawn));
    }

    #[test]
    fn what_is_added_stands_behind_what_was_drawn() {
        let mut builder = CircuitBuilder::new();
        let (top, ground) = (builder.node("top"), builder.node("ground"));
        builder.reference(ground);
        let id = builder.part(resistor(&Bridge {
            plus: top,
            minus: ground,
            ohms: 100.0,
        }));
        let circuit = builder.finish();
        let mut alteration = Alteration::none(&Conditions::default());
        alteration.part_mut(&circuit, id).designator = "R9".to_owned();
        alteration.bridges.push(Bridge {
            plus: top,
            minus: ground,
            ohms: 1.0,
        });
        alteration.broken_leads.push(BrokenLead {
            part: id,
            terminal: 1,
            ohms: 1e9,
        });
        let altered = circuit.altered(&alteration);
        assert_eq!(altered.parts().len(), 3);
        assert_eq!(altered.nodes().len(), 3);
        assert_eq!(altered.part(id).designator, "R9");
        // The part now ends on the node after the broken lead, which connects to the old node.
        assert_eq!(altered.part(id).nodes, [top, NodeId(2)]);
        assert_eq!(altered.parts()[2].nodes, [NodeId(2), ground]);
    }
}
