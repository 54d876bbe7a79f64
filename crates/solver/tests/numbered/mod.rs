//! Circuits whose nodes are numbers, as vectors have them.

use circuit::{Circuit, CircuitBuilder, NodeId, Origin, Part, PartKind, Port};

/// Parts between nodes by number, the first of which is the reference.
pub fn numbered(nodes: usize, parts: impl IntoIterator<Item = (PartKind, Vec<usize>)>) -> Circuit {
    let mut builder = CircuitBuilder::new();
    let ids: Vec<NodeId> = (0..nodes)
        .map(|at| builder.node(&format!("n{at}")))
        .collect();
    builder.reference(ids[0]);
    for (at, (kind, ends)) in parts.into_iter().enumerate() {
        builder.part(Part {
            designator: format!("X{at}"),
            kind,
            nodes: ends.into_iter().map(|node| ids[node]).collect(),
            origin: Origin::default(),
        });
    }
    builder.finish()
}

/// The port between two of them.
pub fn port(plus: usize, minus: usize) -> Port {
    Port {
        plus: NodeId(plus),
        minus: NodeId(minus),
    }
}
