//! Bench readings against the manual, each through the meter and range it was taken with.

use circuit::{Job, MeterRange, Reading, Shown};
use reconcile::{RangeChoice, ReconcileError};

use crate::bench::{BenchSide, ReadyPoint};
use crate::manual_side::range_of_reading;
use crate::point::{Carried, PointOutcome};
use crate::quantity::{judge_reading, Circuits, QuantitySide};
use crate::table::{translate, Translation};
use crate::unprinted::at_reading;
use crate::verdict::{judge, Judgement};

/// Expected volts below which a deviation in percent says nothing: less than any meter resolves.
const NOTHING: f64 = 1e-6;

/// Every reading of a job, compared.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The translated manual.
    pub translation: Translation,
    /// One for each reading, in order.
    pub readings: Vec<Compared>,
}

/// One reading, compared with the manual.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// Index into [`Job::readings`].
    pub reading: usize,
    /// Index into [`Job::manual`] and [`Translation::points`]; none for a point that the manual
    /// lacks.
    pub entry: Option<usize>,
    /// The range the reading was taken on.
    pub range: RangeChoice,
    /// What the meter should have shown on that range; none where nothing could be translated.
    pub expected: Option<BenchSide>,
    /// Reading less expected value over the size of the expected value; none for an overrange or
    /// an expected value of zero.
    pub deviation: Option<f64>,
    /// The judgement.
    pub judgement: Judgement,
    /// What a resistance, a current or alternating volts should have been, with the index into
    /// [`Translation::quantities`]; none for direct volts. The judgement is by it then.
    pub quantity: Option<(usize, QuantitySide)>,
}

/// Compares every reading of a job with its manual.
///
/// # Errors
/// [`ReconcileError`] as [`translate`].
pub fn compare(job: &Job) -> Result<Comparison, ReconcileError> {
    Ok(compare_translated(job, translate(job)?))
}

/// The same with a manual that is translated already.
pub fn compare_translated(job: &Job, translation: Translation) -> Comparison {
    let mut known = Circuits::new(job);
    let readings = job
        .readings
        .iter()
        .enumerate()
        .map(|(index, reading)| compare_one(job, &translation, (index, reading), &mut known))
        .collect();
    Comparison {
        translation,
        readings,
    }
}

fn compare_one(
    job: &Job,
    translation: &Translation,
    (index, reading): (usize, &Reading),
    known: &mut Circuits<'_>,
) -> Compared {
    let entry = job
        .manual
        .iter()
        .position(|entry| entry.point == reading.point);
    let carried = entry
        .and_then(|entry| translation.points.get(entry))
        .and_then(|point: &PointOutcome| point.outcome.as_ref().ok());
    let range = range_of_reading(reading, carried);
    // No state with this meter on it: the reading stands without an expected value.
    let expected = entry
        .zip(carried)
        .and_then(|(entry, carried)| side(job, entry, carried, (reading, range.range)));
    // Where the manual prints nothing the drawing alone says what to expect.
    let expected = match entry {
        None => at_reading(&translation.reconciled, reading, range.range),
        Some(_) => expected,
    };
    let quantity = judge_reading(job, &translation.quantities, reading, known);
    let other = quantity.as_ref().map(|(_, side, _)| &side.side);
    let deviation = match (&reading.shown, expected.as_ref().or(other)) {
        (Shown::Value(figure), Some(side)) if side.expected.abs() > NOTHING => {
            Some((figure.value - side.expected) / side.expected.abs())
        }
        _ => None,
    };
    let deviation = deviation.filter(|share| share.is_finite());
    let judgement = match (&quantity, &expected) {
        (Some((_, _, judgement)), _) => *judgement,
        (None, Some(side)) => judge(&reading.shown, side, job.bench.guard),
        (None, None) => Judgement::NONE,
    };
    Compared {
        reading: index,
        entry,
        range,
        expected,
        deviation,
        judgement,
        quantity: quantity.map(|(at, side, _)| (at, side)),
    }
}

fn side(
    job: &Job,
    entry: usize,
    carried: &Carried,
    (reading, range): (&Reading, MeterRange),
) -> Option<BenchSide> {
    let point = ReadyPoint {
        circuit: &job.circuit,
        entry: job.manual.get(entry)?,
        manual: &carried.manual,
        point_model: &carried.point_model,
    };
    let figure = match &reading.shown {
        Shown::Value(figure) => Some(figure),
        Shown::Overrange => None,
    };
    point.on_range(&reading.meter, range, figure).ok()
}
