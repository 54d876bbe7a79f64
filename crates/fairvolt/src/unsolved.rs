//! A circuit without a trustworthy solution: where the fault stands in the netlist, and what to check.

use circuit::{conductive_groups, Circuit, Conditions, Job, NodeId, PartKind, Through};
use reconcile::ReconcileError;
use solver::{CurrentPath, SolveError};

use crate::console::Console;
use crate::exit::Exit;
use crate::unknown_meter::UnresolvedMeters;

/// Says that a circuit has no trustworthy solution.
pub(crate) fn unsolved(job: &Job, error: &ReconcileError, console: &mut Console) -> Exit {
    complain(job, error, error, console);
    Exit::Unsolved
}

/// Says why the meter of a manual that names none cannot be told.
pub(crate) fn unresolved(job: &Job, error: &UnresolvedMeters, console: &mut Console) -> Exit {
    match error {
        UnresolvedMeters::Untold { .. } => {
            console.complain(&format!(
                "error: {}: {error}\n\
                 help: name it in job.toml, such as meter = \"20k/V\", or draw the circuit round\n      \
                 the points that were read with it\n",
                job.folder
            ));
            Exit::BadInput
        }
        UnresolvedMeters::Unjudged(cause) => {
            complain(job, error, cause, console);
            Exit::Unsolved
        }
    }
}

/// Says what an error of the circuit makes impossible: `words`, the line of the part, and a hint.
fn complain(
    job: &Job,
    words: &dyn std::fmt::Display,
    error: &ReconcileError,
    console: &mut Console,
) {
    let circuit = &job.circuit;
    let cause = match error {
        ReconcileError::Unsolved(cause) => Some(cause),
        ReconcileError::NotPositive { .. } | ReconcileError::Inexact { .. } => None,
    };
    let line = cause.and_then(|cause| line_of(circuit, cause));
    let line = line.unwrap_or_default();
    console.complain(&format!("error: {}: {line}{words}\n", job.folder));
    if let Some(help) = cause.and_then(|cause| help(circuit, cause)) {
        console.complain(&format!("help: {help}\n"));
    }
}

/// The line of the part that a refusal names first, to stand before it; none where it names none.
fn line_of(circuit: &Circuit, cause: &SolveError) -> Option<String> {
    let part = match cause {
        SolveError::Unlimited { path, .. } => &path.from.device,
        SolveError::NoConvergence { device, .. } | SolveError::Restless { device } => device,
        SolveError::SourceLoop { parts } => parts.first()?,
        SolveError::NoReference { .. }
        | SolveError::Singular { .. }
        | SolveError::NoDigits { .. } => return None,
    };
    let origin = &circuit.part(circuit.part_named(part)?).origin;
    (origin.line > 0).then(|| format!("{}, line {}: ", origin.file, origin.line))
}

/// What to look at.
fn help(circuit: &Circuit, cause: &SolveError) -> Option<String> {
    match cause {
        SolveError::Unlimited { path, .. } => Some(series_help(circuit, path)),
        SolveError::NoConvergence { node, device, .. } => Some(balance_help(circuit, node, device)),
        SolveError::SourceLoop { .. } => Some(
            "give one of the sources its own resistance (source=), or check the control\n      \
             positions of the rows"
                .to_owned(),
        ),
        SolveError::Restless { .. } => Some(
            "a blinking discharge has no direct voltage; check the resistor that feeds it, and its rating"
                .to_owned(),
        ),
        SolveError::NoReference { .. }
        | SolveError::Singular { .. }
        | SolveError::NoDigits { .. } => None,
    }
}

/// What may be missing where nothing limits a current.
fn series_help(circuit: &Circuit, path: &CurrentPath) -> String {
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
        [one] => format!("{missing}, or {one} lacks its own\n      resistance (source=)"),
        several => format!(
            "{missing}, or one of {} lacks\n      its own resistance (source=)",
            several.join(", ")
        ),
    }
}

/// What may be wrong where no operating point is found: a terminal of the device that no direct current
/// can leave, else a value round the node.
fn balance_help(circuit: &Circuit, node: &str, device: &str) -> String {
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
            "no resistor, winding or supply leads direct current away from {}:\n      \
             look for a connection that is missing",
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
