//! How a set is made dead before work on it, in words.
//!
//! A job comes in; `plug out`, or `batteries out` for a set that runs on nothing else, goes out.

use circuit::{Job, PartKind, SupplyKind};

/// Alternating volts, root mean square, from which a drawn generator may be the line and not a signal
/// (common practice, no source).
const MAY_BE_THE_LINE: f64 = 30.0;

/// What is done to the source: `plug out`, or `batteries out` where all that is drawn and stated says
/// that no line feeds the set.
pub(crate) fn source_out(job: &Job) -> &'static str {
    match is_on_batteries(job) {
        true => "batteries out",
        false => "plug out",
    }
}

/// The same as an order: `pull the plug`.
pub(crate) fn take_source_out(job: &Job) -> &'static str {
    match is_on_batteries(job) {
        true => "take the batteries out",
        false => "pull the plug",
    }
}

/// Whether every drawn source is a battery, and nothing says that the set is on the line.
pub(crate) fn is_on_batteries(job: &Job) -> bool {
    let parts = job.circuit.parts().iter();
    let mut batteries = 0;
    for part in parts {
        match &part.kind {
            PartKind::Supply(supply) if supply.kind == SupplyKind::Battery => batteries += 1,
            PartKind::Supply(_) => return false,
            PartKind::Generator(source) if source.volts.abs() >= MAY_BE_THE_LINE => return false,
            _ => {}
        }
    }
    let stated = job.documented.line.or(job.bench.line);
    batteries > 0 && stated.is_none() && !job.hot_chassis
}
