//! Bench readings beside the manual as rows for a spreadsheet.

use circuit::{Job, ManualEntry, Reading, Shown};
use translate::{BenchSide, Compared};

use crate::csv_text::{maybe, number, yes_no, Column, Sheet};
use crate::manual;
use crate::readings::taken;
use crate::translate_rows::{entry_columns, OfEntry};
use crate::views::CompareView;

/// One row a reading.
pub(crate) fn csv(views: &[CompareView<'_>]) -> Sheet {
    let rows = views.iter().flat_map(|view| {
        let taken = taken(view.job, view.comparison);
        taken.map(move |(compared, reading)| Line {
            view,
            compared,
            reading,
        })
    });
    let columns = [entry_columns(), columns().to_vec()].concat();
    Sheet::of(rows, &columns)
}

/// One row.
struct Line<'a> {
    view: &'a CompareView<'a>,
    compared: &'a Compared,
    reading: &'a Reading,
}

impl OfEntry for Line<'_> {
    fn of(&self) -> (&Job, &str, Option<&ManualEntry>) {
        let job = self.view.job;
        let entry = self.compared.entry.and_then(|entry| job.manual.get(entry));
        let point = entry.map_or(&self.reading.point, |entry| &entry.point);
        (job, point, entry)
    }
}

impl Line<'_> {
    fn side(&self, number: impl Fn(&BenchSide) -> Option<f64>) -> String {
        maybe(self.compared.expected.as_ref().and_then(number))
    }

    fn remarks(&self) -> String {
        let said = |entry| manual::sentences(self.view.job, self.view.manual, entry).join(" ");
        self.compared.entry.map(said).unwrap_or_default()
    }
}

fn columns<'a>() -> [Column<Line<'a>>; 18] {
    [
        ("set", |line| line.reading.set.clone()),
        ("date", |line| line.reading.date.clone()),
        ("meter", |line| line.reading.meter.name.clone()),
        ("range (V)", |line| {
            number(line.compared.range.range.full_scale)
        }),
        ("range assumed", |line| yes_no(line.compared.range.assumed)),
        ("input (ohm)", |line| {
            number(line.reading.meter.input_ohms(line.compared.range.range))
        }),
        ("expected (V)", |line| line.side(|side| Some(side.expected))),
        ("standard uncertainty (V)", |line| {
            line.side(|side| Some(side.budget.standard))
        }),
        ("coverage factor", |line| {
            line.side(|side| Some(side.budget.coverage))
        }),
        ("uncertainty (V)", |line| {
            line.side(|side| Some(side.budget.expanded()))
        }),
        ("band low (V)", |line| line.side(|side| side.band.low)),
        ("band high (V)", |line| line.side(|side| side.band.high)),
        ("reading (V)", |line| match &line.reading.shown {
            Shown::Value(figure) => number(figure.value),
            Shown::Overrange => "OL".to_owned(),
        }),
        ("deviation (%)", |line| {
            maybe(line.compared.deviation.map(|share| share * 100.0))
        }),
        ("verdict", |line| {
            line.compared.judgement.verdict.word().to_owned()
        }),
        ("conformity", |line| {
            maybe(line.compared.judgement.conformity)
        }),
        ("note", |line| line.reading.note.clone()),
        ("remarks", Line::remarks),
    ]
}
