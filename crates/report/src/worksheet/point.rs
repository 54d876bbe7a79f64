//! One point of a sheet, rounded and in words.
//!
//! An entry of the manual and what was worked out for it come in; what the sheet says of it goes
//! out. How it is laid out, and which other entries name the same place, is not known here.

use circuit::{Job, ManualEntry, Quantity};
use diagnose::{Danger, Hazard};
use serde::Serialize;
use translate::{BenchSide, Carried, NotCarried, QuantityPoint};
use units::decimals_for;

use crate::figures;
use crate::manual;
use crate::places::{probes, quantity_words, settings_words};
use crate::quantity;
use crate::record::Record;
use crate::remarks;
use crate::views::WorksheetView;

use super::brief::brief;
use super::reading::{boxed, change_words, found, Boxed, Found};
use super::rounded::Rounded;
use super::same_place::Again;

/// Leads to what the manual notes on a point.
const NOTE: &str = "The manual's note: ";

/// One point.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct SheetPoint {
    pub point: String,
    /// Further names that the manual has for it.
    pub also: Vec<String>,
    /// What the manual says under those names, where it is not the same.
    pub again: Vec<Again>,
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
    /// The remarks in few words.
    #[serde(skip)]
    pub brief: Vec<String>,
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
    let of_manual = manual::sentences(job, view.manual, index);
    let apart = quantity::of_entry(&comparison.translation, index);
    Some(SheetPoint {
        point: entry.point.clone(),
        also: Vec::new(),
        again: Vec::new(),
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
        brief: brief(job, entry, (outcome, apart), &of_manual),
        remarks: sentences(job, entry, (outcome, apart), &of_manual),
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

fn sentences(
    job: &Job,
    entry: &ManualEntry,
    (outcome, apart): (Option<&Result<Carried, NotCarried>>, Option<&QuantityPoint>),
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
            sentences.extend(apart.into_iter().flat_map(quantity::due_sentences));
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
