//! The document of the compared readings: one point for each reading, and one for each point of
//! the manual that has none.

use circuit::{Job, ManualEntry, Reading, SettingValue, Shown};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{Band, Compared, PointOutcome};

use super::kind::Kind;
use super::manual::{ManualRemarks, UnnamedMeter};
use super::point::{limits, not_translated, remarks, ManualValue, RemarkRecord};
use super::quantity::{readings, QuantityReading};
use super::translate::{Basis, Doubt, Source};
use super::{finite, of_jobs};
use crate::error::ReportError;
use crate::places::settings_words;
use crate::views::CompareView;

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/compare/4",
    commands: "fairvolt compare",
    about: "Bench readings compared with the manual.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    /// The class taken for a meter that the manual does not name. Null where it names its meters.
    unnamed_meter: Option<UnnamedMeter<'a>>,
    /// Supplies taken at the volts read across them.
    rails_as_read: Vec<Rail<'a>>,
    /// One for each reading of a point of the manual, in the manual's order; one for each point
    /// that has no reading; last the readings of points that the manual lacks.
    points: Vec<Point<'a>>,
    /// Readings that are no direct volts.
    quantities: Vec<QuantityReading<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Rail<'a> {
    /// Its reference designation.
    part: &'a str,
    /// Volts from its minus to its plus terminal.
    volts: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Point<'a> {
    /// The label of the point.
    point: &'a str,
    /// Where the red probe goes. For a point that the manual lacks the node, null where it is
    /// unknown.
    at: Option<&'a str>,
    /// Where the black probe goes, likewise.
    against: Option<&'a str>,
    /// How the controls stood and what was out or replaced, in a sentence. Empty where all was as
    /// drawn.
    setting: String,
    /// What is measured. Null for a point that the manual lacks.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["dc V", "ac V", "ohm", "dc mA", null])))]
    quantity: Option<&'static str>,
    /// What the manual says. Null for a reading of a point that the manual lacks.
    manual: Option<ManualValue<'a>>,
    #[serde(flatten)]
    found: ManualRemarks<'a>,
    #[serde(flatten)]
    source: Source,
    /// The reading. Null where there is none.
    reading: Option<Taken<'a>>,
    /// What ought to be said beside the numbers.
    remarks: Vec<RemarkRecord>,
    /// Why the point is not translated. Null if it is.
    not_translated: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Taken<'a> {
    /// What stood on the meter. In the SI unit of the quantity: volts, ohms or amperes. Null for an
    /// overrange.
    value: Option<f64>,
    /// Whether the meter showed its overrange sign.
    overrange: bool,
    /// The meter used.
    meter: &'a str,
    /// Full scale of the range used, volts.
    range: Option<f64>,
    /// Whether the range was assumed because none was noted.
    range_assumed: bool,
    /// Input resistance of the meter on that range, ohms.
    input_ohms: Option<f64>,
    /// Which set was measured; empty where not noted.
    set: &'a str,
    /// When, as written; empty where not noted.
    date: &'a str,
    /// Free text.
    note: &'a str,
    /// What the meter should have shown on that range, volts.
    expected: Option<f64>,
    /// What the manual's tolerance allows it to show, volts. An open side is null.
    band: [Option<f64>; 2],
    #[serde(flatten)]
    doubt: Doubt,
    #[serde(flatten)]
    basis: Basis,
    /// Reading less expected value, percent of the size of the expected value.
    deviation_percent: Option<f64>,
    /// By the band with a guard band; too coarse to decide: the uncertainty is too large for the
    /// band; not judged: no tolerance, no translation, or an overrange that settles nothing.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["pass", "conditional pass", "conditional fail", "fail", "too coarse to decide", "not judged"])))]
    verdict: &'static str,
    /// Probability that the point lies inside its band, 0 to 1. Null where nothing is judged, and
    /// for an overrange.
    conformity: Option<f64>,
}

fn rails(job: &Job) -> Vec<Rail<'_>> {
    let held = job.bench.rails.iter();
    held.filter_map(|setting| match setting.value {
        SettingValue::Held(volts) => Some(Rail {
            part: &job.circuit.part(setting.part).designator,
            volts: finite(volts),
        }),
        _ => None,
    })
    .collect()
}

/// The documents of some jobs.
pub(crate) fn compare(views: &[CompareView<'_>]) -> Result<String, ReportError> {
    of_jobs(
        &KIND,
        views,
        |view| (Some(view.job), view.diagnostics),
        |view| Body {
            unnamed_meter: UnnamedMeter::of(view.manual),
            rails_as_read: rails(view.job),
            points: points(view),
            quantities: readings(view.job, view.comparison),
        },
    )
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
    let is_unlisted = |c: &&Compared| c.entry.is_none() && c.quantity.is_none();
    let unlisted = comparison.readings.iter().filter(is_unlisted);
    points.extend(unlisted.filter_map(|compared| of_unlisted(job, compared)));
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
        setting: settings_words(view.job, &entry.settings),
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
fn of_unlisted<'a>(job: &'a Job, compared: &'a Compared) -> Option<Point<'a>> {
    let reading: &Reading = job.readings.get(compared.reading)?;
    let row = job.row_named(&reading.point).map(|id| job.row(id));
    let settings = row.map_or(&[][..], |row| row.settings);
    Some(Point {
        point: &reading.point,
        at: reading.port.map(|port| job.circuit.node_name(port.plus)),
        against: reading.port.map(|port| job.circuit.node_name(port.minus)),
        setting: settings_words(job, settings),
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
