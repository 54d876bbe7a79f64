//! The document of a checked job.

use circuit::{spread_of, Job, ManualEntry, SpreadScale};
use reconcile::LikelyNumber;
use serde::Serialize;
use translate::PointOutcome;

use super::manual::{
    agreement, assumed_spreads, belief_of, meter_classes, AgreementRecord, BeliefRecord,
    ClassRecord, SpreadRecord, UnnamedMeter,
};
use super::point::{not_translated, ManualValue, Predicted};
use super::trials::TrialsRecord;
use super::{finite, text, Document, JobName};
use crate::check_table::{as_translated, Counts};
use crate::ratings;
use crate::reports::ReportError;
use crate::views::CheckView;

#[derive(Serialize)]
struct Body<'a> {
    counts: Option<CountRecord>,
    points: Vec<Point<'a>>,
    overrated: Vec<BurdenRecord<'a>>,
    agreement: Option<AgreementRecord>,
    numbers: Vec<NumberRecord<'a>>,
    assumed_spreads: Vec<SpreadRecord<'a>>,
    meter_classes: Vec<ClassRecord<'a>>,
    unnamed_meter: Option<UnnamedMeter<'a>>,
    /// Why the values are not judged.
    not_judged: Option<&'a str>,
    trials: Option<TrialsRecord<'a>>,
}

/// A part that the drawn circuit works beyond its rating.
#[derive(Serialize)]
struct BurdenRecord<'a> {
    part: &'a str,
    what: &'static str,
    bears: Option<f64>,
    rating: Option<f64>,
}

fn overrated<'a>(view: &CheckView<'a>) -> Vec<BurdenRecord<'a>> {
    let Some(job) = view.job else {
        return Vec::new();
    };
    let record = |one: &diagnose::Overrated| BurdenRecord {
        part: &job.circuit.part(one.part).designator,
        what: ratings::what(one.burden),
        bears: finite(one.bears),
        rating: finite(one.rating),
    };
    view.overrated.iter().map(record).collect()
}

#[derive(Serialize)]
struct CountRecord {
    nodes: usize,
    parts: usize,
    islands: usize,
    points: usize,
    readings: usize,
    meters: usize,
}

#[derive(Serialize)]
struct Point<'a> {
    point: &'a str,
    manual: ManualValue<'a>,
    model: Option<Predicted>,
    unexplained: Option<f64>,
    #[serde(flatten)]
    belief: BeliefRecord<'a>,
    not_translated: Option<String>,
}

/// The documents of some jobs.
pub(crate) fn check(views: &[CheckView<'_>]) -> Result<String, ReportError> {
    let documents: Vec<_> = views
        .iter()
        .map(|view| Document {
            schema: "fairvolt/check/3",
            job: view.job.map(JobName::of),
            diagnostics: view.diagnostics,
            body: Body {
                counts: view.job.map(counts),
                points: points(view),
                overrated: overrated(view),
                agreement: view.manual.belief.map(agreement),
                numbers: numbers(view),
                assumed_spreads: assumed_spreads(view.job, view.manual),
                meter_classes: meter_classes(view.manual),
                unnamed_meter: UnnamedMeter::of(view.manual),
                not_judged: view.not_judged,
                trials: as_translated(view).as_ref().and_then(TrialsRecord::of),
            },
        })
        .collect();
    text(&documents)
}

/// A number of the circuit as manual and drawing together make it likely.
#[derive(Serialize)]
struct NumberRecord<'a> {
    part: &'a str,
    parameter: &'static str,
    written: Option<f64>,
    change: Option<f64>,
    standard: Option<f64>,
    unit: &'static str,
}

fn numbers<'a>(view: &CheckView<'a>) -> Vec<NumberRecord<'a>> {
    let (Some(job), Some(belief)) = (view.job, view.manual.belief) else {
        return Vec::new();
    };
    let of = |likely: &LikelyNumber| {
        let part = job.circuit.parts().get(likely.id.part.0)?;
        let spread = spread_of(part, likely.id.parameter);
        let written = (spread.nominal != 0.0).then_some(spread.nominal);
        Some(NumberRecord {
            part: &part.designator,
            parameter: likely.id.parameter.name(),
            written: written.and_then(finite),
            change: finite(likely.change),
            standard: finite(likely.standard),
            unit: unit(spread.scale),
        })
    };
    belief.parts.iter().filter_map(of).collect()
}

/// The unit of a change; a plain share or logarithm is `1`.
fn unit(scale: SpreadScale) -> &'static str {
    match scale {
        SpreadScale::Volts => "V",
        SpreadScale::Ohms => "Ω",
        SpreadScale::Amperes => "A",
        SpreadScale::Share | SpreadScale::Logarithm => "1",
    }
}

fn counts(job: &Job) -> CountRecord {
    let counts = Counts::of(job);
    CountRecord {
        nodes: counts.nodes,
        parts: counts.parts,
        islands: counts.islands,
        points: counts.points,
        readings: counts.readings,
        meters: counts.meters,
    }
}

/// Every entry of the manual, with what the translation says of it.
fn points<'a>(view: &CheckView<'a>) -> Vec<Point<'a>> {
    let Some(job) = view.job else {
        return Vec::new();
    };
    let outcome = |index: usize| {
        let translation = view.translation?;
        translation.points.get(index)
    };
    job.manual
        .iter()
        .enumerate()
        .map(|(index, entry)| point(entry, outcome(index), belief_of(job, view.manual, index)))
        .collect()
}

fn point<'a>(
    entry: &'a ManualEntry,
    outcome: Option<&PointOutcome>,
    belief: BeliefRecord<'a>,
) -> Point<'a> {
    let carried = outcome.and_then(|outcome| outcome.outcome.as_ref().ok());
    let model = carried.map(|carried| carried.model).unwrap_or_default();
    Point {
        point: &entry.point,
        manual: ManualValue::of(entry, carried),
        model: Predicted::of(&model),
        unexplained: model.disagreement.and_then(finite),
        belief,
        not_translated: not_translated(outcome),
    }
}
