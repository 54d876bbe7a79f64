//! A checked manual as rows for a spreadsheet.

use circuit::{Job, ManualEntry};
use reconcile::Judged;
use translate::Model;

use crate::columns::{place_columns, OfPlace, Place};
use crate::csv_text::{maybe, yes_no, Column, CsvTable};
use crate::manual;
use crate::views::CheckView;

/// One row a point.
pub(crate) fn csv(views: &[CheckView<'_>]) -> CsvTable {
    let rows = views.iter().flat_map(|view| {
        let done = view.job.zip(view.translation);
        done.into_iter().flat_map(move |(job, translation)| {
            let points = translation.points.iter();
            points.filter_map(move |point| {
                let model = point.outcome.as_ref().map(|carried| carried.model);
                Some(Line {
                    view,
                    job,
                    entry: job.manual.get(point.entry)?,
                    index: point.entry,
                    model: model.unwrap_or_default(),
                    judged: manual::row_of(view.manual.belief, point.entry),
                })
            })
        })
    });
    let columns = [place_columns(), columns().to_vec()].concat();
    CsvTable::of(rows, &columns)
}

/// One row.
struct Line<'a> {
    view: &'a CheckView<'a>,
    job: &'a Job,
    entry: &'a ManualEntry,
    /// Its place in the manual.
    index: usize,
    model: Model,
    judged: Option<&'a Judged>,
}

impl OfPlace for Line<'_> {
    fn of(&self) -> (&Job, Place<'_>) {
        (self.job, Place::Row(self.entry.into()))
    }
}

impl Line<'_> {
    fn judged(&self, number: impl Fn(&Judged) -> f64) -> String {
        maybe(self.judged.map(number))
    }

    /// Points of which one may be the wrong one instead.
    fn rivals(&self) -> String {
        let rivals = self.judged.iter().flat_map(|judged| &judged.rivals);
        let points = rivals.filter_map(|index| Some(self.job.manual.get(*index)?.point.as_str()));
        points.collect::<Vec<_>>().join("; ")
    }

    fn slips(&self) -> String {
        let judged = self.judged.iter();
        let slips = judged.flat_map(|judged| {
            let found = judged.explanations.iter();
            found.map(|found| manual::slip_words(self.job, judged, found))
        });
        slips.collect::<Vec<_>>().join("; ")
    }

    fn not_judged(&self) -> String {
        let left = || manual::left_out_of(self.view.manual.belief?, self.index);
        left().map_or(String::new(), |left| manual::why(&left.why))
    }
}

fn columns<'a>() -> [Column<Line<'a>>; 10] {
    [
        ("model as documented (V)", |line| {
            maybe(line.model.as_documented)
        }),
        ("model unloaded (V)", |line| maybe(line.model.unloaded)),
        ("unexplained (V)", |line| maybe(line.model.disagreement)),
        ("should be (V)", |line| {
            line.judged(|judged| judged.predicted.volts)
        }),
        ("standard deviation (V)", |line| {
            line.judged(|judged| judged.predicted.standard)
        }),
        ("off (standard deviations)", |line| {
            line.judged(|judged| judged.residual_sigma)
        }),
        ("believable", |line| {
            line.judged
                .map_or(String::new(), |judged| yes_no(judged.believable()))
        }),
        ("may be wrong in its stead", Line::rivals),
        ("would fit with", Line::slips),
        ("not judged", Line::not_judged),
    ]
}
