//! The part of a document that tells what trials found.

#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{PointTrials, Stop};

use super::finite;
use crate::trials_table::first_order;
use crate::views::TranslateView;

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct TrialsRecord<'a> {
    /// Seed of their draws.
    seed: u64,
    /// How many were run.
    run: usize,
    /// Whether every figure stands still.
    steady: bool,
    /// One for each bench meter of each translated point.
    values: Vec<ValueRecord<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct ValueRecord<'a> {
    /// The manual's own label.
    point: &'a str,
    /// The bench meter.
    meter: &'a str,
    /// Mean of what it showed, volts. Null where too few trials found a state.
    mean: Option<f64>,
    /// Standard deviation of the same, volts.
    standard_uncertainty: Option<f64>,
    /// Shortest interval that holds 95 % of them, volts.
    interval: [Option<f64>; 2],
    /// Trials in which the circuit found no state; left out.
    failed: usize,
    /// How expected ± uncertainty compares with that interval. Null where the trials are too few to
    /// tell, or nothing is uncertain.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["holds", "too narrow", "too wide", "shifted", null])))]
    first_order: Option<&'static str>,
}

impl<'a> TrialsRecord<'a> {
    /// None where none were run.
    pub(super) fn of(view: &TranslateView<'a>) -> Option<Self> {
        let trials = view.trials.as_ref()?;
        let points = trials.found.points.iter();
        Some(TrialsRecord {
            seed: trials.seed,
            run: trials.found.trials,
            steady: trials.found.stop == Stop::Steady,
            values: points
                .filter_map(|point| value(view, point, trials.found.stop))
                .collect(),
        })
    }
}

fn value<'a>(view: &TranslateView<'a>, point: &PointTrials, stop: Stop) -> Option<ValueRecord<'a>> {
    let outcome = view.translation.points.get(point.entry)?;
    let side = outcome.outcome.as_ref().ok()?.bench.get(point.bench)?;
    let found = point.summary.as_ref();
    Some(ValueRecord {
        point: &view.job.manual.get(point.entry)?.point,
        meter: &side.meter,
        mean: found.and_then(|found| finite(found.mean)),
        standard_uncertainty: found.and_then(|found| finite(found.standard)),
        interval: [
            found.and_then(|found| finite(found.interval.low)),
            found.and_then(|found| finite(found.interval.high)),
        ],
        failed: point.failed,
        first_order: first_order(side, point, stop),
    })
}
