//! Where a missing resistor could do what the printed values ask for.
//!
//! A table and a port come in; whether a resistor there may move both its ends to what is printed goes out. By tangents
//! alone one from a rail without feed to the reference pulls it far beyond its zero.

use circuit::{Conditions, NodeId, Port};

use super::search::SlipSearch;
use super::DrawnTable;

/// How far a missing resistor may move its ends: towards each other, and no further, as it does among parts without
/// gain.
pub(super) struct Reach {
    /// Volts of each node as drawn, and what is printed there.
    nodes: Vec<(f64, Option<f64>)>,
}

/// Share of a printed value by which it may lie beyond that: parts and what the manual's meter does to it (assumed, no
/// source).
const BEYOND: f64 = 0.25;

impl Reach {
    /// By the circuit as drawn; nothing is known where it has no state.
    pub(super) fn of(drawn: &DrawnTable<'_>) -> Self {
        let SlipSearch { reader, job, table } = drawn.search;
        let Ok(solution) = reader.states.at(&Conditions::default()) else {
            return Reach { nodes: Vec::new() };
        };
        let nodes = job.circuit.nodes();
        let mut found: Vec<(f64, Option<f64>)> = (0..nodes.len())
            .map(|node| (solution.node_volts(NodeId(node)), None))
            .collect();
        for taken in &table.taken {
            let entry = &job.manual[taken.entries[0]];
            let plain = entry.settings.is_empty() && nodes[taken.port.minus.0].is_reference;
            if plain {
                found[taken.port.plus.0].1 = Some(entry.figure.value);
            }
        }
        Reach { nodes: found }
    }

    /// Whether a resistor across the port may move both its ends to what is printed there.
    pub(super) fn allows(&self, port: Port) -> bool {
        let at = |node: NodeId| self.nodes.get(node.0).copied();
        let (Some(one), Some(other)) = (at(port.plus), at(port.minus)) else {
            return true;
        };
        let moves = |(volts, printed): (f64, Option<f64>), towards: f64| {
            printed.is_none_or(|printed| {
                let (asked, room) = (printed - volts, towards - volts);
                let beyond = BEYOND * printed.abs();
                asked * room.signum() >= -beyond && asked.abs() <= room.abs() + beyond
            })
        };
        moves(one, other.0) && moves(other, one.0)
    }
}
