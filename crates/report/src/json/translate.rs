//! The document of the translated manual.

use serde::Serialize;
use translate::{Alone, BandBasis, BenchSide, Carried, PointOutcome};

use super::manual::{ManualRemarks, UnnamedMeter};
use super::point::{limits, not_translated, remarks, ManualValue, Place, Predicted, RemarkRecord};
use super::quantity::{quantities, QuantityRecord};
use super::trials::TrialsRecord;
use super::{finite, text, Document, JobName};
use crate::reports::ReportError;
use crate::views::TranslateView;

#[derive(Serialize)]
struct Body<'a> {
    unnamed_meter: Option<UnnamedMeter<'a>>,
    points: Vec<Point<'a>>,
    predicted: Vec<PredictedRecord<'a>>,
    quantities: Vec<QuantityRecord<'a>>,
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

/// What the drawing says where the manual prints no value.
#[derive(Serialize)]
struct PredictedRecord<'a> {
    point: &'a str,
    at: &'a str,
    meter: &'a str,
    range: Option<f64>,
    input_ohms: Option<f64>,
    expected: Option<f64>,
    #[serde(flatten)]
    doubt: Doubt,
    another_set: Option<AloneRecord>,
}

/// What the translation found out about the point itself.
#[derive(Serialize)]
pub(super) struct Source {
    model: Option<Predicted>,
    source_ohms: Option<f64>,
    loading_percent: Option<f64>,
    unloaded: Option<f64>,
    discrepancy: Option<Discrepancy>,
}

/// What the drawing seems to lack.
#[derive(Serialize)]
struct Discrepancy {
    share: Option<f64>,
    standard: Option<f64>,
    amperes: Option<f64>,
    volts: Option<f64>,
}

impl Source {
    pub(super) fn of(carried: Option<&Carried>) -> Self {
        Source {
            model: carried.and_then(|carried| Predicted::of(&carried.model)),
            source_ohms: carried.and_then(|carried| finite(carried.source_ohms)),
            loading_percent: carried.and_then(|carried| finite(carried.loading * 100.0)),
            unloaded: carried.and_then(|carried| finite(carried.unloaded)),
            discrepancy: carried.and_then(|carried| {
                let found = carried.sight.discrepancy()?;
                Some(Discrepancy {
                    share: finite(found.share),
                    standard: finite(found.standard),
                    amperes: finite(found.amperes),
                    volts: finite(found.volts),
                })
            }),
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
    #[serde(flatten)]
    basis: Basis,
    manual_alone: Option<AloneRecord>,
    drawing_alone: Option<AloneRecord>,
}

/// What an expected value and its band rest on.
#[derive(Default, Serialize)]
pub(super) struct Basis {
    by_printed: Option<f64>,
    band_basis: Option<&'static str>,
    another_set: Option<AloneRecord>,
}

/// A value with its standard uncertainty, the bench meter's own error left out.
#[derive(Serialize)]
pub(super) struct AloneRecord {
    expected: Option<f64>,
    standard_uncertainty: Option<f64>,
}

impl AloneRecord {
    /// Of what manual or drawing say by themselves.
    pub(super) fn of_source(alone: Alone) -> Self {
        Self::of(alone.volts, alone.standard)
    }

    fn of(volts: f64, standard: f64) -> Self {
        AloneRecord {
            expected: finite(volts),
            standard_uncertainty: finite(standard),
        }
    }
}

impl Basis {
    /// Nothing of a reading of which nothing is expected.
    pub(super) fn of(side: Option<&BenchSide>) -> Self {
        let Some(side) = side else {
            return Basis::default();
        };
        let another = side.another_set;
        Basis {
            by_printed: finite(side.by_printed),
            band_basis: Some(match side.band_basis {
                BandBasis::Manual => "manual",
                BandBasis::Drawing => "drawing",
            }),
            another_set: another.map(|set| AloneRecord::of(set.volts, set.standard)),
        }
    }
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
                predicted: predicted(view),
                quantities: quantities(view.job, view.translation),
                trials: TrialsRecord::of(view),
            },
        })
        .collect();
    text(&documents)
}

fn predicted<'a>(view: &TranslateView<'a>) -> Vec<PredictedRecord<'a>> {
    let own = view.translation.unprinted.iter();
    own.filter_map(|own| {
        let entry = view.job.unprinted.get(own.entry)?;
        Some(PredictedRecord {
            point: &entry.point,
            at: &entry.at,
            meter: &own.side.meter,
            range: finite(own.side.range.full_scale),
            input_ohms: finite(own.side.input_ohms),
            expected: finite(own.side.expected),
            doubt: Doubt::of(Some(&own.side)),
            another_set: own
                .side
                .another_set
                .map(|set| AloneRecord::of(set.volts, set.standard)),
        })
    })
    .collect()
}

fn point<'a>(view: &TranslateView<'a>, outcome: &'a PointOutcome) -> Option<Point<'a>> {
    let entry = view.job.manual.get(outcome.entry)?;
    let carried = outcome.outcome.as_ref().ok();
    Some(Point {
        place: Place::of(entry),
        manual: ManualValue::of(entry, carried),
        found: ManualRemarks::of(view.manual, outcome.entry),
        source: Source::of(carried),
        bench: carried.map(|carried| carried.bench.iter().map(|own| side(carried, own)).collect()),
        remarks: remarks(carried),
        not_translated: not_translated(Some(outcome)),
    })
}

fn side<'a>(carried: &Carried, side: &'a BenchSide) -> Side<'a> {
    let sources = carried.sources(side);
    Side {
        meter: &side.meter,
        range: finite(side.range.full_scale),
        input_ohms: finite(side.input_ohms),
        expected: finite(side.expected),
        band: limits(side.band),
        doubt: Doubt::of(Some(side)),
        basis: Basis::of(Some(side)),
        manual_alone: sources.manual.map(AloneRecord::of_source),
        drawing_alone: sources.drawing.map(AloneRecord::of_source),
    }
}
