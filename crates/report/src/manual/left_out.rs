//! Values that cannot be judged, one line a reason.

use circuit::{Job, Quantity};
use reconcile::{LeftOut, WhyLeftOut};

use crate::labels::{first_few, gathered};
use crate::remarks::with_hint;

/// Labels shown of one reason before the rest is counted only.
const SHOWN: usize = 12;

/// Why a value is not judged, without a full stop.
pub(crate) fn why(reason: &WhyLeftOut) -> String {
    match reason {
        WhyLeftOut::Quantity(quantity) => match quantity {
            Quantity::DcVolts => "direct volts".to_owned(),
            Quantity::AcVolts => "alternating volts".to_owned(),
            Quantity::Ohms => "a resistance".to_owned(),
            Quantity::DcMilliamperes => "a current".to_owned(),
        },
        WhyLeftOut::SourceStated { .. } => {
            "its source resistance is stated, so no drawing predicts it".to_owned()
        }
        WhyLeftOut::OneLimit => "one limit is printed, and no value".to_owned(),
        WhyLeftOut::NotDrawn => "its circuit is not drawn".to_owned(),
        WhyLeftOut::Floating => "no direct current can reach it".to_owned(),
        WhyLeftOut::NoState(error) if error.has_a_state() => error.to_string(),
        WhyLeftOut::NoState(error) => {
            format!("the drawn circuit finds no state with the meter on it: {error}")
        }
        WhyLeftOut::Accuracy(error) => format!("its meter's error cannot be told: {error}"),
        WhyLeftOut::NotFinite => "its meter lists no range for it".to_owned(),
    }
}

/// One line a reason, each naming its points.
pub(crate) fn lines(job: &Job, left_out: &[LeftOut]) -> Vec<String> {
    let each = left_out.iter().filter_map(|left| {
        let entry = job.manual.get(left.entry)?;
        Some(((why(&left.why), hint(job, &left.why)), entry.point.as_str()))
    });
    gathered(each)
        .into_iter()
        .map(|((words, hint), labels)| {
            let line = format!("Not judged ({words}): {}.", first_few(&labels, SHOWN));
            with_hint(line, hint)
        })
        .collect()
}

/// What to look at in the circuit, where that can be said.
fn hint(job: &Job, reason: &WhyLeftOut) -> Option<String> {
    match reason {
        WhyLeftOut::NoState(error) => error.hint(&job.circuit),
        _ => None,
    }
}
