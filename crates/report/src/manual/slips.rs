//! A slip that would explain a doubted value, in trade words.

use circuit::{Circuit, Job, ManualEntry, NodeId, PartKind, Port};
use reconcile::{Explained, Explanation, Judged};
use units::decimals_for;

use crate::figures::{decimal, range, with_sigma, with_volts};

/// Below this ratio a figure is in millivolts: a thousandth, where no decimal point slips by more than a hundredth.
const MILLIVOLTS: f64 = 5e-3;

/// Words for a slip, with what it would make of the value, without a full stop.
pub(crate) fn slip_words(job: &Job, judged: &Judged, found: &Explained) -> String {
    let Some(entry) = job.manual.get(judged.entry) else {
        return String::new();
    };
    let due = || with_sigma(found.predicted.volts, found.predicted.standard);
    let off = format!("{} σ off", decimal(found.residual_sigma.abs(), 1));
    match &found.explanation {
        Explanation::OtherRange { range: other } => format!(
            "another range: {} instead of {}; {} due there ({off})",
            range(other.full_scale, false),
            range(judged.range.range.full_scale, false),
            due()
        ),
        Explanation::OtherMeter { meter, range: on } => format!(
            "another meter: {} on {}; {} due there ({off})",
            meter.name,
            range(on.full_scale, false),
            due()
        ),
        Explanation::SwappedDigits { reads_as } => {
            format!("digits swapped: {} ({off})", meant(entry, *reads_as, 1.0))
        }
        Explanation::DecimalPoint { reads_as } => {
            let scale = (reads_as / entry.figure.value).abs();
            let meant = meant(entry, *reads_as, scale);
            match scale < MILLIVOLTS {
                true => format!(
                    "millivolts: {meant} ({off}); then write `{}mV`",
                    entry.figure.text
                ),
                false => format!("decimal point: {meant} ({off})"),
            }
        }
        Explanation::WrongSign { reads_as } => {
            format!("sign: {} ({off})", meant(entry, *reads_as, 1.0))
        }
        Explanation::OtherPlace { port, entries } => format!(
            "taken at {}; {} due there ({off})",
            place_words(job, *port, entries),
            due()
        ),
    }
}

/// What was meant, with the decimals of the printed value moved by `scale`.
fn meant(entry: &ManualEntry, volts: f64, scale: f64) -> String {
    with_volts(&decimal(
        volts,
        decimals_for(entry.figure.resolution * scale),
    ))
}

/// `V2 pin 3 (point 7)`: the words of the manual's own row where one stands there, else the
/// electrode that the red probe would touch.
pub(crate) fn place_words(job: &Job, port: Port, entries: &[usize]) -> String {
    let there = entries.iter().filter_map(|index| job.manual.get(*index));
    let mut rows = there.clone();
    let Some(first) = rows.next() else {
        return electrode(&job.circuit, port.plus);
    };
    // A socket chart's rows are called after their places; once is enough.
    let labels: Vec<&str> = there
        .map(|entry| entry.point.as_str())
        .filter(|label| *label != first.at)
        .collect();
    match labels.len() {
        0 => first.at.clone(),
        1 => format!("{} (point {})", first.at, labels[0]),
        _ => format!("{} (points {})", first.at, labels.join(", ")),
    }
}

/// `V1A cathode`; the node's name where no tube or semiconductor is on it.
fn electrode(circuit: &Circuit, node: NodeId) -> String {
    let named = circuit.parts().iter().find_map(|part| {
        let PartKind::Device(_) = part.kind else {
            return None;
        };
        let at = part.nodes.iter().position(|own| *own == node)?;
        let terminals = part.kind.terminals();
        Some(format!("{} {}", part.designator, terminals.get(at)?))
    });
    named.unwrap_or_else(|| circuit.node_name(node).to_owned())
}
