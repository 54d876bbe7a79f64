//! The document of the compared readings: one point for each reading, and one for each point of
//! the manual that has none.

use circuit::{Job, ManualEntry, Reading, SettingValue, Shown};
use serde::Serialize;
use translate::{Band, Compared, PointOutcome};

use super::manual::{ManualRemarks, UnnamedMeter};
use super::point::{limits, not_translated, remarks, ManualValue, RemarkRecord};
use super::quantity::{readings, QuantityReading};
use super::translate::{Basis, Doubt, Source};
use super::{finite, text, Document, JobName};
use crate::reports::ReportError;
use crate::views::CompareView;

#[derive(Serialize)]
struct Body<'a> {
    unnamed_meter: Option<UnnamedMeter<'a>>,
    /// Supplies taken at the volts read across them.
    rails_as_read: Vec<Rail<'a>>,
    points: Vec<Point<'a>>,
    quantities: Vec<QuantityReading<'a>>,
}

#[derive(Serialize)]
struct Rail<'a> {
    part: &'a str,
    volts: Option<f64>,
}

#[derive(Serialize)]
struct Point<'a> {
    point: &'a str,
    at: Option<&'a str>,
    against: Option<&'a str>,
    quantity: Option<&'static str>,
    manual: Option<ManualValue<'a>>,
    #[serde(flatten)]
    found: ManualRemarks<'a>,
    #[serde(flatten)]
    source: Source,
    reading: Option<Taken<'a>>,
    remarks: Vec<RemarkRecord>,
    not_translated: Option<String>,
}

#[derive(Serialize)]
struct Taken<'a> {
    value: Option<f64>,
    overrange: bool,
    meter: &'a str,
    range: Option<f64>,
    range_assumed: bool,
    input_ohms: Option<f64>,
    set: &'a str,
    date: &'a str,
    note: &'a str,
    expected: Option<f64>,
    band: [Option<f64>; 2],
    #[serde(flatten)]
    doubt: Doubt,
    #[serde(flatten)]
    basis: Basis,
    deviation_percent: Option<f64>,
    verdict: &'static str,
    conformity: Option<f64>,
}

fn rails(job: &Job) -> Vec<Rail<'_>> {
    let held = job.bench.rails.iter();
    held.filter_map(|setting| match setting.value {
        SettingValue::Held(volts) => Some(Rail {
            part: &job.circuit.parts().get(setting.part.0)?.designator,
            volts: finite(volts),
        }),
        _ => None,
    })
    .collect()
}

/// The documents of some jobs.
pub(crate) fn compare(views: &[CompareView<'_>]) -> Result<String, ReportError> {
    let documents: Vec<_> = views
        .iter()
        .map(|view| Document {
            schema: "fairvolt/compare/3",
            job: Some(JobName::of(view.job)),
            diagnostics: view.diagnostics,
            body: Body {
                unnamed_meter: UnnamedMeter::of(view.manual),
                rails_as_read: rails(view.job),
                points: points(view),
                quantities: readings(view.job, view.comparison),
            },
        })
        .collect();
    text(&documents)
}

fn points<'a>(view: &CompareView<'a>) -> Vec<Point<'a>> {
    let (job, comparison) = (view.job, view.comparison);
    let mut points = Vec::new();
    for outcome in &comparison.translation.points {
        let Some(entry) = job.manual.get(outcome.entry) else {
            continue;
        };
        let before = points.len();
        let own = comparison
            .readings
            .iter()
            .filter(|compared| compared.entry == Some(outcome.entry));
        points.extend(
            own.filter_map(|c| Some(of_manual(view, (entry, outcome), Some(taken(job, c)?)))),
        );
        if points.len() == before {
            points.push(of_manual(view, (entry, outcome), None));
        }
    }
    let stranger = |c: &&Compared| c.entry.is_none() && c.quantity.is_none();
    let strangers = comparison.readings.iter().filter(stranger);
    points.extend(strangers.filter_map(|compared| of_stranger(job, compared)));
    points
}

fn of_manual<'a>(
    view: &CompareView<'a>,
    (entry, outcome): (&'a ManualEntry, &'a PointOutcome),
    reading: Option<Taken<'a>>,
) -> Point<'a> {
    let carried = outcome.outcome.as_ref().ok();
    Point {
        point: &entry.point,
        at: Some(&entry.at),
        against: Some(&entry.against),
        quantity: Some(entry.quantity.name()),
        manual: Some(ManualValue::of(entry, carried)),
        found: ManualRemarks::of(view.manual, outcome.entry),
        source: Source::of(carried),
        reading,
        remarks: remarks(carried),
        not_translated: not_translated(Some(outcome)),
    }
}

/// A reading of a point that the manual lacks.
fn of_stranger<'a>(job: &'a Job, compared: &'a Compared) -> Option<Point<'a>> {
    let name = |node| {
        job.circuit
            .nodes()
            .get(node)
            .map(|node: &circuit::Node| &*node.name)
    };
    let reading: &Reading = job.readings.get(compared.reading)?;
    Some(Point {
        point: &reading.point,
        at: reading.port.and_then(|port| name(port.plus.0)),
        against: reading.port.and_then(|port| name(port.minus.0)),
        quantity: None,
        manual: None,
        found: ManualRemarks::none(),
        source: Source::of(None),
        reading: taken(job, compared),
        remarks: Vec::new(),
        not_translated: None,
    })
}

fn taken<'a>(job: &'a Job, compared: &'a Compared) -> Option<Taken<'a>> {
    let reading = job.readings.get(compared.reading)?;
    let (value, overrange) = match &reading.shown {
        Shown::Value(figure) => (finite(figure.value), false),
        Shown::Overrange => (None, true),
    };
    let side = compared.expected.as_ref();
    Some(Taken {
        value,
        overrange,
        meter: &reading.meter.name,
        range: finite(compared.range.range.full_scale),
        range_assumed: compared.range.assumed,
        input_ohms: finite(reading.meter.input_ohms(compared.range.range)),
        set: &reading.set,
        date: &reading.date,
        note: &reading.note,
        expected: side.and_then(|side| finite(side.expected)),
        band: limits(side.map_or(Band::default(), |side| side.band)),
        doubt: Doubt::of(side),
        basis: Basis::of(side),
        deviation_percent: compared.deviation.and_then(|share| finite(share * 100.0)),
        verdict: compared.judgement.verdict.word(),
        conformity: compared.judgement.conformity.and_then(finite),
    })
}
