//! Bench readings beside the manual as rows for a spreadsheet.

use circuit::{Job, Reading, Shown};
use translate::Compared;

use crate::compare_table::taken;
use crate::csv_text::{maybe, number, Sheet};
use crate::translate_rows::csv_entry;
use crate::views::CompareView;

/// One row a reading.
pub(crate) fn csv(views: &[CompareView<'_>]) -> Sheet {
    let rows = views
        .iter()
        .flat_map(|view| {
            taken(view.job, view.comparison)
                .map(|(compared, reading)| csv_row(view.job, compared, reading))
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
            "manual unit",
            "set",
            "date",
            "meter",
            "range (V)",
            "range assumed",
            "input (ohm)",
            "expected (V)",
            "band low (V)",
            "band high (V)",
            "reading (V)",
            "deviation (%)",
            "verdict",
            "note",
        ],
        rows,
    }
}

fn csv_row(job: &Job, compared: &Compared, reading: &Reading) -> Vec<String> {
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    let mut row = match entry {
        Some(entry) => csv_entry(job, entry),
        None => {
            let mut row = vec![String::new(); 7];
            row[0] = job.folder.clone();
            row[1] = reading.point.clone();
            row
        }
    };
    let side = compared.expected.as_ref();
    let assumed = if compared.range.assumed { "yes" } else { "no" };
    row.extend([
        reading.set.clone(),
        reading.date.clone(),
        reading.meter.name.clone(),
        number(compared.range.range.full_scale),
        assumed.to_owned(),
        number(reading.meter.input_ohms(compared.range.range)),
        maybe(side.map(|side| side.expected)),
        maybe(side.and_then(|side| side.band.low)),
        maybe(side.and_then(|side| side.band.high)),
        match &reading.shown {
            Shown::Value(figure) => number(figure.value),
            Shown::Overrange => "OL".to_owned(),
        },
        maybe(compared.deviation.map(|share| share * 100.0)),
        compared.verdict.word().to_owned(),
        reading.note.clone(),
    ]);
    row
}
