//! Which tube to swap and which lead to lift, and what each suspect would then show.
//!
//! Steps worth making come in; what to do, cautions and predictions in words go out.

use circuit::{Job, NodeId, PartId};
use diagnose::{Hypothesis, Member, NextPart, PartReads, PartStep, Suspects, LETHAL_DC};

use crate::document::Card;
use crate::figures;
use crate::places::probes;

use super::verdict::{kind, leader};
use super::words::short_words;
use super::worth::{decimals_on, open_bits, LEAST, LEAST_BITS, LEAST_SHARE, NAMED, TOLD};

/// Steps that are told, at most.
const MOST: usize = 2;

/// Ohms that differ by less than this share are told as one: what leads and ranges leave.
const SAME: f64 = 0.05;

/// What comes before any of them; a screen has it once.
pub(super) const BEFORE_A_STEP: &str =
    "Work for qualified persons. Pull tubes and lift leads with the power off only (plug out, \
     capacitors discharged and proved so with a voltmeter); cover a lifted lead before switching on; \
     switch off at once if a plate reddens or something smokes:";

/// A part is lifted only if that tells so many times what the best measurement in the circuit tells
/// with the power off: unsoldering wears old leads and lugs.
const MORE: f64 = 1.05;

/// Those that would settle enough of the question, each with the share that it would settle; none for a
/// set in order.
pub(crate) fn worth_doing(suspects: &Suspects) -> impl Iterator<Item = (&NextPart, f64)> {
    let open = open_bits(suspects);
    let in_order =
        leader(suspects).is_some_and(|(_, own)| kind(own) == Some(Hypothesis::NothingWrong));
    let in_circuit = suspects.next_ohms.iter();
    let in_circuit = in_circuit.fold(0.0, |most: f64, next| most.max(next.gain_bits));
    let pays = move |next: &&NextPart| match next.step {
        PartStep::LiftAndMeasure(_) => next.gain_bits > MORE * in_circuit,
        _ => true,
    };
    let each = suspects.next_parts.iter().filter(move |_| !in_order);
    let each = each.filter(pays);
    let each = each.map(move |next| (next, (next.gain_bits / open).min(1.0)));
    each.filter(move |(next, share)| {
        let enough = next.gain_bits >= LEAST_BITS && *share >= LEAST_SHARE;
        enough && told(suspects, next).len() > 1
    })
    .take(MOST)
}

/// A card a step.
pub(super) fn step_cards(job: &Job, suspects: &Suspects) -> Vec<Card> {
    let worth = worth_doing(suspects).enumerate();
    worth
        .map(|(number, (next, share))| Card {
            label: format!("{}.", number + 1),
            head: format!(
                "{}; would settle about {} % of the question",
                capital(&doing(job, next)),
                figures::decimal(share * 100.0, 0)
            ),
            lines: vec![format!("expect {}", predictions(job, suspects, next))],
        })
        .collect()
}

/// The first of them as the next step, if it tells more than so many bits for its cost.
pub(super) fn part_step(job: &Job, suspects: &Suspects, bits: f64) -> Option<String> {
    let (next, _) = worth_doing(suspects).next()?;
    (next.gain_bits / next.cost > bits).then(|| {
        format!(
            "power off, plug out, capacitors discharged: {}. Expect {}.",
            doing(job, next),
            predictions(job, suspects, next)
        )
    })
}

/// What is done and then read: `swap V2 with a good 12AX7, then read point 7`.
pub(crate) fn doing(job: &Job, next: &NextPart) -> String {
    let name = |id: PartId| {
        let part = job.circuit.parts().get(id.0);
        part.map_or("", |part| part.designator.as_str())
    };
    let socket = |id: PartId| circuit::socket(name(id)).unwrap_or(name(id));
    let what = match next.step {
        PartStep::Swap(tube) => {
            format!("swap {} with a good {}", socket(tube), type_of(job, tube))
        }
        PartStep::Exchange(a, b) => format!("exchange {} and {}", socket(a), socket(b)),
        PartStep::LiftAndRead(part, terminal) => {
            let node = job.circuit.parts().get(part.0);
            let node = node.and_then(|part| part.nodes.get(terminal).copied());
            let node = node.map_or("", |node| node_name(job, node));
            format!("lift the lead of {} at {node}", name(part))
        }
        PartStep::LiftAndMeasure(part) => {
            return format!(
                "lift one end of {} and measure its ohms by itself, power off, {}",
                name(part),
                meter(job, next)
            )
        }
    };
    let PartReads::Volts {
        port,
        entry,
        range,
        worst_case_volts,
        hazardous,
    } = next.reads
    else {
        return what;
    };
    let point = entry.and_then(|entry| job.manual.get(entry));
    let place = match point {
        Some(entry) => {
            let (red, black) = probes(job, entry);
            format!("point {}: red to {red}, black to {black}", entry.point)
        }
        None => format!(
            "red to {}, black to {}",
            node_name(job, port.plus),
            node_name(job, port.minus)
        ),
    };
    let range = match range.full_scale.is_finite() {
        true => format!(" on {}", figures::range(range.full_scale, false)),
        false => String::new(),
    };
    let danger = match (hazardous, worst_case_volts >= LETHAL_DC) {
        (false, _) => String::new(),
        (true, lethal) => format!(
            ". {}: may reach {}",
            if lethal {
                "!!\u{a0}LETHAL"
            } else {
                "!\u{a0}HAZARDOUS"
            },
            figures::with_volts(&figures::decimal(worst_case_volts.ceil(), 0))
        ),
    };
    format!(
        "{what}, then read {place}, {}{range}{danger}",
        meter(job, next)
    )
}

fn meter<'a>(job: &'a Job, next: &NextPart) -> &'a str {
    let meter = job.bench.meters.get(next.meter);
    meter.map_or("the meter", |meter| meter.name.as_str())
}

fn node_name(job: &Job, node: NodeId) -> &str {
    let node = job.circuit.nodes().get(node.0);
    node.map_or("", |node| node.name.as_str())
}

fn type_of(job: &Job, id: PartId) -> &str {
    match job.circuit.parts().get(id.0).map(|part| &part.kind) {
        Some(circuit::PartKind::Device(device)) => &device.type_name,
        _ => "tube",
    }
}

/// A figure that the meter may show, in words.
fn figure(next: &NextPart, value: f64) -> String {
    match next.reads {
        PartReads::Volts { range, .. } => {
            let decimals = decimals_on(range.full_scale);
            figures::with_volts(&figures::decimal(value, decimals))
        }
        PartReads::Ohms { most } if !value.is_finite() => {
            format!("over {}", figures::ohms(most))
        }
        PartReads::Ohms { .. } => figures::ohms(value),
    }
}

/// Figures that a meter may show, with the faults of each.
fn told<'a>(suspects: &'a Suspects, next: &NextPart) -> Vec<(f64, Vec<&'a Member>)> {
    let mut told: Vec<(f64, Vec<&Member>)> = Vec::new();
    for (rank, predicted) in next.predictions.iter().enumerate() {
        let suspect = suspects.hypotheses.get(predicted.suspect);
        let Some(member) = suspect.and_then(|one| one.members.get(predicted.member)) else {
            continue;
        };
        if member.probability < LEAST && rank >= 2 {
            continue;
        }
        let value = predicted.value;
        let log = |ohms: f64| (ohms + 1.0).ln();
        let same = |known: f64| {
            let near = matches!(next.reads, PartReads::Ohms { .. })
                && (log(known) - log(value)).abs() < SAME;
            near || figure(next, known) == figure(next, value)
        };
        match told.iter_mut().find(|(known, _)| same(*known)) {
            Some((_, members)) => members.push(member),
            None => told.push((value, vec![member])),
        }
    }
    told
}

/// `96 V if V2 low emission; 142 V if R9 drifted high`.
fn predictions(job: &Job, suspects: &Suspects, next: &NextPart) -> String {
    let told = told(suspects, next);
    let each = told.iter().take(TOLD).map(|(value, members)| {
        let named = members.iter().take(NAMED);
        let mut names: Vec<String> = named.map(|member| short_words(job, member)).collect();
        match members.len().saturating_sub(NAMED) {
            0 => {}
            1 => names.push("another".to_owned()),
            more => names.push(format!("{more} others")),
        }
        format!("{} if {}", figure(next, *value), names.join(" or "))
    });
    each.collect::<Vec<_>>().join("; ")
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}
