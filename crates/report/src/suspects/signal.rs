//! A set read with a signal in, where its manual was read without one.
//!
//! No part does what a signal does: the detector's and the control volts become more negative, the grids of what
//! oscillates or limits too, and every stage on them draws less. Nothing that is drawn leads then.

use circuit::{Circuit, DeviceClass, Job, PartKind, Shown};
use diagnose::{Conclusion, Hypothesis};
use translate::{Compared, Verdict};

use crate::labels::named;
use crate::views::SuspectsView;

use super::verdict::{kind, leader};

/// Words before "signal" that say that there was none.
const NONE: [&str; 4] = ["no", "without", "zero", "without a"];

/// What to do where no part explains readings that a signal may have made; none elsewhere.
pub(super) fn with_signal(view: &SuspectsView<'_>) -> Option<String> {
    let (_, first) = leader(view.suspects)?;
    let leads = view.suspects.conclusion == Conclusion::Leads;
    let is_part = !matches!(kind(first), Some(Hypothesis::NoneOfThese));
    if (leads && is_part) || !is_without_signal(view.job) || !rectifies_signals(&view.job.circuit) {
        return None;
    }
    let below = view.comparison.readings.iter();
    let below = below.filter(|one| is_more_negative(view.job, one));
    let points: Vec<&str> = below
        .map(|one| view.job.readings[one.reading].point.as_str())
        .collect();
    (!points.is_empty()).then(|| {
        format!(
            "The manual's values hold without a signal. {}: more negative than that allows, as a signal makes \
             detectors, their control volts and driven grids. If one came in, from the aerial, a generator or a \
             stage before, keep it out and read again.",
            named(&points)
        )
    })
}

/// Whether something drawn makes direct volts of a signal: a tube, or a diode on a winding. The transistors and bias
/// diodes of an amplifier do not.
fn rectifies_signals(circuit: &Circuit) -> bool {
    let winds = |kind: &PartKind| matches!(kind, PartKind::Inductor(_) | PartKind::Transformer(_));
    let windings = circuit.parts().iter().filter(|part| winds(&part.kind));
    let wound: Vec<_> = windings.flat_map(|part| &part.nodes).collect();
    circuit.parts().iter().any(|part| match &part.kind {
        PartKind::Device(device) if device.class == DeviceClass::Tube => true,
        PartKind::Device(device) if device.class == DeviceClass::Diode => {
            let known = |node| !circuit.references().any(|ground| ground == node);
            part.nodes
                .iter()
                .any(|node| known(*node) && wound.contains(&node))
        }
        _ => false,
    })
}

/// Whether the manual's conditions, or a note beside a value, say that there was no signal.
fn is_without_signal(job: &Job) -> bool {
    let notes = job.manual.iter().map(|entry| &entry.note);
    let mut texts = notes.chain([&job.documented.conditions]);
    texts.any(|text| {
        let words = format!(" {}", text.to_lowercase().replace('-', " "));
        NONE.iter()
            .any(|none| words.contains(&format!(" {none} signal")))
    })
}

/// Whether a reading is below zero and fails below its limits.
fn is_more_negative(job: &Job, compared: &Compared) -> bool {
    let reading = &job.readings[compared.reading];
    let side = compared.expected.as_ref();
    match (&reading.shown, side.and_then(|side| side.band.low)) {
        (Shown::Value(figure), Some(low)) => {
            compared.judgement.verdict == Verdict::Fail && figure.value < low.min(0.0)
        }
        _ => false,
    }
}
