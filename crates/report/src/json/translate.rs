//! The document of the translated manual.

use circuit::ManualEntry;
use serde::Serialize;
use translate::{BenchSide, Carried, PointOutcome};

use super::point::{limits, not_translated, remarks, ManualValue, Place, Predicted, RemarkRecord};
use super::{finite, text, Document, JobName};
use crate::reports::ReportError;
use crate::views::TranslateView;

#[derive(Serialize)]
struct Body<'a> {
    points: Vec<Point<'a>>,
}

#[derive(Serialize)]
struct Point<'a> {
    #[serde(flatten)]
    place: Place<'a>,
    manual: ManualValue<'a>,
    #[serde(flatten)]
    source: Source,
    bench: Option<Vec<Side<'a>>>,
    remarks: Vec<RemarkRecord>,
    not_translated: Option<String>,
}

/// What the translation found out about the point itself.
#[derive(Serialize)]
pub(super) struct Source {
    model: Option<Predicted>,
    source_ohms: Option<f64>,
    loading_percent: Option<f64>,
    unloaded: Option<f64>,
}

impl Source {
    pub(super) fn of(carried: Option<&Carried>) -> Self {
        Source {
            model: carried.and_then(|carried| Predicted::of(&carried.model)),
            source_ohms: carried.and_then(|carried| finite(carried.source_ohms)),
            loading_percent: carried.and_then(|carried| finite(carried.loading * 100.0)),
            unloaded: carried.and_then(|carried| finite(carried.unloaded)),
        }
    }
}

#[derive(Serialize)]
struct Side<'a> {
    meter: &'a str,
    range: Option<f64>,
    input_ohms: Option<f64>,
    expected: Option<f64>,
    band: [Option<f64>; 2],
    /// Not computed in this version.
    uncertainty: Option<f64>,
    /// Not computed in this version.
    coverage_factor: Option<f64>,
}

/// The documents of some jobs.
pub(crate) fn translate(views: &[TranslateView<'_>]) -> Result<String, ReportError> {
    let documents: Vec<_> = views
        .iter()
        .map(|view| Document {
            schema: "fairvolt/translate/1",
            job: Some(JobName::of(view.job)),
            diagnostics: view.diagnostics,
            body: Body {
                points: view
                    .translation
                    .points
                    .iter()
                    .filter_map(|outcome| Some(point(view.job.manual.get(outcome.entry)?, outcome)))
                    .collect(),
            },
        })
        .collect();
    text(&documents)
}

fn point<'a>(entry: &'a ManualEntry, outcome: &'a PointOutcome) -> Point<'a> {
    let carried = outcome.outcome.as_ref().ok();
    Point {
        place: Place::of(entry),
        manual: ManualValue::of(entry, carried),
        source: Source::of(carried),
        bench: carried.map(|carried| carried.bench.iter().map(side).collect()),
        remarks: remarks(carried),
        not_translated: not_translated(Some(outcome)),
    }
}

fn side(side: &BenchSide) -> Side<'_> {
    Side {
        meter: &side.meter,
        range: finite(side.range.full_scale),
        input_ohms: finite(side.input_ohms),
        expected: finite(side.expected),
        band: limits(side.band),
        uncertainty: None,
        coverage_factor: None,
    }
}
