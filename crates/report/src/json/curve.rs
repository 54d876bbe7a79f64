//! The document of one point's reading over the resistance of the meter.

use serde::Serialize;
use translate::{BenchSide, CurveSample};

use super::point::{limits, ManualValue, Place};
use super::translate::Doubt;
use super::{finite, text, Document, JobName};
use crate::reports::ReportError;
use crate::views::CurveView;

#[derive(Serialize)]
struct Body<'a> {
    #[serde(flatten)]
    place: Option<Place<'a>>,
    manual: Option<ManualValue<'a>>,
    source_ohms: Option<f64>,
    unloaded: Option<f64>,
    bench: Vec<MeterRecord<'a>>,
    classes: Vec<MeterRecord<'a>>,
    curve: Vec<SampleRecord>,
}

#[derive(Serialize)]
struct MeterRecord<'a> {
    meter: &'a str,
    range: Option<f64>,
    input_ohms: Option<f64>,
    expected: Option<f64>,
    band: [Option<f64>; 2],
    #[serde(flatten)]
    doubt: Doubt,
}

#[derive(Serialize)]
struct SampleRecord {
    ohms: Option<f64>,
    volts: Option<f64>,
    band: [Option<f64>; 2],
}

/// The document of one curve.
pub(crate) fn curve(view: &CurveView<'_>) -> Result<String, ReportError> {
    let entry = view.job.manual.get(view.entry);
    let body = Body {
        place: entry.map(Place::of),
        manual: entry.map(|entry| ManualValue::of(entry, Some(view.carried))),
        source_ohms: finite(view.carried.source_ohms),
        unloaded: view.unloaded.and_then(finite),
        bench: view.carried.bench.iter().map(meter).collect(),
        classes: view.classes.iter().map(meter).collect(),
        curve: view.samples.iter().map(sample).collect(),
    };
    text(&[Document {
        schema: "fairvolt/curve/2",
        job: Some(JobName::of(view.job)),
        diagnostics: view.diagnostics,
        body,
    }])
}

fn meter(side: &BenchSide) -> MeterRecord<'_> {
    MeterRecord {
        meter: &side.meter,
        range: finite(side.range.full_scale),
        input_ohms: finite(side.input_ohms),
        expected: finite(side.expected),
        band: limits(side.band),
        doubt: Doubt::of(Some(side)),
    }
}

fn sample(sample: &CurveSample) -> SampleRecord {
    SampleRecord {
        ohms: finite(sample.ohms),
        volts: sample.volts.and_then(finite),
        band: limits(sample.band),
    }
}
