//! Bench readings beside the manual as rows for a spreadsheet.

use circuit::{Reading, Shown};
use translate::Compared;

use crate::csv_text::{maybe, number, Sheet};
use crate::manual;
use crate::readings::taken;
use crate::translate_rows::{csv_entry, csv_unprinted};
use crate::views::CompareView;

/// One row a reading.
pub(crate) fn csv(views: &[CompareView<'_>]) -> Sheet {
    let rows = views
        .iter()
        .flat_map(|view| {
            taken(view.job, view.comparison)
                .map(|(compared, reading)| csv_row(view, compared, reading))
        })
        .collect();
    Sheet {
        heads: &[
            "job",
            "point",
            "at",
            "against",
            "quantity",
            "manual",
            "unit",
            "set",
            "date",
            "meter",
            "range",
            "range assumed",
            "input (ohm)",
            "expected",
            "standard uncertainty",
            "coverage factor",
            "uncertainty",
            "band low",
            "band high",
            "reading",
            "deviation (%)",
            "verdict",
            "conformity",
            "note",
            "remarks",
        ],
        rows,
    }
}

fn csv_row(view: &CompareView<'_>, compared: &Compared, reading: &Reading) -> Vec<String> {
    let job = view.job;
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    let apart = compared.quantity.as_ref();
    let point = apart.and_then(|(at, _)| view.comparison.translation.quantities.get(*at));
    let mut row = match (entry, point) {
        (Some(entry), _) => csv_entry(job, entry),
        (None, Some(point)) => csv_unprinted(job, point),
        (None, None) => {
            let mut row = vec![String::new(); 7];
            row[0] = job.folder.clone();
            row[1] = reading.point.clone();
            row
        }
    };
    let side = match apart {
        Some((_, side)) => Some(&side.side),
        None => compared.expected.as_ref(),
    };
    // An ammeter's and an ohmmeter's range are of another kind than that for direct volts.
    let (range, input) = match (apart, side) {
        (Some(_), Some(side)) => (side.range.full_scale, side.input_ohms),
        _ => {
            let range = compared.range.range;
            (range.full_scale, reading.meter.input_ohms(range))
        }
    };
    let assumed = if compared.range.assumed { "yes" } else { "no" };
    row.extend([
        reading.set.clone(),
        reading.date.clone(),
        reading.meter.name.clone(),
        number(range),
        assumed.to_owned(),
        number(input),
        maybe(side.map(|side| side.expected)),
        maybe(side.map(|side| side.budget.standard)),
        maybe(side.map(|side| side.budget.coverage)),
        maybe(side.map(|side| side.budget.expanded())),
        maybe(side.and_then(|side| side.band.low)),
        maybe(side.and_then(|side| side.band.high)),
        match &reading.shown {
            Shown::Value(figure) => number(figure.value),
            Shown::Overrange => "OL".to_owned(),
        },
        maybe(compared.deviation.map(|share| share * 100.0)),
        compared.judgement.verdict.word().to_owned(),
        maybe(compared.judgement.conformity),
        reading.note.clone(),
        compared.entry.map_or(String::new(), |entry| {
            manual::sentences(job, view.manual, entry).join(" ")
        }),
    ]);
    row
}
