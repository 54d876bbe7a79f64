//! Bench readings beside the manual as rows for a spreadsheet.

use circuit::{Job, Reading, Shown};
use translate::{BenchSide, Compared};

use crate::columns::{expected_columns, place_columns, Expects, OfPlace, Place};
use crate::csv_text::{maybe, number, yes_no, Column, CsvTable};
use crate::manual;
use crate::readings::taken;
use crate::views::CompareView;

/// One row a reading.
pub(crate) fn csv(views: &[CompareView<'_>]) -> CsvTable {
    let rows = views.iter().flat_map(|view| {
        let taken = taken(view.job, view.comparison);
        taken.map(move |(compared, reading)| Line {
            view,
            compared,
            reading,
        })
    });
    let columns = [
        place_columns(),
        first_columns().to_vec(),
        expected_columns(),
        last_columns().to_vec(),
    ];
    CsvTable::of(rows, &columns.concat())
}

/// One row.
struct Line<'a> {
    view: &'a CompareView<'a>,
    compared: &'a Compared,
    reading: &'a Reading,
}

impl OfPlace for Line<'_> {
    fn of(&self) -> (&Job, Place<'_>) {
        let job = self.view.job;
        let place = match job.row_named(&self.reading.point) {
            Some(id) => Place::Row(job.row(id)),
            None => Place::Unknown(&self.reading.point),
        };
        (job, place)
    }
}

impl Expects for Line<'_> {
    fn expected(&self) -> Option<&BenchSide> {
        match &self.compared.quantity {
            Some((_, side)) => Some(&side.side),
            None => self.compared.expected.as_ref(),
        }
    }
}

impl Line<'_> {
    /// Full scale, and the meter's own resistance on it. An ammeter's and an ohmmeter's range are of
    /// another kind than that for direct volts.
    fn range(&self) -> (f64, f64) {
        match (&self.compared.quantity, self.expected()) {
            (Some(_), Some(side)) => (side.range.full_scale, side.input_ohms),
            _ => {
                let range = self.compared.range.range;
                (range.full_scale, self.reading.meter.input_ohms(range))
            }
        }
    }

    fn remarks(&self) -> String {
        let said = |entry| manual::sentences(self.view.job, self.view.manual, entry).join(" ");
        self.compared.entry.map(said).unwrap_or_default()
    }
}

/// When and with what it was read.
fn first_columns<'a>() -> [Column<Line<'a>>; 6] {
    [
        ("set", |line| line.reading.set.clone()),
        ("date", |line| line.reading.date.clone()),
        ("meter", |line| line.reading.meter.name.clone()),
        ("range", |line| number(line.range().0)),
        ("range assumed", |line| yes_no(line.compared.range.assumed)),
        ("input (ohm)", |line| number(line.range().1)),
    ]
}

/// What was read, and what that means.
fn last_columns<'a>() -> [Column<Line<'a>>; 6] {
    [
        ("reading", |line| match &line.reading.shown {
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
