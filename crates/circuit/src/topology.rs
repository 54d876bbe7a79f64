//! Connections in a drawing: islands, and groups connected for direct current.
//!
//! Singular equations are detected here from the drawing, not from the numbers, because elimination
//! on a floating network often returns a plausible-looking answer instead of failing.

use crate::circuit::{Circuit, NodeId, PartId};
use crate::part::{Part, PartKind};
use crate::setting::{Conditions, SettingValue};

/// Disjoint sets of nodes that can be joined (union by index, with path halving).
#[derive(Clone, Debug)]
pub struct Groups {
    parent: Vec<usize>,
}

impl Groups {
    /// Every node in its own group.
    pub fn new(nodes: usize) -> Self {
        Groups {
            parent: (0..nodes).collect(),
        }
    }

    /// The representative of a node's group.
    pub fn root(&mut self, node: usize) -> usize {
        let mut node = node;
        while self.parent[node] != node {
            self.parent[node] = self.parent[self.parent[node]];
            node = self.parent[node];
        }
        node
    }

    /// Joins two groups; false if they were one group already.
    pub fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.root(a), self.root(b));
        let (low, high) = (a.min(b), a.max(b));
        self.parent[high] = low;
        low != high
    }
}

/// A piece of the drawing that no part connects to the rest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Island {
    /// Its nodes.
    pub nodes: Vec<NodeId>,
    /// Parts with a terminal in it.
    pub parts: Vec<PartId>,
    /// Its reference nodes: exactly one if the drawing is correct.
    pub references: Vec<NodeId>,
}

/// Every island of the drawing, in order of first node. All parts connect their nodes, including
/// open switches and capacitors; only the two windings of a transformer do not connect to each
/// other.
pub fn islands(circuit: &Circuit) -> Vec<Island> {
    let mut groups = Groups::new(circuit.nodes().len());
    for part in circuit.parts() {
        for joined in part.kind.joined_terminals() {
            for pair in joined.windows(2) {
                if let (Some(a), Some(b)) = (part.nodes.get(pair[0]), part.nodes.get(pair[1])) {
                    groups.join(a.0, b.0);
                }
            }
        }
    }
    let mut islands: Vec<Island> = Vec::new();
    let mut place_of_root = vec![None; circuit.nodes().len()];
    for (index, node) in circuit.nodes().iter().enumerate() {
        let root = groups.root(index);
        let place = *place_of_root[root].get_or_insert_with(|| {
            islands.push(Island {
                nodes: Vec::new(),
                parts: Vec::new(),
                references: Vec::new(),
            });
            islands.len() - 1
        });
        let island = &mut islands[place];
        island.nodes.push(NodeId(index));
        if node.is_reference {
            island.references.push(NodeId(index));
        }
    }
    for (index, part) in circuit.parts().iter().enumerate() {
        let roots = part.nodes.iter().map(|node| groups.root(node.0));
        let mut touched: Vec<usize> = roots.filter_map(|root| place_of_root[root]).collect();
        touched.sort_unstable();
        touched.dedup();
        for place in touched {
            islands[place].parts.push(PartId(index));
        }
    }
    islands
}

/// For each node, the sum of `of` over all parts of its island; the length is the number of nodes.
pub fn sums_by_island(circuit: &Circuit, of: impl Fn(&Part) -> f64) -> Vec<f64> {
    let mut sums = vec![0.0; circuit.nodes().len()];
    for island in islands(circuit) {
        let sum = island
            .parts
            .iter()
            .map(|part| of(circuit.part(*part)))
            .sum();
        for node in island.nodes {
            sums[node.0] = sum;
        }
    }
    sums
}

/// Which parts count as connecting nodes for direct current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Through {
    /// Resistive parts, windings, sources and closed contacts.
    Linear,
    /// Tubes and semiconductors too.
    Devices,
}

/// Groups of nodes that are connected by parts which carry direct current under these conditions.
pub fn conductive_groups(circuit: &Circuit, conditions: &Conditions, through: Through) -> Groups {
    let mut groups = Groups::new(circuit.nodes().len());
    for (index, part) in circuit.parts().iter().enumerate() {
        let conducts = match &part.kind {
            PartKind::Capacitor(capacitor) => capacitor.leak.is_some(),
            PartKind::Contact(contact) => match conditions.of(PartId(index)) {
                Some(SettingValue::Closed(closed)) => closed,
                _ => contact.closed,
            },
            PartKind::Device(_) => through == Through::Devices,
            PartKind::Resistor(_)
            | PartKind::Potentiometer(_)
            | PartKind::Inductor(_)
            | PartKind::Transformer(_)
            | PartKind::Supply(_)
            | PartKind::Generator(_)
            | PartKind::Lamp(_) => true,
        };
        if !conducts || conditions.is_out(PartId(index)) {
            continue;
        }
        for joined in part.kind.joined_terminals() {
            for pair in joined.windows(2) {
                groups.join(part.nodes[pair[0]].0, part.nodes[pair[1]].0);
            }
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::CircuitBuilder;
    use crate::part::{Part, Transformer};

    fn part(builder: &mut CircuitBuilder, kind: PartKind, names: &[&str]) {
        let nodes = names.iter().map(|name| builder.node(name)).collect();
        builder.part(Part::new("X", kind, nodes));
    }

    #[test]
    fn a_transformer_does_not_join_its_windings() {
        let mut builder = CircuitBuilder::new();
        let resistor = PartKind::resistor(1e3);
        part(&mut builder, resistor, &["a", "b"]);
        let transformer = PartKind::Transformer(Transformer {
            ratio: 26.0,
            primary_ohms: 280.0,
            secondary_ohms: 0.6,
        });
        part(&mut builder, transformer, &["b", "a", "s1", "s2"]);
        let circuit = builder.finish();
        let found = islands(&circuit);
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].parts, vec![PartId(0), PartId(1)]);
        assert_eq!(found[1].nodes, vec![NodeId(2), NodeId(3)]);
        assert_eq!(found[1].parts, vec![PartId(1)]);
    }
}
