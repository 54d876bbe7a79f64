//! The point of a sheet that a row of the manual becomes.
//!
//! A row and what was worked out for it come in; what the sheet says of it goes out. How it is laid out, and which
//! other rows name the same place, is not known here.

use circuit::{Job, ManualRow, NoValue, Quantity, RowId};
use diagnose::{Danger, Hazard};
use units::{decimals_for, Figure};

use crate::compare::Record;
use crate::figures;
use crate::labels::capital;
use crate::manual;
use crate::places::{controls, probes, quantity_words, set_back, settings_words, where_text};
use crate::quantity;
use crate::remarks;
use crate::sockets::small_socket;
use crate::views::WorksheetView;

use super::answer::Answer;
use super::brief::brief;
use super::point::{Printed, SheetPoint, Warning};
use super::reading::{boxed, change_words, found};
use super::rounded::Rounded;

/// Width of a base beside its row, in points.
const SOCKET: f64 = 25.0;

/// Leads to what the manual notes on a point.
const NOTE: &str = "The manual's note: ";

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
            NoValue::Blank | NoValue::NotListed => remarks::NONE_PRINTED.to_owned(),
            NoValue::Sign(sign) | NoValue::Open(sign) => sign.clone(),
        },
        (RowId::Printed(_), Some(figure)) => figures::printed_by_row(&row, figure),
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
