//! Bench readings beside the manual as rows for a spreadsheet.

use circuit::{Reading, Shown};
use translate::Compared;

use crate::csv_text::{maybe, number, Sheet};
use crate::manual;
use crate::readings::taken;
use crate::translate_rows::csv_entry;
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
            "manual unit",
            "set",
            "date",
            "meter",
            "range (V)",
            "range assumed",
            "input (ohm)",
            "expected (V)",
            "standard uncertainty (V)",
            "coverage factor",
            "uncertainty (V)",
            "band low (V)",
            "band high (V)",
            "reading (V)",
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
