//! Where to put the probe next, and what each suspect predicts there.
//!
//! Probes worth making come in; places, meters, warnings and predictions in words go out.

use circuit::{Job, Port, Quantity, Setting};
use diagnose::{AmbiguityGroup, Hypothesis, NextProbe, Suspects, WhyUnused};

use crate::document::Card;
use crate::figures;
use crate::labels::first_few;

use super::convicted::{convicted, repair, trial_of_leader, SURE};
use super::leads::{volts_line, VoltsToRead};
use super::next_ohms::ohm_step;
use super::next_parts::part_step;
use super::part_tests::part_tests;
use super::predicted::{card, is_in_order, sentence, settles, told, Told};
use super::strings::{look_first, suspected};
use super::verdict::{kind, leader, tried_pairs};
use super::worth::{decimals_on, open_bits};

/// Points not read yet that are named before the rest is counted only.
const UNREAD: usize = 8;

/// Places worth a probe: where, with what, and what each suspect would show there.
pub(super) fn probe_cards(job: &Job, suspects: &Suspects) -> Vec<Card> {
    let worth = worth(suspects).enumerate();
    worth
        .map(|(number, (probe, share))| {
            let expected = predictions(job, suspects, probe);
            card(number, &probe_line(job, probe), share, &expected)
        })
        .collect()
}

/// Probes that would settle enough of the question, each with the share that it would settle.
pub(crate) fn worth(suspects: &Suspects) -> impl Iterator<Item = (&NextProbe, f64)> {
    let open = open_bits(suspects);
    suspects.next.iter().filter_map(move |probe| {
        let (enough, share) = settles(probe.gain_bits, open);
        (enough && told_at(suspects, probe).len() > 1).then_some((probe, share))
    })
}

/// The figures that a meter may show there, with the faults of each.
fn told_at<'a>(suspects: &'a Suspects, probe: &NextProbe) -> Vec<Told<'a>> {
    let each = probe.predictions.iter();
    let each = each.map(|one| (one.suspect, one.member, one.volts));
    told(suspects, each, |a, b| figure(probe, a) == figure(probe, b))
}

fn figure(probe: &NextProbe, volts: f64) -> String {
    let decimals = decimals_on(probe.range.full_scale);
    figures::with_volts(&figures::decimal(volts, decimals))
}

/// What to do next: probe, measure ohms with the power off, or test a part by itself. None without a reading that counts.
/// Where a string of heaters may be open, a look at its tubes comes first: it costs nothing.
pub(crate) fn next_step(job: &Job, suspects: &Suspects) -> Option<String> {
    let step = measured_step(job, suspects)?;
    let look = suspected(job, suspects)
        .filter(|_| !is_sure(job, suspects))
        .and_then(|string| look_first(job, string, &step));
    Some(look.unwrap_or(step))
}

/// Whether one single fault is left, or one part: which of its faults it is, its repair need not know.
fn is_sure(job: &Job, suspects: &Suspects) -> bool {
    let one =
        |(first, _): (&AmbiguityGroup, _)| first.probability >= SURE && first.members.len() == 1;
    leader(suspects).is_some_and(one) || convicted(job, suspects).is_some()
}

/// The next step with a meter or a part in hand.
fn measured_step(job: &Job, suspects: &Suspects) -> Option<String> {
    if suspects.counted() == 0 {
        return None;
    }
    if let Some(repair) = repair(job, suspects) {
        return Some(repair);
    }
    let tests = part_tests(job, suspects);
    leader(suspects)?;
    let sure = is_sure(job, suspects);
    let in_order = is_in_order(suspects);
    let probe = worth(suspects).next().filter(|_| !sure || in_order);
    // Measuring with the power off is safer: if it tells as much, it comes first.
    let told = probe.as_ref().map_or(0.0, |(probe, _)| {
        probe.gain_bits / probe.kind(&job.circuit).cost()
    });
    let open = !sure && !in_order;
    let off = ohm_step(job, suspects, told).filter(|_| open);
    let told = off.as_ref().map_or(told, |(_, worth)| *worth);
    // A step on a part costs more: it has to tell so much more.
    if let Some(step) = part_step(job, suspects, told).filter(|_| open) {
        return Some(step);
    }
    if let Some((step, _)) = off {
        return Some(step);
    }
    if let Some((probe, _)) = probe {
        return Some(format!(
            "{}. Expect {}.",
            probe_line(job, probe),
            predictions(job, suspects, probe)
        ));
    }
    if in_order {
        return Some(nothing_found(job, suspects, &tests));
    }
    let why = match sure {
        true => "",
        false => "no further reading tells these apart: ",
    };
    if !tests.is_empty() {
        return Some(format!("{why}with the power off {}.", tests.join("; ")));
    }
    if let Some(trial) = trial_of_leader(job, suspects) {
        return Some(trial);
    }
    let (group, first) = leader(suspects)?;
    let again = match kind(first) {
        Some(Hypothesis::ReadingWrong { reading }) => {
            let point = job.readings.get(reading).map_or("", |read| &read.point);
            format!("read point {point} again; if it shows the same, then ")
        }
        Some(one) if one.part().is_some() && group.fits_all() => String::new(),
        _ => "read again what does not fit, then ".to_owned(),
    };
    let pairs = match tried_pairs(suspects) {
        true => "",
        false => "try two faults at once with --pairs, then ",
    };
    Some(format!("{again}{pairs}compare the drawing with the set."))
}

/// What is left to do where all readings are in order and none would tell much more: the points that have not
/// been read, then the parts that these readings cannot see.
fn nothing_found(job: &Job, suspects: &Suspects, tests: &[String]) -> String {
    let unread = unread(job, suspects);
    let tests = tests.join("; ");
    let power_off = match tests.is_empty() {
        true => String::new(),
        false => format!("with the power off {tests}"),
    };
    match (unread.is_empty(), tests.is_empty()) {
        (true, true) => {
            "nothing more to read: if the set still misbehaves, look for what direct volts \
                         do not show, such as a dry or open capacitor, or a signal that gets lost."
                .to_owned()
        }
        (true, false) => format!("if the set still misbehaves, {power_off}."),
        (false, _) => {
            let then = match tests.is_empty() {
                true => String::new(),
                false => format!("; then {power_off}"),
            };
            format!(
                "no single reading would tell much more; if the set still misbehaves, read the points \
                 not read yet: {}{then}.",
                first_few(&unread, UNREAD)
            )
        }
    }
}

/// The manual's points of direct volts that are drawn and of which no reading counts, each place under the same
/// setting once.
fn unread<'a>(job: &'a Job, suspects: &Suspects) -> Vec<&'a str> {
    let mut known: Vec<(Port, &[Setting])> = Vec::new();
    for used in &suspects.readings {
        let entry = used.entry.and_then(|entry| job.manual.get(entry));
        known.push((used.port, entry.map_or(&[][..], |entry| &entry.settings)));
    }
    let mut found = Vec::new();
    for entry in &job.manual {
        let read = |one: &&circuit::Reading| one.point == entry.point;
        let read = suspects.unused.iter().any(|unused| {
            let of_other_set = matches!(unused.why, WhyUnused::OtherSet);
            !of_other_set && job.readings.get(unused.reading).iter().any(read)
        });
        let Some(port) = entry
            .port
            .filter(|_| entry.quantity == Quantity::DcVolts && !read)
        else {
            continue;
        };
        let place = (port, &entry.settings[..]);
        if !known.contains(&place) {
            known.push(place);
            found.push(entry.point.as_str());
        }
    }
    found
}

/// Where both probes go, with what, and how dangerous it is.
fn probe_line(job: &Job, probe: &NextProbe) -> String {
    let again = if probe.again { "read again " } else { "" };
    let read = VoltsToRead {
        port: probe.port,
        entry: probe.entry,
        settings: &probe.settings,
        meter: probe.meter,
        range: probe.range,
        danger: probe.hazardous.then_some(probe.worst_case_volts),
    };
    // Where an end fails, what lies between the two may be all the volts there are.
    let both = match (probe.is_difference(&job.circuit), probe.hazardous) {
        (true, true) => {
            ". Both leads are live: clip them on with the power off; begin on a high range"
        }
        (true, false) => ". Begin on a high range",
        (false, _) => "",
    };
    format!("{again}{}{both}", volts_line(job, read))
}

/// `121 V if C6 leaky or R9 open; 92 V if nothing wrong`, faults of one figure together and named by
/// the most probable of them.
fn predictions(job: &Job, suspects: &Suspects, probe: &NextProbe) -> String {
    sentence(job, &told_at(suspects, probe), |volts| figure(probe, volts))
}
