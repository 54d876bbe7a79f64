//! The document of a checked job.

use circuit::{spread_of, ManualEntry, SpreadScale};
use reconcile::{Belief, DrawingSlip, LikelyNumber};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::PointOutcome;

use super::drawing_slip::DrawingSlipRecord;
use super::kind::Kind;
use super::manual::{
    agreement, belief_of, meter_classes, AgreementRecord, BeliefRecord, ClassRecord, UnnamedMeter,
};
use super::point::{not_translated, ManualValue, Predicted};
use super::trials::TrialsRecord;
use super::{finite, of_jobs};
use crate::check_table::{as_translated, Counts};
use crate::error::ReportError;
use crate::manual::{assumed, AssumedSpread};
use crate::ratings;
use crate::views::CheckView;

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/check/5",
    commands: "fairvolt check",
    about: "What was read of a job, the manual beside the circuit's own prediction, and which of its values \
            are to be doubted.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    /// How much the job holds. Null where it could not be read.
    counts: Option<Counts>,
    /// Points of the manual, in its order.
    points: Vec<Point<'a>>,
    /// Parts that the drawn circuit works beyond their ratings.
    overrated: Vec<BurdenRecord<'a>>,
    /// How well the believed values and the drawn circuit agree as a whole. Null where nothing is
    /// judged.
    agreement: Option<AgreementRecord>,
    /// Changes of the drawing each of which would make all values agree, the most probable first; empty where
    /// nothing is doubted.
    drawing_slips: Vec<DrawingSlipRecord<'a>>,
    /// Where there are none, two changes of the drawing that would do so together; else empty.
    two_drawing_slips: Vec<DrawingSlipRecord<'a>>,
    /// The numbers of the circuit that the values depend on, as manual and drawing together make
    /// them likely.
    numbers: Vec<NumberRecord<'a>>,
    /// Spreads taken because the netlist states no tolerance.
    assumed_spreads: Vec<AssumedSpread<'a>>,
    /// How likely each class makes the table, the most probable first; empty where the manual names its
    /// meters.
    meter_classes: Vec<ClassRecord<'a>>,
    /// The class taken for a meter that the manual does not name. Null where it names its meters.
    unnamed_meter: Option<UnnamedMeter<'a>>,
    /// Why the values are not judged.
    not_judged: Option<&'a str>,
    /// What trials of the translation found. Null where none were asked for.
    trials: Option<TrialsRecord<'a>>,
}

/// A part that the drawn circuit works beyond its rating.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct BurdenRecord<'a> {
    /// Its designation.
    part: &'a str,
    /// What it bears too much of.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["watts", "volts", "plate", "screen", "amperes", "too few amperes"])))]
    what: &'static str,
    /// How much that is, watts, volts or amperes.
    bears: Option<f64>,
    /// Its rating, in the same unit.
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
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Point<'a> {
    /// The manual's own label.
    point: &'a str,
    /// What the manual says.
    manual: ManualValue<'a>,
    /// What the circuit alone predicts. Null where it is not drawn.
    model: Option<Predicted>,
    /// Volts without a meter by manual and drawing together, less those of the circuit alone. Null
    /// where the circuit is not drawn.
    unexplained: Option<f64>,
    #[serde(flatten)]
    belief: BeliefRecord<'a>,
    /// Why the point is not translated. Null if it is.
    not_translated: Option<String>,
}

/// The documents of some jobs.
pub(crate) fn check(views: &[CheckView<'_>]) -> Result<String, ReportError> {
    of_jobs(
        &KIND,
        views,
        |view| (view.job, view.diagnostics),
        |view| Body {
            counts: view.job.map(Counts::of),
            points: points(view),
            overrated: overrated(view),
            agreement: view.manual.belief.map(agreement),
            drawing_slips: drawing_slips(view, |belief| &belief.drawing_slips),
            two_drawing_slips: drawing_slips(view, |belief| {
                belief.two_drawing_slips.as_ref().map_or(&[], |two| two)
            }),
            numbers: numbers(view),
            assumed_spreads: match (view.job, view.manual.belief) {
                (Some(job), Some(belief)) => assumed(job, belief),
                _ => Vec::new(),
            },
            meter_classes: meter_classes(view.manual),
            unnamed_meter: UnnamedMeter::of(view.manual),
            not_judged: view.not_judged,
            trials: as_translated(view).as_ref().and_then(TrialsRecord::of),
        },
    )
}

fn drawing_slips<'a>(
    view: &CheckView<'a>,
    which: impl Fn(&'a Belief) -> &'a [DrawingSlip],
) -> Vec<DrawingSlipRecord<'a>> {
    let (Some(job), Some(belief)) = (view.job, view.manual.belief) else {
        return Vec::new();
    };
    which(belief)
        .iter()
        .map(|slip| DrawingSlipRecord::of(&job.circuit, slip))
        .collect()
}

/// A number of the circuit as manual and drawing together make it likely.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct NumberRecord<'a> {
    /// Designator.
    part: &'a str,
    /// Which number of it.
    parameter: &'static str,
    /// What is written on the part, in unit. Null for a number that it has by its type.
    written: Option<f64>,
    /// Most likely change from that, in unit.
    change: Option<f64>,
    /// Standard deviation of what remains open, in unit.
    standard: Option<f64>,
    /// Unit of the change; 1 for a plain share or a natural logarithm.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["V", "Ω", "A", "1"])))]
    unit: &'static str,
}

fn numbers<'a>(view: &CheckView<'a>) -> Vec<NumberRecord<'a>> {
    let (Some(job), Some(belief)) = (view.job, view.manual.belief) else {
        return Vec::new();
    };
    let of = |likely: &LikelyNumber| {
        let part = job.circuit.part(likely.id.part);
        let spread = spread_of(part, likely.id.parameter);
        let written = (spread.nominal != 0.0).then_some(spread.nominal);
        NumberRecord {
            part: &part.designator,
            parameter: likely.id.parameter.name(),
            written: written.and_then(finite),
            change: finite(likely.change),
            standard: finite(likely.standard),
            unit: unit(spread.scale),
        }
    };
    belief.parts.iter().map(of).collect()
}

/// The unit of a change; a plain share or logarithm is `1`.
fn unit(scale: SpreadScale) -> &'static str {
    match scale {
        SpreadScale::Volts => "V",
        SpreadScale::Ohms => "Ω",
        SpreadScale::Amperes => "A",
        SpreadScale::Share | SpreadScale::Logarithm | SpreadScale::Travel => "1",
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
