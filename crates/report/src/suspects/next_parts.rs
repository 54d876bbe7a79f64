//! Which tube to swap and which lead to lift, and what each suspect would then show.
//!
//! Steps worth making come in; what to do, cautions and predictions in words go out.

use circuit::{Job, PartId};
use diagnose::{NextPart, PartReads, PartStep, Suspects};

use crate::document::Card;
use crate::figures;
use crate::labels::each_once;
use crate::low_volts::has_tubes;
use crate::power_off::source_out;
use crate::setting_cell::control_cells;

use super::leads::{meter_name, volts_line, VoltsToRead};
use super::predicted::{card, is_in_order, same_ohms, sentence, settles, told, Told};
use super::worth::{decimals_on, open_bits};

/// Steps that are told, at most.
const MOST: usize = 2;

/// What comes before any of them; a screen has it once.
pub(super) fn before_a_step(job: &Job) -> String {
    let tubes = has_tubes(job);
    format!(
        "Work for qualified persons. {} with the power off only ({}, capacitors discharged and \
         proved so with a voltmeter); cover a lifted lead before switching on; switch off at once \
         if {}something smokes:",
        match tubes {
            true => "Pull tubes and lift leads",
            false => "Lift leads and change parts",
        },
        source_out(job),
        match tubes {
            true => "a plate reddens or ",
            false => "",
        }
    )
}

/// A part is lifted only if that tells so many times what the best measurement in the circuit tells
/// with the power off: unsoldering wears old leads and lugs.
const MORE: f64 = 1.05;

/// Those that would settle enough of the question, each with the share that it would settle; none for a
/// set in order.
pub(crate) fn worth_doing(suspects: &Suspects) -> impl Iterator<Item = (&NextPart, f64)> {
    let open = open_bits(suspects);
    let in_order = is_in_order(suspects);
    let in_circuit = suspects.next_ohms.iter();
    let in_circuit = in_circuit.fold(0.0, |most: f64, next| most.max(next.gain_bits));
    let pays = move |next: &&NextPart| match next.step {
        PartStep::LiftAndMeasure(_) => next.gain_bits > MORE * in_circuit,
        _ => true,
    };
    let each = suspects.next_parts.iter().filter(move |_| !in_order);
    each.filter(pays)
        .filter_map(move |next| {
            let (enough, share) = settles(next.gain_bits, open);
            (enough && told_at(suspects, next).len() > 1).then_some((next, share))
        })
        .take(MOST)
}

/// A card a step.
pub(super) fn step_cards(job: &Job, suspects: &Suspects) -> Vec<Card> {
    let worth = worth_doing(suspects).enumerate();
    worth
        .map(|(number, (next, share))| {
            let expected = predictions(job, suspects, next);
            card(number, &doing(job, next), share, &expected)
        })
        .collect()
}

/// How to note what was read after those that can be noted; none where none can.
pub(super) fn steps_noted(job: &Job, suspects: &Suspects) -> Option<String> {
    let alone = worth_doing(suspects).find_map(|(next, _)| match next.step {
        PartStep::LiftAndMeasure(part) => Some(name(job, part)),
        _ => None,
    });
    let settings = worth_doing(suspects).filter_map(|(next, _)| {
        let step = match next.step {
            PartStep::Swap(tube) => format!("{}=replaced", socket_of(job, tube)),
            PartStep::LiftAndRead(part, _) | PartStep::LiftAndMeasure(part) => {
                format!("{}=lifted", name(job, part))
            }
            PartStep::Exchange(..) => return None,
        };
        let mut cells = vec![step];
        if let PartReads::Volts { settings, .. } = &next.reads {
            cells.extend(control_cells(job, settings));
        }
        Some(format!("`{}`", cells.join("; ")))
    });
    let settings: Vec<String> = settings.collect();
    let settings = each_once(settings);
    (!settings.is_empty()).then(|| {
        format!(
            "To make it count, give it a row of its own in the readings: a new label under `point`, the place \
             under `at`, {} under `setting`{}.",
            settings.join(" or "),
            match alone {
                Some(part) => format!("; for ohms {part} itself under `at` and `ohm` under `quantity`"),
                None => String::new(),
            }
        )
    })
}

fn name(job: &Job, id: PartId) -> &str {
    &job.circuit.part(id).designator
}

fn socket_of(job: &Job, id: PartId) -> &str {
    circuit::socket(name(job, id)).unwrap_or(name(job, id))
}

/// The first of them as the next step, if it tells more than so many bits for its cost.
pub(super) fn part_step(job: &Job, suspects: &Suspects, bits: f64) -> Option<String> {
    let (next, _) = worth_doing(suspects).next()?;
    (next.gain_bits / next.cost > bits).then(|| {
        format!(
            "power off, {}, capacitors discharged: {}. Expect {}.",
            source_out(job),
            doing(job, next),
            predictions(job, suspects, next)
        )
    })
}

/// What is done and then read: `swap V2 with a good 12AX7, then switch on and read point 7`.
pub(crate) fn doing(job: &Job, next: &NextPart) -> String {
    let (name, socket) = (|id| name(job, id), |id| socket_of(job, id));
    let what = match next.step {
        PartStep::Swap(tube) => {
            format!("swap {} with a good {}", socket(tube), type_of(job, tube))
        }
        PartStep::Exchange(a, b) => format!("exchange {} and {}", socket(a), socket(b)),
        PartStep::LiftAndRead(part, terminal) => {
            let node = job.circuit.part(part).nodes[terminal];
            let node = job.circuit.node_name(node);
            format!("lift the lead of {} at {node}", name(part))
        }
        PartStep::LiftAndMeasure(part) => {
            return format!(
                "lift one end of {} and measure its ohms by itself, power off, {}",
                name(part),
                meter_name(job, next.meter)
            )
        }
    };
    let PartReads::Volts {
        port,
        entry,
        settings,
        range,
        worst_case_volts,
        hazardous,
    } = &next.reads
    else {
        return what;
    };
    let read = VoltsToRead {
        port: *port,
        entry: *entry,
        settings,
        meter: next.meter,
        range: *range,
        danger: hazardous.then_some(*worst_case_volts),
    };
    format!("{what}, then switch on and read {}", volts_line(job, read))
}

fn type_of(job: &Job, id: PartId) -> &str {
    match &job.circuit.part(id).kind {
        circuit::PartKind::Device(device) => &device.type_name,
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
fn told_at<'a>(suspects: &'a Suspects, next: &NextPart) -> Vec<Told<'a>> {
    let each = next.predictions.iter();
    let each = each.map(|one| (one.suspect, one.member, one.value));
    let ohms = matches!(next.reads, PartReads::Ohms { .. });
    told(suspects, each, |a, b| {
        (ohms && same_ohms(a, b)) || figure(next, a) == figure(next, b)
    })
}

/// `96 V if V2 low emission; 142 V if R9 drifted high`.
fn predictions(job: &Job, suspects: &Suspects, next: &NextPart) -> String {
    sentence(job, &told_at(suspects, next), |value| figure(next, value))
}
