//! A circuit without a trustworthy solution: where the fault stands in the netlist, and what to check.

use circuit::{Circuit, Job};
use reconcile::ReconcileError;
use solver::SolveError;

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
                 help: name it in job.toml, such as `meter = \"20k/V\"`, or draw the circuit round \
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
    if let Some(hint) = cause.and_then(|cause| cause.hint(circuit)) {
        console.complain(&format!("help: {hint}\n"));
    }
}

/// The line of the part that a refusal names first, to stand before it; none where it names none.
fn line_of(circuit: &Circuit, cause: &SolveError) -> Option<String> {
    let part = match cause {
        SolveError::Unlimited { path, .. } => &path.from.device,
        SolveError::NoConvergence { device, .. }
        | SolveError::Restless { device }
        | SolveError::OneState { device, .. } => device,
        SolveError::SourceLoop { parts } => parts.first()?,
        SolveError::NoReference { .. }
        | SolveError::Singular { .. }
        | SolveError::NoDigits { .. } => return None,
    };
    let origin = &circuit.part(circuit.part_named(part)?).origin;
    (origin.line > 0).then(|| format!("{}, line {}: ", origin.file, origin.line))
}
