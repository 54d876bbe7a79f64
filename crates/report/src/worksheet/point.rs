//! One point of a sheet, rounded and in words.
//!
//! A row of the manual and what was worked out for it come in; what the sheet says of it goes
//! out. How it is laid out, and which other rows name the same place, is not known here.

use circuit::{Job, ManualRow, NoValue, Quantity, RowId};
use diagnose::{Danger, Hazard};
use paper::Picture;
use schemars::JsonSchema;
use serde::Serialize;
use units::{decimals_for, Figure};

use crate::compare::Record;
use crate::figures;
use crate::manual;
use crate::places::{controls, probes, quantity_words, set_back, settings_words, where_text};
use crate::quantity::{self, DueWords};
use crate::remarks;
use crate::sockets::small_socket;
use crate::views::WorksheetView;

use super::answer::Answer;
use super::brief::brief;
use super::reading::{boxed, change_words, found, Boxed, Found};
use super::rounded::Rounded;

/// Width of a base beside its row, in points.
const SOCKET: f64 = 25.0;

/// Leads to what the manual notes on a point.
const NOTE: &str = "The manual's note: ";

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

/// The point of a row of the manual; `record` is what was read there in the sheet's own set. None where the
/// manual prints no value and the drawing says nothing either.
pub(crate) fn sheet_point(
    view: &WorksheetView<'_>,
    id: RowId,
    group: &str,
    record: Option<&Record<'_>>,
) -> Option<SheetPoint> {
    let (job, comparison) = (view.job, view.comparison);
    let translation = &comparison.translation;
    let row = job.row(id);
    let answer = Answer::of(translation, id);
    if row.figure.is_none() && !answer.is_told() {
        return None;
    }
    let (red, black) = probes(job, row);
    let of_manual = match id {
        RowId::Printed(index) => manual::sentences(job, view.manual, index),
        RowId::Unprinted(_) => Vec::new(),
    };
    Some(SheetPoint {
        point: row.point.to_owned(),
        also: Vec::new(),
        again: Vec::new(),
        group: group.to_owned(),
        place: where_text(job, row),
        red,
        black,
        socket: small_socket(job, id, SOCKET),
        quantity: row.quantity.name(),
        kind: row.quantity,
        danger: warning(view.hazards.at(id)),
        manual: printed(job, id, &answer),
        bench: answer.dues(),
        set_to: controls(job, row.settings),
        set_back: set_back(job, row.settings),
        translated: matches!(answer, Answer::Carried(..) | Answer::Predicted(_)),
        apart: answer.apart().is_some(),
        other: answer.apart().map(quantity::dues).unwrap_or_default(),
        marks: match answer {
            Answer::Carried(_, carried) => remarks::marks(carried),
            _ => String::new(),
        },
        found: found(job, comparison, id),
        boxes: [Record::first, Record::last]
            .map(|which| boxed(record.and_then(which)?, row.quantity)),
        change: record
            .and_then(Record::change)
            .filter(|_| record.is_some_and(|record| record.last().is_some()))
            .map_or(String::new(), |(by, resolution)| {
                change_words(by, resolution, row.quantity)
            }),
        brief: brief(row, &answer, &of_manual),
        remarks: sentences(job, row, &answer, &of_manual),
    })
}

fn warning(hazard: Hazard) -> Option<Warning> {
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

fn printed(job: &Job, id: RowId, answer: &Answer<'_>) -> Printed {
    let row = job.row(id);
    let chosen = answer.range();
    let chosen = chosen.map(|range| (range.range.full_scale, range.assumed));
    let range = chosen.or(row.range.map(|volts| (volts, false)));
    let text = match (id, row.figure) {
        (RowId::Unprinted(index), _) => match &job.unprinted[index].value {
            NoValue::Blank => remarks::NONE_PRINTED.to_owned(),
            NoValue::Sign(sign) | NoValue::Open(sign) => sign.clone(),
        },
        (RowId::Printed(_), Some(figure)) => figures::printed_with_unit(figure, row.quantity),
        (RowId::Printed(_), None) => String::new(),
    };
    let value = |figure: &Figure| Rounded::to(figure.value, decimals_for(figure.resolution));
    Printed {
        value: row.figure.and_then(value),
        text,
        // A voltmeter's name says nothing of how ohms or a current were read, nor of no value.
        meter: match row.quantity {
            Quantity::DcVolts | Quantity::AcVolts => row.figure.and(row.meter),
            Quantity::Ohms | Quantity::DcMilliamperes => None,
        }
        .map_or(String::new(), |meter| meter.name.clone()),
        range: range.map(|range| range.0),
        range_assumed: range.map(|range| range.1),
    }
}

fn sentences(
    job: &Job,
    row: ManualRow<'_>,
    answer: &Answer<'_>,
    of_manual: &[String],
) -> Vec<String> {
    let mut sentences = vec![
        settings_words(job, row.settings),
        quantity_words(row.quantity).to_owned(),
    ];
    sentences.extend(of_manual.iter().map(|sentence| capital(sentence)));
    match answer {
        Answer::Carried(entry, carried) => {
            let remarks = remarks::sentences(entry, carried);
            sentences.extend(remarks.iter().map(|remark| capital(remark)));
        }
        Answer::Predicted(_) => sentences.push(remarks::UNPRINTED.to_owned()),
        Answer::Apart(apart) => sentences.extend(quantity::due_sentences(apart)),
        Answer::Not(reason) => sentences.push(remarks::with_hint(
            format!("Not translated: {}.", remarks::reason_words(reason)),
            remarks::hint(job, reason),
        )),
        Answer::Nothing => {}
    }
    let note = row.note.trim();
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
