//! The part of a document that tells what trials found.

use serde::Serialize;
use translate::{PointTrials, Stop};

use super::finite;
use crate::trials_table::first_order;
use crate::views::TranslateView;

#[derive(Serialize)]
pub(super) struct TrialsRecord<'a> {
    seed: u64,
    run: usize,
    steady: bool,
    values: Vec<ValueRecord<'a>>,
}

#[derive(Serialize)]
struct ValueRecord<'a> {
    point: &'a str,
    meter: &'a str,
    mean: Option<f64>,
    standard_uncertainty: Option<f64>,
    interval: [Option<f64>; 2],
    failed: usize,
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
