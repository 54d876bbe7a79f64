//! Which nodes are connected to a reference.

use circuit::{conductive_groups, Circuit, Conditions, Through};

use crate::error::SolveError;

/// For each node its group, if no reference is in that group.
pub(crate) fn ungrounded(
    circuit: &Circuit,
    conditions: &Conditions,
    through: Through,
) -> Vec<Option<usize>> {
    let mut groups = conductive_groups(circuit, conditions, through);
    let mut grounded = vec![false; circuit.nodes().len()];
    for reference in circuit.references() {
        grounded[groups.root(reference.0)] = true;
    }
    (0..circuit.nodes().len())
        .map(|node| groups.root(node))
        .map(|group| (!grounded[group]).then_some(group))
        .collect()
}

/// Whether every island has one.
///
/// # Errors
/// [`SolveError::NoReference`] naming the nodes and parts of one that has none.
pub(crate) fn every_island_has_a_reference(circuit: &Circuit) -> Result<(), SolveError> {
    let lost = circuit::islands(circuit)
        .into_iter()
        .find(|island| island.references.is_empty());
    match lost {
        None => Ok(()),
        Some(island) => Err(SolveError::NoReference {
            nodes: island
                .nodes
                .iter()
                .map(|node| circuit.node_name(*node).to_owned())
                .collect(),
            parts: island
                .parts
                .iter()
                .map(|part| circuit.part(*part).designator.clone())
                .collect(),
        }),
    }
}
