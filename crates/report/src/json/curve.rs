//! The document of one point's reading over the resistance of the meter.

#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{BenchSide, CurveSample};

use super::kind::Kind;
use super::point::{limits, ManualValue, Place};
use super::translate::Doubt;
use super::{finite, of_jobs};
use crate::error::ReportError;
use crate::views::CurveView;

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/curve/2",
    commands: "fairvolt curve",
    about: "The reading of one point over the resistance of the meter.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    #[serde(flatten)]
    place: Option<Place<'a>>,
    /// What the manual says.
    manual: Option<ManualValue<'a>>,
    /// Resistance seen at the point with no meter, ohms.
    source_ohms: Option<f64>,
    /// What a meter of endless resistance would show on the bench, volts.
    unloaded: Option<f64>,
    /// The meters of the bench.
    bench: Vec<MeterRecord<'a>>,
    /// The classes built in.
    classes: Vec<MeterRecord<'a>>,
    /// The reading over the resistance of the meter, rising.
    curve: Vec<SampleRecord>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct MeterRecord<'a> {
    /// Its name.
    meter: &'a str,
    /// Full scale of the range it would be read on, volts.
    range: Option<f64>,
    /// Its input resistance on that range, ohms.
    input_ohms: Option<f64>,
    /// What it should show, volts.
    expected: Option<f64>,
    /// What the manual's tolerance allows it to show, volts. An open side is null.
    band: [Option<f64>; 2],
    #[serde(flatten)]
    doubt: Doubt,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct SampleRecord {
    /// Resistance of the meter, ohms.
    ohms: Option<f64>,
    /// What it should show, volts. Null where the circuit finds no state with it.
    volts: Option<f64>,
    /// What the manual's tolerance allows it to show, volts. An open side is null.
    band: [Option<f64>; 2],
}

/// The document of one curve.
pub(crate) fn curve(view: &CurveView<'_>) -> Result<String, ReportError> {
    let views = std::slice::from_ref(view);
    of_jobs(
        &KIND,
        views,
        |view| (Some(view.job), view.diagnostics),
        body,
    )
}

fn body<'a>(view: &'a CurveView<'a>) -> Body<'a> {
    let entry = view.job.manual.get(view.entry);
    Body {
        place: entry.map(Place::of),
        manual: entry.map(|entry| ManualValue::of(entry, Some(view.carried))),
        source_ohms: finite(view.carried.source_ohms),
        unloaded: view.unloaded.and_then(finite),
        bench: view.carried.bench.iter().map(meter).collect(),
        classes: view.classes.iter().map(meter).collect(),
        curve: view.samples.iter().map(sample).collect(),
    }
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
