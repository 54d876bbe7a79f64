//! What to measure with the power off, and what each suspect predicts there.
//!
//! Measurements worth making come in; places, safety and predictions in words go out.

use circuit::{Job, NodeId, PartKind};
use diagnose::{Hypothesis, Member, NextOhms, StepKind, Suspects};

use crate::document::Card;
use crate::figures;
use crate::places::probes;

use super::verdict::{kind, leader};
use super::words::short_words;
use super::worth::{open_bits, LEAST, LEAST_BITS, LEAST_SHARE, NAMED, TOLD};

/// Measurements with the power off that are told, at most.
const MOST: usize = 2;

/// Predictions that differ by less than this share are told as one: what leads and ranges leave.
const SAME: f64 = 0.05;

/// What comes before any of them; a screen has it once.
pub(super) const POWER_OFF: &str =
    "With the power off (plug out, capacitors discharged and proved so \
                                    with a voltmeter):";

/// Those that would settle enough of the question, each with the share that it would settle; none for a
/// set in order, which asks for nothing to be measured.
pub(crate) fn worth_off(suspects: &Suspects) -> impl Iterator<Item = (&NextOhms, f64)> {
    let open = open_bits(suspects);
    let in_order =
        leader(suspects).is_some_and(|(_, own)| kind(own) == Some(Hypothesis::NothingWrong));
    let each = suspects.next_ohms.iter().filter(move |_| !in_order);
    let each = each.map(move |next| (next, (next.gain_bits / open).min(1.0)));
    each.filter(move |(next, share)| {
        let enough = next.gain_bits >= LEAST_BITS && *share >= LEAST_SHARE;
        enough && told(suspects, next).len() > 1
    })
    .take(MOST)
}

/// Places worth an ohmmeter: where, and what each suspect would show there.
pub(super) fn ohm_cards(job: &Job, suspects: &Suspects) -> Vec<Card> {
    let worth = worth_off(suspects).enumerate();
    worth
        .map(|(number, (next, share))| Card {
            label: format!("{}.", number + 1),
            head: format!(
                "{}; would settle about {} % of the question",
                capital(&place(job, next)),
                figures::decimal(share * 100.0, 0)
            ),
            lines: vec![format!("expect {}", predictions(job, suspects, next))],
        })
        .collect()
}

/// The first of them as the next step, if it tells so many bits for its cost, and how many.
pub(super) fn ohm_step(job: &Job, suspects: &Suspects, bits: f64) -> Option<(String, f64)> {
    let (next, _) = worth_off(suspects).next()?;
    let worth = next.gain_bits / StepKind::OhmsOff.cost();
    if worth < bits {
        return None;
    }
    let words = format!(
        "power off, plug out, capacitors discharged: {}. Expect {}.",
        place(job, next),
        predictions(job, suspects, next)
    );
    Some((words, worth))
}

/// Where both leads go.
fn place(job: &Job, next: &NextOhms) -> String {
    let meter = job.bench.meters.get(next.meter);
    let meter = meter.map_or("the meter", |meter| meter.name.as_str());
    let listed = next.entry.and_then(|entry| job.manual.get(entry));
    if let Some(entry) = listed {
        let (red, black) = probes(job, entry);
        let point = &entry.point;
        return format!("measure ohms at point {point}: red to {red}, black to {black}, {meter}");
    }
    let two_ends = job.circuit.parts().iter().find(|part| {
        let ends = [next.port.plus, next.port.minus];
        part.nodes.len() == 2 && part.nodes[..] == ends && !is_source(&part.kind)
    });
    let name = |node: NodeId| {
        let nodes = job.circuit.nodes().get(node.0);
        nodes.map_or(String::new(), |node| node.name.clone())
    };
    let (red, black) = (name(next.port.plus), name(next.port.minus));
    match two_ends {
        Some(part) => format!(
            "measure ohms across {}: red to {red}, black to {black}, {meter}",
            part.designator
        ),
        None => format!("measure ohms: red to {red}, black to {black}, {meter}"),
    }
}

fn is_source(kind: &PartKind) -> bool {
    matches!(kind, PartKind::Supply(_) | PartKind::Generator(_))
}

/// Figures that a meter may show, with the faults of each.
fn told<'a>(suspects: &'a Suspects, next: &NextOhms) -> Vec<(f64, Vec<&'a Member>)> {
    let mut told: Vec<(f64, Vec<&Member>)> = Vec::new();
    for (rank, predicted) in next.predictions.iter().enumerate() {
        let suspect = suspects.hypotheses.get(predicted.suspect);
        let Some(member) = suspect.and_then(|one| one.members.get(predicted.member)) else {
            continue;
        };
        if member.probability < LEAST && rank >= 2 {
            continue;
        }
        // An ohm is added, so that a short has a logarithm.
        let log = |ohms: f64| (ohms + 1.0).ln();
        let same = |known: f64| {
            let both_open = known.is_infinite() && predicted.ohms.is_infinite();
            both_open || (log(known) - log(predicted.ohms)).abs() < SAME
        };
        match told.iter_mut().find(|(known, _)| same(*known)) {
            Some((_, members)) => members.push(member),
            None => told.push((predicted.ohms, vec![member])),
        }
    }
    told
}

/// A figure that the meter may show, and the faults that put it there.
pub(crate) struct OhmsTold {
    /// Ohms; the most that the meter shows for an open circuit.
    pub ohms: f64,
    /// The figure.
    pub words: String,
    /// The faults, in short.
    pub names: Vec<String>,
}

/// Such figures, faults of one figure together.
pub(crate) fn ohms_told(job: &Job, suspects: &Suspects, next: &NextOhms) -> Vec<OhmsTold> {
    let told = told(suspects, next);
    let each = told.iter().take(TOLD).map(|(ohms, members)| {
        let mut names: Vec<String> = members
            .iter()
            .take(NAMED)
            .map(|member| short_words(job, member))
            .collect();
        match members.len().saturating_sub(NAMED) {
            0 => {}
            1 => names.push("another".to_owned()),
            more => names.push(format!("{more} others")),
        }
        OhmsTold {
            ohms: ohms.min(next.most),
            words: match ohms.is_finite() {
                true => figures::ohms(*ohms),
                false => format!("over {}", figures::ohms(next.most)),
            },
            names,
        }
    });
    each.collect()
}

/// `310 kΩ if C6 leaks; over 20 MΩ if R9 has risen`.
fn predictions(job: &Job, suspects: &Suspects, next: &NextOhms) -> String {
    let told = ohms_told(job, suspects, next).into_iter();
    let each = told.map(|told| format!("{} if {}", told.words, told.names.join(" or ")));
    each.collect::<Vec<_>>().join("; ")
}

/// Where both leads go, in two short lines.
pub(crate) fn ohms_place(job: &Job, next: &NextOhms) -> [String; 2] {
    let whole = place(job, next);
    let (what, leads) = whole.split_once(": ").unwrap_or((&whole, ""));
    let what = what.trim_start_matches("measure ohms").trim_start();
    let leads = leads.rsplit_once(", ").map_or(leads, |(leads, _)| leads);
    match what {
        "" => [leads.to_owned(), "power off".to_owned()],
        what => [what.to_owned(), format!("power off; {leads}")],
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}
