//! One point of a sheet, rounded and in words.

use circuit::{Job, ManualEntry, Quantity, Shown};
use serde::Serialize;
use translate::{BenchSide, Carried, Comparison, Danger, Hazard, NotCarried};
use units::decimals_for;

use crate::compare_table::{meter_and_range, shown};
use crate::figures;
use crate::manual;
use crate::places::{probes, quantity_words, settings_words};
use crate::remarks;
use crate::views::WorksheetView;

use super::rounded::Rounded;

/// One point.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct SheetPoint {
    pub point: String,
    /// What the red probe touches.
    pub red: String,
    /// What the black probe touches.
    pub black: String,
    pub quantity: &'static str,
    pub danger: Option<Warning>,
    pub manual: Printed,
    /// What the bench meters should show; empty where the point is not translated.
    pub bench: Vec<Due>,
    /// Readings taken so far.
    pub found: Vec<Found>,
    pub remarks: Vec<String>,
}

/// The mark of a dangerous point.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Warning {
    pub word: &'static str,
    /// The sign before the word.
    pub sign: &'static str,
    /// The most that the point may reach.
    pub volts: Option<Rounded>,
    pub check_rating: bool,
}

/// What the manual says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Printed {
    pub value: Option<Rounded>,
    /// The value with its unit.
    #[serde(skip)]
    pub text: String,
    pub meter: String,
    pub range: Option<f64>,
    pub range_assumed: Option<bool>,
}

/// What a bench meter should show.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Due {
    pub meter: String,
    pub range: Option<f64>,
    pub expected: Option<Rounded>,
    /// Expanded uncertainty, 95 %.
    pub uncertainty: Option<Rounded>,
    pub band: [Option<Rounded>; 2],
    /// The band in words.
    #[serde(skip)]
    pub limits: String,
}

/// A reading and its verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Found {
    /// Volts; none for an overrange.
    pub value: Option<Rounded>,
    #[serde(skip)]
    pub text: String,
    /// Meter and range in words.
    #[serde(skip)]
    pub with: String,
    pub meter: String,
    pub range: Option<f64>,
    pub set: String,
    pub date: String,
    pub deviation_percent: Option<Rounded>,
    /// The deviation in words.
    #[serde(skip)]
    pub off: String,
    /// The probability in words.
    #[serde(skip)]
    pub chance: String,
    pub verdict: &'static str,
    /// Probability that the point lies inside its band, 0 to 1.
    pub conformity: Option<Rounded>,
    #[serde(skip)]
    pub judged: translate::Verdict,
}

/// The point of a manual's entry; `index` is the entry's place in the manual.
pub(crate) fn sheet_point(view: &WorksheetView<'_>, index: usize) -> Option<SheetPoint> {
    let (job, comparison) = (view.job, view.comparison);
    let entry = job.manual.get(index)?;
    let outcome = comparison
        .translation
        .points
        .iter()
        .find(|point| point.entry == index)
        .map(|point| &point.outcome);
    let (red, black) = probes(job, entry);
    Some(SheetPoint {
        point: entry.point.clone(),
        red,
        black,
        quantity: entry.quantity.name(),
        danger: view.hazards.get(index).and_then(warning),
        manual: printed(entry, outcome),
        bench: match outcome {
            Some(Ok(carried)) => dues(entry, carried),
            _ => Vec::new(),
        },
        found: found(job, comparison, index),
        remarks: sentences(
            job,
            entry,
            outcome,
            &manual::sentences(job, view.manual, index),
        ),
    })
}

fn warning(hazard: &Hazard) -> Option<Warning> {
    let sign = match hazard.danger {
        Danger::Low => return None,
        Danger::Hazardous => "!",
        Danger::Lethal => "!!",
    };
    Some(Warning {
        word: hazard.danger.word(),
        sign,
        volts: Rounded::to(hazard.volts.ceil(), 0),
        check_rating: hazard.check_rating,
    })
}

fn printed(entry: &ManualEntry, outcome: Option<&Result<Carried, NotCarried>>) -> Printed {
    let range = match outcome {
        Some(Ok(carried)) => {
            let range = carried.manual.range;
            Some((range.range.full_scale, range.assumed))
        }
        _ => entry.range.map(|volts| (volts, false)),
    };
    Printed {
        value: Rounded::to(entry.figure.value, decimals_for(entry.figure.resolution)),
        text: figures::printed_with_unit(&entry.figure, entry.quantity),
        // A voltmeter's name says nothing of how ohms or a current were read.
        meter: match entry.quantity {
            Quantity::DcVolts | Quantity::AcVolts => entry.meter.name.clone(),
            Quantity::Ohms | Quantity::DcMilliamperes => String::new(),
        },
        range: range.map(|range| range.0),
        range_assumed: range.map(|range| range.1),
    }
}

fn dues(entry: &ManualEntry, carried: &Carried) -> Vec<Due> {
    let resolution = entry.figure.resolution;
    let due = |side: &BenchSide| {
        let decimals = figures::band_decimals(side, resolution);
        let limit = |limit: Option<f64>| limit.and_then(|volts| Rounded::to(volts, decimals));
        Due {
            meter: side.meter.clone(),
            range: Some(side.range.full_scale),
            expected: Rounded::expected(side, resolution),
            uncertainty: Rounded::uncertainty(side, resolution),
            band: [limit(side.band.low), limit(side.band.high)],
            limits: figures::band(side, resolution),
        }
    };
    carried.bench.iter().map(due).collect()
}

fn found(job: &Job, comparison: &Comparison, index: usize) -> Vec<Found> {
    comparison
        .readings
        .iter()
        .filter(|compared| compared.entry == Some(index))
        .filter_map(|compared| {
            let reading = job.readings.get(compared.reading)?;
            let quantity = job
                .manual
                .get(index)
                .map_or(Quantity::DcVolts, |e| e.quantity);
            let value = match &reading.shown {
                Shown::Value(figure) => Rounded::to(figure.value, decimals_for(figure.resolution)),
                Shown::Overrange => None,
            };
            let text = shown(&reading.shown, quantity);
            Some(Found {
                text: match (value, quantity) {
                    (Some(_), Quantity::DcVolts) => figures::with_volts(&text),
                    _ => text,
                },
                value,
                with: meter_and_range(compared, reading),
                meter: reading.meter.name.clone(),
                range: Rounded::to(compared.range.range.full_scale, 6)
                    .map(|_| compared.range.range.full_scale),
                set: reading.set.clone(),
                date: reading.date.clone(),
                deviation_percent: compared
                    .deviation
                    .and_then(|share| Rounded::to(share * 100.0, 1)),
                off: compared.deviation.map_or(String::new(), |share| {
                    format!(", {} % off", figures::signed_percent(share * 100.0))
                }),
                chance: compared.judgement.conformity.map_or(String::new(), |p| {
                    format!(", p {} %", figures::probability(p))
                }),
                verdict: compared.judgement.verdict.word(),
                conformity: (compared.judgement.conformity)
                    .and_then(|probability| Rounded::to(probability, 3)),
                judged: compared.judgement.verdict,
            })
        })
        .collect()
}

fn sentences(
    job: &Job,
    entry: &ManualEntry,
    outcome: Option<&Result<Carried, NotCarried>>,
    of_manual: &[String],
) -> Vec<String> {
    let mut sentences = vec![
        settings_words(job, entry),
        quantity_words(entry.quantity).to_owned(),
    ];
    sentences.extend(of_manual.iter().map(|sentence| capital(sentence)));
    match outcome {
        Some(Ok(carried)) => {
            let remarks = remarks::sentences(entry, carried);
            sentences.extend(remarks.iter().map(|remark| capital(remark)));
        }
        Some(Err(reason)) => sentences.push(format!(
            "Not translated: {}.",
            remarks::reason_words(reason)
        )),
        None => {}
    }
    let note = entry.note.trim();
    if !note.is_empty() {
        sentences.push(format!("The manual's note: {note}"));
    }
    sentences.retain(|sentence| !sentence.is_empty());
    sentences
}

/// The sentence with a capital at its start.
fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
