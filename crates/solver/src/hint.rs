//! What to look at where a circuit has no trustworthy solution.
//!
//! A refusal and its circuit come in; a hint in plain words goes out, without a full stop and without
//! line breaks. Where a part stands in a text is not known here.

use circuit::{conductive_groups, Circuit, Conditions, NodeId, PartKind, Through};

use crate::error::{CurrentPath, SolveError};

impl SolveError {
    /// What to look at in the circuit; none where the error itself says all there is to say.
    pub fn hint(&self, circuit: &Circuit) -> Option<String> {
        match self {
            SolveError::Unlimited { path, .. } => Some(in_series(circuit, path)),
            SolveError::NoConvergence { node, device, .. } => {
                Some(off_balance(circuit, node, device))
            }
            SolveError::SourceLoop { .. } => Some(
                "give one of the sources its own resistance (source=), or check the control \
                 positions of the rows"
                    .to_owned(),
            ),
            SolveError::Restless { .. } => Some(
                "a blinking discharge has no direct voltage; check the resistor that feeds it, and \
                 its rating. One that is meant to blink or to time is left out of the drawing, or its capacitor \
                 is short-circuited: dark it carries nothing"
                    .to_owned(),
            ),
            SolveError::OneState { .. } => Some(HELD_STATE.to_owned()),
            SolveError::NoReference { .. }
            | SolveError::Singular { .. }
            | SolveError::NoDigits { .. } => None,
        }
    }
}

/// How a state is drawn that lasts for a time only, as that of a monostable.
const HELD_STATE: &str =
    "a state that lasts for a time only, as that of a monostable, is drawn by an open contact of your own that \
     keeps the other transistor cut off, such as `S99: open, base to emitter`, or the other tube's grid negative; its rows say \
     `S99=closed` under 'setting'";

/// What may be missing where nothing limits a current.
fn in_series(circuit: &Circuit, path: &CurrentPath) -> String {
    let ends = [&path.from.node, &path.to.node].map(|node| circuit.node_exactly(node));
    let is_end =
        |node: &NodeId| !circuit.nodes()[node.0].is_reference && ends.contains(&Some(*node));
    let ideal = circuit.parts().iter().filter(|part| match &part.kind {
        PartKind::Supply(supply) => supply.source <= 0.0 && part.nodes.iter().any(is_end),
        _ => false,
    });
    let ideal: Vec<&str> = ideal.map(|part| part.designator.as_str()).collect();
    let missing = "a resistor in series is missing, or a lead is on the wrong node";
    match ideal.as_slice() {
        [] => missing.to_owned(),
        [one] => format!("{missing}, or {one} lacks its own resistance (source=)"),
        several => format!(
            "{missing}, or one of {} lacks its own resistance (source=)",
            several.join(", ")
        ),
    }
}

/// What may be wrong where no operating point is found: a terminal of the device that no direct current
/// can leave, else a value round the node.
fn off_balance(circuit: &Circuit, node: &str, device: &str) -> String {
    let mut groups = conductive_groups(circuit, &Conditions::default(), Through::Linear);
    let references: Vec<usize> = circuit
        .references()
        .map(|node| groups.root(node.0))
        .collect();
    let device = circuit.part_named(device);
    let mut floating: Vec<NodeId> = device.map_or(Vec::new(), |id| circuit.part(id).nodes.clone());
    floating.retain(|node| !references.contains(&groups.root(node.0)));
    floating.sort_unstable();
    floating.dedup();
    let floating: Vec<&str> = floating
        .iter()
        .map(|node| circuit.node_name(*node))
        .collect();
    if !floating.is_empty() {
        return format!(
            "no resistor, winding or supply leads direct current away from {}: look for a connection \
             that is missing",
            floating.join(" or ")
        );
    }
    match circuit.node_exactly(node) {
        Some(_) => format!(
            "look round node {node} for a value that is decades off, or a part on the wrong node"
        ),
        None => "look for a value that is decades off, or a part on the wrong node".to_owned(),
    }
}
