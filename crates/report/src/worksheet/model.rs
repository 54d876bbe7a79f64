//! The sheet as a whole: what stands above the points, and the points.

use serde::Serialize;

use crate::compare_notes::words;
use crate::heading;
use crate::manual;
use crate::views::WorksheetView;

use super::cautions::{CAUTIONS, DEFERRING, MARKS};
use super::point::{sheet_point, SheetPoint};

/// A sheet, rounded and in words; serialized, it is the body of the JSON document.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Worksheet {
    #[serde(skip)]
    pub title: String,
    /// The manual's meters in words.
    pub manual_meters: Vec<String>,
    /// What was found of a meter that the manual does not name.
    pub meter_note: Option<String>,
    /// The bench meters in words.
    pub bench_meters: Vec<String>,
    /// Line volts of the manual.
    pub manual_line: Option<f64>,
    /// Line volts of the bench.
    pub bench_line: Option<f64>,
    #[serde(skip)]
    pub line: Option<String>,
    /// The manual's conditions.
    pub conditions: String,
    pub cautions: Vec<&'static str>,
    /// What the danger marks mean.
    pub marks: &'static str,
    /// The sentence that defers to codes, makers and workplace rules.
    pub deferring: &'static str,
    pub points: Vec<SheetPoint>,
    /// What the verdicts on the sheet mean; none on a sheet without any.
    #[serde(skip)]
    pub words: Option<String>,
}

/// The sheet of a job, its points in the manual's order.
pub(crate) fn model(view: &WorksheetView<'_>) -> Worksheet {
    let job = view.job;
    let finite = |volts: Option<f64>| volts.filter(|volts| volts.is_finite());
    Worksheet {
        title: heading::title(job),
        manual_meters: heading::manual_meters(job),
        meter_note: manual::heading(view.manual.classes),
        bench_meters: heading::bench_meters(job),
        manual_line: finite(job.documented.line),
        bench_line: finite(job.bench.line),
        line: heading::line(job),
        conditions: job.documented.conditions.trim().to_owned(),
        cautions: CAUTIONS.to_vec(),
        marks: MARKS,
        deferring: DEFERRING,
        words: (!job.readings.is_empty()).then(|| words(job.bench.guard)),
        points: (0..job.manual.len())
            .filter_map(|index| sheet_point(view, index))
            .collect(),
    }
}
