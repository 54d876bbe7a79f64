//! One point of a sheet, rounded and in words.
//!
//! An entry of the manual and what was worked out for it come in; what the sheet says of it goes
//! out. How it is laid out, and which other entries name the same place, is not known here.

use circuit::{Job, ManualEntry, Quantity};
use diagnose::{Danger, Hazard};
use paper::Picture;
use schemars::JsonSchema;
use serde::Serialize;
use translate::{BenchSide, Carried, NotCarried, QuantityPoint};
use units::decimals_for;

use crate::compare::Record;
use crate::figures;
use crate::manual;
use crate::places::{controls, probes, quantity_words, set_back, settings_words, where_text};
use crate::quantity::{self, DueWords};
use crate::remarks;
use crate::sockets::small_socket;
use crate::views::WorksheetView;

use super::brief::brief;
use super::reading::{boxed, change_words, found, Boxed, Found};
use super::rounded::Rounded;

/// Width of a base beside its row, in points.
const SOCKET: f64 = 25.0;

/// Leads to what the manual notes on a point.
const NOTE: &str = "The manual's note: ";

/// What was worked out for an entry: as direct volts, and as a row of another quantity.
pub(super) type Answer<'a> = (
    Option<&'a Result<Carried, NotCarried>>,
    Option<&'a QuantityPoint>,
);

/// One point.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub(crate) struct SheetPoint {
    /// The manual's own label.
    pub point: String,
    /// Further names that the manual has for it.
    pub also: Vec<String>,
    /// What the manual says under those names, where it is not the same.
    pub again: Vec<Again>,
    /// The group that it is probed with.
    pub group: String,
    /// The place in words, as in the tables; empty where the name says it.
    #[serde(skip)]
    pub place: String,
    /// What the red probe touches.
    pub red: String,
    /// What the black probe touches.
    pub black: String,
    /// The base from below with the pin marked; none for a point at no pin.
    #[serde(skip)]
    pub socket: Option<Picture>,
    /// What is measured: direct volts, alternating volts, resistance, direct current.
    #[schemars(extend("enum" = ["dc V", "ac V", "ohm", "dc mA"]))]
    pub quantity: &'static str,
    /// The same.
    #[serde(skip)]
    pub kind: Quantity,
    /// The danger mark. Null below every threshold.
    pub danger: Option<Warning>,
    /// What the manual says.
    pub manual: Printed,
    /// What the bench meters should show; empty where the point is not translated.
    pub bench: Vec<Due>,
    /// Readings taken so far.
    pub found: Vec<Found>,
    /// How the controls have to stand, `S1 closed`; empty where they are not asked for.
    #[serde(skip)]
    pub set_to: String,
    /// How to undo that: `open S1 again`.
    #[serde(skip)]
    pub set_back: String,
    /// Whether it is translated.
    #[serde(skip)]
    translated: bool,
    /// Whether it is another quantity than direct volts and something is expected of it.
    #[serde(skip)]
    pub apart: bool,
    /// What the bench meters should show of another quantity; empty for direct volts.
    #[serde(skip)]
    pub other: Vec<DueWords>,
    /// Marks for what has to be known of its value, as in the table of `translate`.
    #[serde(skip)]
    pub marks: String,
    /// What goes into the boxes: as found and as left.
    #[serde(skip)]
    pub boxes: [Option<Boxed>; 2],
    /// Last reading less first, in words; empty without two readings of one meter.
    #[serde(skip)]
    pub change: String,
    /// Sentences for the person at the bench.
    pub remarks: Vec<String>,
    /// The remarks in few words.
    #[serde(skip)]
    pub brief: Vec<String>,
}

impl SheetPoint {
    /// Whether it has a row of its own in the table to work from.
    pub(crate) fn is_row(&self) -> bool {
        self.translated
    }
}

/// What the manual says of a place a second time, under a further name of it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub(crate) struct Again {
    /// The further name.
    pub point: String,
    /// What the manual says.
    pub manual: Printed,
    /// What the bench meters should show by it.
    pub bench: Vec<Due>,
    /// Remarks that the first does not have.
    pub remarks: Vec<String>,
    /// The same in few words.
    #[serde(skip)]
    pub brief: Vec<String>,
}

/// The mark of a dangerous point.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub(crate) struct Warning {
    /// The mark in a word.
    #[schemars(extend("enum" = ["HAZARDOUS", "LETHAL"]))]
    pub word: &'static str,
    /// The sign before the word.
    #[schemars(extend("enum" = ["!", "!!"]))]
    pub sign: &'static str,
    /// The most that the point may reach.
    pub volts: Option<Rounded>,
    /// Whether the rating of meter and leads has to be looked at.
    pub check_rating: bool,
}

/// What the manual says.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub(crate) struct Printed {
    /// The printed value. In the SI unit of the quantity: volts, ohms or amperes.
    pub value: Option<Rounded>,
    /// The value with its unit.
    #[serde(skip)]
    pub text: String,
    /// The meter it was read with.
    pub meter: String,
    /// Full scale of the range, volts.
    pub range: Option<f64>,
    /// Whether the range was assumed.
    pub range_assumed: Option<bool>,
}

/// What a bench meter should show.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub(crate) struct Due {
    /// Its name.
    pub meter: String,
    /// Full scale of the range, volts.
    pub range: Option<f64>,
    /// What it should show, volts.
    pub expected: Option<Rounded>,
    /// Expanded uncertainty, 95 %.
    pub uncertainty: Option<Rounded>,
    /// What the manual's tolerance allows it to show, volts. An open side is null.
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
        place: where_text(job, entry),
        red,
        black,
        socket: small_socket(job, entry, SOCKET),
        quantity: entry.quantity.name(),
        kind: entry.quantity,
        danger: view.hazards.get(index).and_then(warning),
        manual: printed(entry, (outcome, apart)),
        bench: match outcome {
            Some(Ok(carried)) => dues(entry, carried),
            _ => Vec::new(),
        },
        set_to: controls(job, &entry.settings),
        set_back: set_back(job, &entry.settings),
        translated: matches!(outcome, Some(Ok(_))),
        apart: apart.is_some_and(|point| point.outcome.is_ok()),
        other: apart.map(quantity::dues).unwrap_or_default(),
        marks: match outcome {
            Some(Ok(carried)) => remarks::marks(carried),
            _ => String::new(),
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
        brief: brief(entry, (outcome, apart), &of_manual),
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

fn printed(entry: &ManualEntry, (outcome, apart): Answer<'_>) -> Printed {
    let chosen = match outcome {
        Some(Ok(carried)) => Some(carried.manual.range),
        _ => apart.and_then(|apart| apart.outcome.as_ref().ok()?.manual_range),
    };
    let chosen = chosen.map(|range| (range.range.full_scale, range.assumed));
    let range = chosen.or(entry.range.map(|volts| (volts, false)));
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
    (outcome, apart): Answer<'_>,
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
        Some(Err(reason)) => sentences.push(remarks::with_hint(
            format!("Not translated: {}.", remarks::reason_words(reason)),
            remarks::hint(job, reason),
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
