//! Where to put the probe next, and what each suspect predicts there.
//!
//! Probes worth making come in; places, meters, warnings and predictions in words go out.

use circuit::{Job, NodeId, PartKind, Port};
use diagnose::{Hypothesis, Member, NextProbe, StepKind, Suspects, LETHAL_DC};

use crate::document::Card;
use crate::figures;
use crate::places::{probes, settings_words};

use super::next_ohms::ohm_step;
use super::next_parts::part_step;
use super::part_tests::part_tests;
use super::verdict::{kind, leader};
use super::words::short_words;
use super::worth::{decimals_on, open_bits, LEAST, LEAST_BITS, LEAST_SHARE, NAMED, TOLD};

/// A single fault of this probability needs no further reading.
const SURE: f64 = 0.95;

/// Where both probes of a measurement go.
pub(crate) struct ProbePlace {
    /// The manual's label; none for a bare node.
    pub point: Option<String>,
    /// What the red probe touches.
    pub red: String,
    /// What the black probe touches.
    pub black: String,
    /// Controls to set first, in a sentence; empty without any.
    pub settings: String,
}

/// Where both probes go, in words.
pub(crate) fn place(job: &Job, probe: &NextProbe) -> ProbePlace {
    if let Some(entry) = probe.entry.and_then(|entry| job.manual.get(entry)) {
        let (red, black) = probes(job, entry);
        return ProbePlace {
            point: Some(entry.point.clone()),
            red,
            black,
            settings: settings_words(job, entry),
        };
    }
    let name = |node: NodeId| {
        let nodes = job.circuit.nodes().get(node.0);
        nodes.map_or(String::new(), |node| node.name.clone())
    };
    let red = name(probe.port.plus);
    ProbePlace {
        point: None,
        red: match terminal_at(job, probe.port) {
            Some(terminal) => format!("{red} ({terminal})"),
            None => red,
        },
        black: name(probe.port.minus),
        settings: String::new(),
    }
}

/// A device's terminal at the red probe, where a hand finds it.
fn terminal_at(job: &Job, port: Port) -> Option<String> {
    let mut devices = job.circuit.parts().iter();
    devices.find_map(|part| {
        let PartKind::Device(_) = part.kind else {
            return None;
        };
        let place = part.nodes.iter().position(|at| *at == port.plus)?;
        let terminal = part.kind.terminals().get(place).copied()?.to_owned();
        Some(format!("{} of {}", terminal, part.designator))
    })
}

/// Places worth a probe: where, with what, and what each suspect would show there.
pub(super) fn probe_cards(job: &Job, suspects: &Suspects) -> Vec<Card> {
    let told = worth(suspects).enumerate();
    told.map(|(number, (probe, share))| Card {
        label: format!("{}.", number + 1),
        head: probe_line(job, probe, share),
        lines: vec![predictions(job, suspects, probe)],
    })
    .collect()
}

/// Probes that would settle enough of the question, each with the share that it would settle.
pub(crate) fn worth(suspects: &Suspects) -> impl Iterator<Item = (&NextProbe, f64)> {
    let open = open_bits(suspects);
    let each = suspects.next.iter();
    let each = each.map(move |probe| (probe, (probe.gain_bits / open).min(1.0)));
    each.filter(move |(probe, share)| {
        let enough = probe.gain_bits >= LEAST_BITS && *share >= LEAST_SHARE;
        enough && figures_at(suspects, probe).len() > 1
    })
}

/// Faults worth naming at a probe, with the figure that the meter would show of each.
fn leading<'a>(suspects: &'a Suspects, probe: &NextProbe) -> Vec<(&'a Member, String)> {
    let decimals = decimals_on(probe.range.full_scale);
    let each = probe.predictions.iter().enumerate();
    each.filter_map(|(rank, predicted)| {
        let suspect = suspects.hypotheses.get(predicted.suspect)?;
        let member = suspect.members.get(predicted.member)?;
        let volts = figures::with_volts(&figures::decimal(predicted.volts, decimals));
        (member.probability >= LEAST || rank < 2).then_some((member, volts))
    })
    .collect()
}

/// The figures that a meter may show there, each once.
fn figures_at(suspects: &Suspects, probe: &NextProbe) -> Vec<String> {
    let mut shown: Vec<String> = Vec::new();
    for (_, volts) in leading(suspects, probe) {
        if !shown.contains(&volts) {
            shown.push(volts);
        }
    }
    shown
}

/// What to do next: probe, measure ohms with the power off, or test a part by itself. None without a reading that counts.
pub(crate) fn next_step(job: &Job, suspects: &Suspects) -> Option<String> {
    if suspects.counted() == 0 {
        return None;
    }
    let tests = part_tests(job, suspects);
    let (first, leader) = leader(suspects)?;
    let sure = first.probability >= SURE && first.members.len() == 1;
    let in_order = kind(leader) == Some(Hypothesis::NothingWrong);
    let probe = worth(suspects).next().filter(|_| !sure || in_order);
    // With the power off nobody is hurt: where that tells as much, it comes first.
    let told = probe.as_ref().map_or(0.0, |(probe, _)| {
        let kind = match probe.again {
            true => StepKind::ReadAgain,
            false => StepKind::ReadNew,
        };
        probe.gain_bits / kind.cost()
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
            probe_place(job, probe),
            predictions(job, suspects, probe).trim_start_matches("expect ")
        ));
    }
    if in_order && tests.is_empty() {
        return Some("nothing; no reading in the drawn circuit would tell more.".to_owned());
    }
    let why = match sure {
        true => "",
        false => "no further reading tells these apart: ",
    };
    match (tests.is_empty(), in_order) {
        (true, _) => {
            Some("read again what does not fit, then compare the drawing with the set.".to_owned())
        }
        (false, true) => Some(format!(
            "if the set still misbehaves, with the power off {}.",
            tests.join("; ")
        )),
        (false, false) => Some(format!("{why}with the power off {}.", tests.join("; "))),
    }
}

/// Where both probes go, with what, and how dangerous it is.
fn probe_place(job: &Job, probe: &NextProbe) -> String {
    let place = place(job, probe);
    let again = if probe.again { "read again " } else { "" };
    let point = place.point.map_or(format!("{again}red to "), |point| {
        format!("{again}point {point}: red to ")
    });
    let meter = job.bench.meters.get(probe.meter);
    let meter = meter.map_or("the meter", |meter| meter.name.as_str());
    let range = match probe.range.full_scale.is_finite() {
        true => format!(" on {}", figures::range(probe.range.full_scale, false)),
        false => String::new(),
    };
    let settings = match place.settings.as_str() {
        "" => String::new(),
        words => format!(". {}", words.trim_end_matches('.')),
    };
    let danger = danger(probe).map_or(String::new(), |danger| format!(". {danger}"));
    format!(
        "{point}{}, black to {}, {meter}{range}{settings}{danger}",
        place.red, place.black
    )
}

/// The same, and how far it would settle the question.
fn probe_line(job: &Job, probe: &NextProbe, share: f64) -> String {
    let place = probe_place(job, probe);
    let mut letters = place.chars();
    let place: String = letters
        .next()
        .into_iter()
        .flat_map(char::to_uppercase)
        .chain(letters)
        .collect();
    format!(
        "{place}; would settle about {} % of the question",
        figures::decimal(share * 100.0, 0)
    )
}

/// The mark of a dangerous place, as on the worksheet.
fn danger(probe: &NextProbe) -> Option<String> {
    let reach = figures::with_volts(&figures::decimal(probe.worst_case_volts.ceil(), 0));
    let mark = match probe.worst_case_volts >= LETHAL_DC {
        true => "!!\u{a0}LETHAL",
        false => "!\u{a0}HAZARDOUS",
    };
    probe
        .hazardous
        .then(|| format!("{mark}: may reach {reach}"))
}

/// `expect 121 V if C6 leaky or R9 open; 92 V if nothing wrong`, faults of one figure together and named by
/// the most probable of them.
fn predictions(job: &Job, suspects: &Suspects, probe: &NextProbe) -> String {
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for (member, volts) in leading(suspects, probe) {
        let words = short_words(job, member);
        match told.iter_mut().find(|(known, _)| *known == volts) {
            Some((_, names)) => names.push(words),
            None => told.push((volts, vec![words])),
        }
    }
    let each = told.iter().take(TOLD).map(|(volts, names)| {
        let more = match names.len().saturating_sub(NAMED) {
            0 => String::new(),
            1 => " or another".to_owned(),
            more => format!(" or {more} others"),
        };
        let named = &names[..names.len().min(NAMED)];
        format!("{volts} if {}{more}", named.join(" or "))
    });
    format!("expect {}", each.collect::<Vec<_>>().join("; "))
}
