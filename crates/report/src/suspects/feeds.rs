//! A set that nothing feeds, in words: which sources give nothing together, and where the break is looked for.
//!
//! Sources of a job come in; sentences go out. Which of them go together is not known here.

use circuit::{Job, PartId, PartKind, SupplyKind};
use diagnose::Hypothesis;

use crate::labels::with_last;
use crate::low_volts::has_tubes;
use crate::power_off::source_out;

/// `PS1, PS2 and PS3`, all sources that the fault leaves without feed; none of any other fault.
pub(super) fn sources(job: &Job, fault: &Hypothesis) -> Option<String> {
    let unfed = fault.unfed(&job.circuit);
    let name = |id: &PartId| job.circuit.part(*id).designator.clone();
    (!unfed.is_empty()).then(|| with_last(unfed.iter().map(name), "and"))
}

/// The set as a suspect.
pub(super) fn unfed_words(job: &Job, fault: &Hypothesis) -> Option<String> {
    let sources = sources(job, fault)?;
    let why = match by_batteries(job, fault) {
        true => "switch, fuse, a common lead, or flat batteries",
        false => &format!("fuse, switch, cord, plug or {}", behind(job)),
    };
    let cold = match has_tubes(job) {
        true => ", tubes cold",
        false => "",
    };
    Some(format!(
        "nothing from {sources}{cold}: the set is not fed ({why})"
    ))
}

/// What the line leads to behind switch and fuse.
fn behind(job: &Job) -> &'static str {
    match job.circuit.heater_strings().is_empty() {
        true => "primary",
        false => "string of heaters",
    }
}

/// How the break is found. With the power on the line is across it.
pub(super) fn unfed_test(job: &Job, fault: &Hypothesis) -> Option<String> {
    let unfed = fault.unfed(&job.circuit);
    let first = unfed.first()?;
    Some(match by_batteries(job, fault) {
        true => format!(
            "measure {} by itself under load; then ({}) follow its leads through switch and fuse with \
             the ohmmeter",
            job.circuit.part(*first).designator,
            source_out(job)
        ),
        false => format!(
            "({}, capacitors discharged) look at the fuse and, with the switch on, measure the ohms \
             between the prongs of the plug: no continuity is an open fuse, switch, cord or {}",
            source_out(job),
            behind(job)
        ),
    })
}

/// Whether batteries are among the sources.
fn by_batteries(job: &Job, fault: &Hypothesis) -> bool {
    let unfed = fault.unfed(&job.circuit);
    unfed.iter().any(|id| {
        matches!(&job.circuit.part(*id).kind, PartKind::Supply(supply) if supply.kind == SupplyKind::Battery)
    })
}
