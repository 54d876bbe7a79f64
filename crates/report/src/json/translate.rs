//! The document of the translated manual.

use serde::Serialize;
use translate::{BenchSide, Carried, PointOutcome};

use super::manual::{ManualRemarks, UnnamedMeter};
use super::point::{limits, not_translated, remarks, ManualValue, Place, Predicted, RemarkRecord};
use super::trials::TrialsRecord;
use super::{finite, text, Document, JobName};
use crate::reports::ReportError;
use crate::views::TranslateView;

#[derive(Serialize)]
struct Body<'a> {
    unnamed_meter: Option<UnnamedMeter<'a>>,
    points: Vec<Point<'a>>,
    trials: Option<TrialsRecord<'a>>,
}

#[derive(Serialize)]
struct Point<'a> {
    #[serde(flatten)]
    place: Place<'a>,
    manual: ManualValue<'a>,
    #[serde(flatten)]
    found: ManualRemarks<'a>,
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
    #[serde(flatten)]
    doubt: Doubt,
}

/// How well a reading can be compared with what is expected.
#[derive(Default, Serialize)]
pub(super) struct Doubt {
    standard_uncertainty: Option<f64>,
    coverage_factor: Option<f64>,
    uncertainty: Option<f64>,
}

impl Doubt {
    /// Nothing of a reading of which nothing is expected.
    pub(super) fn of(side: Option<&BenchSide>) -> Self {
        let budget = side.map(|side| &side.budget);
        Doubt {
            standard_uncertainty: budget.and_then(|budget| finite(budget.standard)),
            coverage_factor: budget.and_then(|budget| finite(budget.coverage)),
            uncertainty: budget.and_then(|budget| finite(budget.expanded())),
        }
    }
}

/// The documents of some jobs.
pub(crate) fn translate(views: &[TranslateView<'_>]) -> Result<String, ReportError> {
    let documents: Vec<_> = views
        .iter()
        .map(|view| Document {
            schema: "fairvolt/translate/3",
            job: Some(JobName::of(view.job)),
            diagnostics: view.diagnostics,
            body: Body {
                unnamed_meter: UnnamedMeter::of(view.manual),
                points: view
                    .translation
                    .points
                    .iter()
                    .filter_map(|outcome| point(view, outcome))
                    .collect(),
                trials: TrialsRecord::of(view),
            },
        })
        .collect();
    text(&documents)
}

fn point<'a>(view: &TranslateView<'a>, outcome: &'a PointOutcome) -> Option<Point<'a>> {
    let entry = view.job.manual.get(outcome.entry)?;
    let carried = outcome.outcome.as_ref().ok();
    Some(Point {
        place: Place::of(entry),
        manual: ManualValue::of(entry, carried),
        found: ManualRemarks::of(view.manual, outcome.entry),
        source: Source::of(carried),
        bench: carried.map(|carried| carried.bench.iter().map(side).collect()),
        remarks: remarks(carried),
        not_translated: not_translated(Some(outcome)),
    })
}

fn side(side: &BenchSide) -> Side<'_> {
    Side {
        meter: &side.meter,
        range: finite(side.range.full_scale),
        input_ohms: finite(side.input_ohms),
        expected: finite(side.expected),
        band: limits(side.band),
        doubt: Doubt::of(Some(side)),
    }
}
