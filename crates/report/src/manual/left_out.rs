//! Values that cannot be judged, one line a reason.

use circuit::{Job, Quantity};
use reconcile::{LeftOut, WhyLeftOut};

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

/// Why, and what to look at.
type Reason = (String, Option<String>);

/// One line a reason, each naming its points.
pub(crate) fn lines(job: &Job, left_out: &[LeftOut]) -> Vec<String> {
    let mut groups: Vec<(Reason, Vec<&str>)> = Vec::new();
    for left in left_out {
        let Some(entry) = job.manual.get(left.entry) else {
            continue;
        };
        let words = (why(&left.why), hint(job, &left.why));
        match groups.iter_mut().find(|(known, _)| *known == words) {
            Some((_, labels)) => labels.push(&entry.point),
            None => groups.push((words, vec![&entry.point])),
        }
    }
    groups
        .into_iter()
        .map(|((words, hint), labels)| {
            let line = format!("Not judged ({words}): {}.", shortened(&labels));
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

/// The labels, the last ones counted only where there are many.
fn shortened(labels: &[&str]) -> String {
    match labels.len().checked_sub(SHOWN) {
        Some(more) if more > 1 => format!("{} and {more} more", labels[..SHOWN].join(", ")),
        _ => labels.join(", "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn many_labels_are_counted_and_few_are_not() {
        let labels = ["1"; 13];
        assert_eq!(shortened(&labels), ["1"; 13].join(", "));
        let labels = ["1"; 15];
        assert_eq!(
            shortened(&labels),
            format!("{} and 3 more", ["1"; 12].join(", "))
        );
    }
}
