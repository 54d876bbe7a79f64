//! What to measure with the power off, and what each suspect predicts there.
//!
//! Measurements worth making come in; places, safety and predictions in words go out.

use circuit::Job;
use diagnose::{NextOhms, StepKind, Suspects};

use crate::document::Card;
use crate::figures;
use crate::places::probes;
use crate::power_off::source_out;

use super::leads::meter_name;
use super::predicted::{card, is_in_order, names, same_ohms, sentence, settles, told, Told};
use super::worth::{open_bits, TOLD};

/// Measurements with the power off that are told, at most.
const MOST: usize = 2;

/// What comes before any of them; a screen has it once.
pub(super) fn power_off(job: &Job) -> String {
    format!(
        "With the power off ({}, capacitors discharged and proved so with a voltmeter):",
        source_out(job)
    )
}

/// Those that would settle enough of the question, each with the share that it would settle; none for a
/// set in order, which asks for nothing to be measured.
pub(crate) fn worth_off(suspects: &Suspects) -> impl Iterator<Item = (&NextOhms, f64)> {
    let open = open_bits(suspects);
    let in_order = is_in_order(suspects);
    let each = suspects.next_ohms.iter().filter(move |_| !in_order);
    each.filter_map(move |next| {
        let (enough, share) = settles(next.gain_bits, open);
        (enough && told_at(suspects, next).len() > 1).then_some((next, share))
    })
    .take(MOST)
}

/// Places worth an ohmmeter: where, and what each suspect would show there.
pub(super) fn ohm_cards(job: &Job, suspects: &Suspects) -> Vec<Card> {
    let worth = worth_off(suspects).enumerate();
    worth
        .map(|(number, (next, share))| {
            let expected = predictions(job, suspects, next);
            card(number, &place(job, next), share, &expected)
        })
        .collect()
}

/// How to note what was measured where the manual has no row for it; none where it has one for all of them.
pub(super) fn ohms_noted(suspects: &Suspects) -> Option<String> {
    let mut told = worth_off(suspects);
    told.any(|(next, _)| next.entry.is_none()).then(|| {
        "To make it count, give it a row of its own in the readings: any label under `point`, `ohm` under \
         `quantity`, both places under `at` and `against`."
            .to_owned()
    })
}

/// The first of them as the next step, if it tells so many bits for its cost, and how many.
pub(super) fn ohm_step(job: &Job, suspects: &Suspects, bits: f64) -> Option<(String, f64)> {
    let (next, _) = worth_off(suspects).next()?;
    let worth = next.gain_bits / StepKind::OhmsOff.cost();
    if worth < bits {
        return None;
    }
    let words = format!(
        "power off, {}, capacitors discharged: {}. Expect {}.",
        source_out(job),
        place(job, next),
        predictions(job, suspects, next)
    );
    Some((words, worth))
}

/// Where both leads go.
fn place(job: &Job, next: &NextOhms) -> String {
    let meter = meter_name(job, next.meter);
    let listed = next.entry.and_then(|entry| job.manual.get(entry));
    if let Some(entry) = listed {
        let (red, black) = probes(job, entry);
        let point = &entry.point;
        return format!("measure ohms at point {point}: red to {red}, black to {black}, {meter}");
    }
    let two_ends = job.circuit.parts().iter().find(|part| {
        let ends = [next.port.plus, next.port.minus];
        part.nodes.len() == 2 && part.nodes[..] == ends && !part.kind.is_source()
    });
    let (red, black) = (
        job.circuit.node_name(next.port.plus),
        job.circuit.node_name(next.port.minus),
    );
    match two_ends {
        Some(part) => format!(
            "measure ohms across {}: red to {red}, black to {black}, {meter}",
            part.designator
        ),
        None => format!("measure ohms: red to {red}, black to {black}, {meter}"),
    }
}

/// Figures that a meter may show, with the faults of each.
fn told_at<'a>(suspects: &'a Suspects, next: &NextOhms) -> Vec<Told<'a>> {
    let each = next.predictions.iter();
    let each = each.map(|one| (one.suspect, one.member, one.ohms));
    told(suspects, each, same_ohms)
}

fn figure(next: &NextOhms, ohms: f64) -> String {
    match ohms.is_finite() {
        true => figures::ohms(ohms),
        false => format!("over {}", figures::ohms(next.most)),
    }
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
    let told = told_at(suspects, next);
    let told = &told[..told.len().min(TOLD)];
    let each = told.iter().map(|(ohms, members)| OhmsTold {
        ohms: ohms.min(next.most),
        words: figure(next, *ohms),
        names: names(job, members, told),
    });
    each.collect()
}

/// `310 kΩ if C6 leaks; over 20 MΩ if R9 has risen`.
fn predictions(job: &Job, suspects: &Suspects, next: &NextOhms) -> String {
    sentence(job, &told_at(suspects, next), |ohms| figure(next, ohms))
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
