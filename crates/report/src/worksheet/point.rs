//! One point of a sheet, rounded and in words.

use circuit::{Job, ManualEntry, Quantity, Shown};
use diagnose::{Danger, Hazard};
use serde::Serialize;
use translate::{BenchSide, Carried, Comparison, NotCarried};
use units::decimals_for;

use crate::compare_table::{meter_and_range, shown};
use crate::figures;
use crate::manual;
use crate::places::{probes, quantity_words, settings_words};
use crate::record::{signed, Record, Taken};
use crate::remarks;
use crate::views::WorksheetView;

use super::rounded::Rounded;

/// Leads to what the manual notes on a point.
pub(crate) const NOTE: &str = "The manual's note: ";

/// One point.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct SheetPoint {
    pub point: String,
    /// Further names that the manual has for it and says the same of.
    pub also: Vec<String>,
    /// The group that it is probed with.
    pub group: String,
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
    /// What goes into the boxes: as found and as left.
    #[serde(skip)]
    pub boxes: [Option<Boxed>; 2],
    /// Last reading less first, in words; empty without two readings of one meter.
    #[serde(skip)]
    pub change: String,
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
    /// The deviation in percent, with its sign; empty without one.
    #[serde(skip)]
    pub off_percent: String,
    /// The probability in percent; empty without one.
    #[serde(skip)]
    pub chance_percent: String,
    pub verdict: &'static str,
    /// Probability that the point lies inside its band, 0 to 1.
    pub conformity: Option<Rounded>,
    #[serde(skip)]
    pub judged: translate::Verdict,
}

/// A reading as it stands in its box.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Boxed {
    /// The reading with its unit.
    pub text: String,
    /// The same in the unit of its quantity; none for an overrange.
    pub value: Option<Rounded>,
    /// The meter used.
    pub meter: String,
    /// When, as written.
    pub date: String,
    pub judged: translate::Verdict,
}

/// The point of a manual's entry; `index` is the entry's place in the manual, `record` what was
/// read there in the sheet's own set.
pub(crate) fn sheet_point(
    view: &WorksheetView<'_>,
    index: usize,
    group: &str,
    record: Option<&Record<'_>>,
) -> Option<SheetPoint> {
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
        also: Vec::new(),
        group: group.to_owned(),
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
        boxes: [Record::first, Record::last]
            .map(|which| boxed(record.and_then(which)?, entry.quantity)),
        change: record
            .and_then(Record::change)
            .filter(|_| record.is_some_and(|record| record.last().is_some()))
            .map_or(String::new(), |(by, resolution)| {
                change_words(by, resolution, entry.quantity)
            }),
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

fn boxed((compared, reading): Taken<'_>, quantity: Quantity) -> Option<Boxed> {
    Some(Boxed {
        text: shown_with_unit(&reading.shown, quantity),
        value: shown_value(&reading.shown),
        meter: reading.meter.name.clone(),
        date: reading.date.clone(),
        judged: compared.judgement.verdict,
    })
}

fn change_words(by: f64, resolution: f64, quantity: Quantity) -> String {
    match quantity {
        Quantity::DcVolts | Quantity::AcVolts => {
            figures::with_volts(&signed(by, decimals_for(resolution)))
        }
        // A change of so many kilohms or milliamperes says less than its share of the first value.
        Quantity::Ohms | Quantity::DcMilliamperes => String::new(),
    }
}

fn shown_value(shown: &Shown) -> Option<Rounded> {
    match shown {
        Shown::Value(figure) => Rounded::to(figure.value, decimals_for(figure.resolution)),
        Shown::Overrange => None,
    }
}

/// What stood on the meter, with its unit.
fn shown_with_unit(stood: &Shown, quantity: Quantity) -> String {
    let text = shown(stood, quantity);
    match (shown_value(stood), quantity) {
        (Some(_), Quantity::DcVolts) => figures::with_volts(&text),
        _ => text,
    }
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
            Some(Found {
                text: shown_with_unit(&reading.shown, quantity),
                value: shown_value(&reading.shown),
                with: meter_and_range(compared, reading),
                meter: reading.meter.name.clone(),
                range: Rounded::to(compared.range.range.full_scale, 6)
                    .map(|_| compared.range.range.full_scale),
                set: reading.set.clone(),
                date: reading.date.clone(),
                deviation_percent: compared
                    .deviation
                    .and_then(|share| Rounded::to(share * 100.0, 1)),
                off_percent: compared.deviation.map_or(String::new(), |share| {
                    figures::signed_percent(share * 100.0)
                }),
                chance_percent: (compared.judgement.conformity)
                    .map_or(String::new(), figures::probability),
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
        Some(Err(NotCarried::Quantity(_))) => {
            sentences.push("Not translated in this version.".to_owned());
        }
        Some(Err(reason)) => sentences.push(format!(
            "Not translated: {}.",
            remarks::reason_words(reason)
        )),
        None => {}
    }
    let note = entry.note.trim();
    if !note.is_empty() {
        sentences.push(format!("{NOTE}{note}"));
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
