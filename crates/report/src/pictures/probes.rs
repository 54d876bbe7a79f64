//! Where to probe next, as rulers: what each suspect would put on the meter there.

use circuit::Job;
use diagnose::{Hypothesis, NextOhms, NextProbe, Suspects};
use paper::{Picture, RulerChart, RulerRow, RulerStop};
use translate::Translation;

use super::scale::round_scale;
use super::WIDTH;
use crate::clean::clean;
use crate::figures;
use crate::suspects::{
    decimals_on, ohms_place, ohms_told, place, repair, short_words, worth_off, worth_probing,
};

/// Names at one stop, and stops on one ruler.
const NAMED: usize = 3;
const STOPS: usize = 5;

/// Share of a ruler below which two stops are one.
const CLOSE: f64 = 0.02;

/// Probability below which a fault is left out, if two others stand there already.
const LEAST: f64 = 0.005;

/// A ruler for each place worth probing, in volts, or in ohms with the power off, with a stop where each suspect would put the reading; none
/// where no reading tells anything.
pub(crate) fn probes_picture(
    job: &Job,
    suspects: &Suspects,
    translation: &Translation,
) -> Option<Picture> {
    let chart = chart(job, suspects, translation);
    (!chart.rows.is_empty()).then(|| chart.picture())
}

/// The same as a picture for each ruler, so that a page may end between two.
pub(crate) fn probes_pictures(
    job: &Job,
    suspects: &Suspects,
    translation: &Translation,
) -> Vec<Picture> {
    let chart = chart(job, suspects, translation);
    let pictures = chart.pictures().into_iter().zip(&chart.rows);
    pictures
        .map(|(picture, row)| picture.described(told(row)))
        .collect()
}

/// What each suspect would show at a place, in sentences.
fn told(row: &RulerRow) -> String {
    let stops = row.stops.iter().map(|stop| {
        format!(
            "{}: {} if {}.",
            row.label,
            stop.words,
            stop.names.join(" or ")
        )
    });
    stops.collect::<Vec<_>>().join(" ")
}

fn chart(job: &Job, suspects: &Suspects, translation: &Translation) -> RulerChart {
    // A set in which the part to blame is out already is no longer as it was read.
    let open = repair(job, suspects).is_none();
    let worth = worth_probing(suspects).filter(|_| open).enumerate();
    let volts = worth.filter_map(|(n, (probe, _))| {
        let label = format!("{}. ", n + 1);
        ruler(job, (suspects, translation), probe, &label)
    });
    let ohms = worth_off(suspects).filter(|_| open);
    let ohms = ohms.filter_map(|(next, _)| ohms_ruler(job, suspects, next));
    let rows: Vec<RulerRow> = volts
        .chain(ohms)
        .map(|row| RulerRow {
            stops: merged(row.stops, (row.scale.1 - row.scale.0) * CLOSE),
            ..row
        })
        .collect();
    let told: Vec<String> = rows.iter().map(told).collect();
    let tinted = match rows.iter().any(|row| row.range.is_some()) {
        true => "tinted: a set in order; ",
        false => "",
    };
    RulerChart {
        title: "What to measure next: what each suspect would show".to_owned(),
        subtitle: format!("{tinted}strokes: what would be read if the named part is at fault"),
        description: told.join(" "),
        width: WIDTH,
        rows,
    }
}

fn ruler(
    job: &Job,
    (suspects, translation): (&Suspects, &Translation),
    probe: &NextProbe,
    label: &str,
) -> Option<RulerRow> {
    let stops = stops(job, suspects, probe);
    // A place where all would show the same tells nothing that could be drawn.
    if stops.len() < 2 {
        return None;
    }
    let in_order = in_order(translation, probe);
    let values = stops.iter().map(|stop| stop.value);
    let ends = in_order.iter().flat_map(|(low, high)| [*low, *high]);
    let (scale, ends) = round_scale(&values.chain(ends).collect::<Vec<f64>>())?;
    let place = place(job, probe.port, probe.entry, &probe.settings);
    let below = match (&place.point, place.settings.as_str()) {
        (Some(point), "") => format!("point {point}"),
        (Some(point), settings) => format!("point {point}. {settings}"),
        (None, "") => format!("against {}", place.black),
        (None, settings) => format!("against {}. {settings}", place.black),
    };
    Some(RulerRow {
        label: clean(&format!("{label}{}", place.red)),
        below: clean(&below),
        scale,
        ends,
        range: in_order,
        stops,
    })
}

/// The same in ohms, with the power off: decades at equal distances.
fn ohms_ruler(job: &Job, suspects: &Suspects, next: &NextOhms) -> Option<RulerRow> {
    let told = ohms_told(job, suspects, next);
    if told.len() < 2 {
        return None;
    }
    let decades = || told.iter().map(|one| one.ohms.max(1.0).log10());
    let low = decades().fold(f64::INFINITY, f64::min).floor();
    let high = decades().fold(0.0, f64::max).ceil().max(low + 1.0);
    let [label, below] = ohms_place(job, next);
    let stops = told.iter().zip(decades()).map(|(one, value)| RulerStop {
        value,
        words: one.words.clone(),
        names: one.names.iter().map(|name| clean(name)).collect(),
    });
    Some(RulerRow {
        label: clean(&label),
        below: clean(&below),
        scale: (low, high),
        ends: [low, high].map(|decade| figures::ohms(10f64.powf(decade))),
        range: None,
        stops: stops.collect(),
    })
}

/// What a healthy set may show there on the first bench meter.
fn in_order(translation: &Translation, probe: &NextProbe) -> Option<(f64, f64)> {
    let entry = probe.entry?;
    let mut points = translation.points.iter();
    let point = points.find(|point| point.entry == entry)?;
    let band = point.outcome.as_ref().ok()?.bench.get(probe.meter)?.band;
    Some((band.low?, band.high?))
}

/// Stops that could not be told apart on the ruler as one, with both ends of what it stands for.
fn merged(mut stops: Vec<RulerStop>, close: f64) -> Vec<RulerStop> {
    stops.sort_by(|a, b| a.value.total_cmp(&b.value));
    let mut kept: Vec<(RulerStop, RulerStop)> = Vec::new();
    for stop in stops {
        match kept.last_mut() {
            Some((first, last)) if stop.value - last.value <= close => {
                first.names.extend(stop.names.iter().cloned());
                *last = stop;
            }
            _ => kept.push((stop.clone(), stop)),
        }
    }
    let one = |(mut first, last): (RulerStop, RulerStop)| {
        if first.words != last.words {
            let low = first.words.trim_end_matches(" V");
            first.words = format!("{low} … {}", last.words);
            first.value = (first.value + last.value) / 2.0;
        }
        first
    };
    kept.into_iter().map(one).collect()
}

/// Suspects that would show the same figure share a stop, the most probable named first.
fn stops(job: &Job, suspects: &Suspects, probe: &NextProbe) -> Vec<RulerStop> {
    let decimals = decimals_on(probe.range.full_scale);
    let mut stops: Vec<RulerStop> = Vec::new();
    let mut further: Vec<usize> = Vec::new();
    for (rank, predicted) in probe.predictions.iter().enumerate() {
        let suspect = suspects.hypotheses.get(predicted.suspect);
        let Some(member) = suspect.and_then(|s| s.members.get(predicted.member)) else {
            continue;
        };
        if member.probability < LEAST && rank >= 2 {
            continue;
        }
        let words = figures::with_volts(&figures::decimal(predicted.volts, decimals));
        let first = member.faults.first();
        let name = match first.is_some_and(|(fault, _)| *fault == Hypothesis::NothingWrong) {
            true => "nothing wrong".to_owned(),
            false => clean(&short_words(job, member)),
        };
        match stops.iter().position(|stop| stop.words == words) {
            Some(at) if stops[at].names.len() < NAMED => stops[at].names.push(name),
            Some(at) => further[at] += 1,
            None if stops.len() < STOPS => {
                further.push(0);
                stops.push(RulerStop {
                    value: predicted.volts,
                    words,
                    names: vec![name],
                });
            }
            None => {}
        }
    }
    for (stop, more) in stops.iter_mut().zip(further) {
        if more > 0 {
            stop.names.push(format!("and {more} more"));
        }
    }
    stops
}
