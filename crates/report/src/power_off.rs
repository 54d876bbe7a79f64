//! How a set is made dead before work on it, in words.
//!
//! A job comes in; `plug out`, `batteries out` for a set that runs on nothing else, or both, go out.

use circuit::{Job, PartKind, SupplyKind};

/// Alternating volts, root mean square, from which a drawn generator may be the line and not a signal
/// (common practice, no source).
const MAY_BE_THE_LINE: f64 = 30.0;

/// What is done to the source: `plug out`, `batteries out` where all that is drawn and stated says that no
/// line feeds the set, or both where a battery stands beside what may be the line.
pub(crate) fn source_out(job: &Job) -> &'static str {
    match (is_on_batteries(job), has_battery(job)) {
        (true, _) => "batteries out",
        (false, true) => "plug and batteries out",
        (false, false) => "plug out",
    }
}

/// The same as an order: `pull the plug`.
pub(crate) fn take_source_out(job: &Job) -> &'static str {
    match (is_on_batteries(job), has_battery(job)) {
        (true, _) => "take the batteries out",
        (false, true) => "pull the plug and take the batteries out",
        (false, false) => "pull the plug",
    }
}

/// Whether a battery is drawn.
fn has_battery(job: &Job) -> bool {
    let mut parts = job.circuit.parts().iter();
    parts.any(
        |part| matches!(&part.kind, PartKind::Supply(supply) if supply.kind == SupplyKind::Battery),
    )
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
