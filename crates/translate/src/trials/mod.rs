//! The whole translation repeated with other numbers: Monte Carlo trials (JCGM 101:2008).
//!
//! A translated job comes in. Each trial draws every number of the circuit, what the drawing lacks, every
//! printed value and both meters' errors, within the limits that the budgets state, conditions
//! them on manual and drawing, and solves that circuit in full. What the values scatter by, their shortest coverage interval,
//! and whether first order would have done go out.
//!
//! Trials are run in blocks until every figure is stable (7.9.4), or until there are as many as
//! allowed. Trial `k` draws the same whatever thread runs it, so the answer does not depend on
//! their number.

mod model;
mod redrawn;

use std::convert::Infallible;

use circuit::Job;

use crate::budget::COVERAGE;
use crate::table::Translation;
use crate::uncertainty::{
    block_size, run_trials, validate, Interval, ModelValue, Progress, Sample, Steadiness, Stop,
    TrialsPlan, Validation,
};

use model::TrialModel;

/// Significant digits of a standard uncertainty that are meant.
const DIGITS: usize = 1;

/// Which trials to run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TrialsRequest {
    /// Seed of all draws.
    pub seed: u64,
    /// Trials not to be exceeded. Fewer than two blocks of 10,000 are run as they are, and
    /// nothing is then said of their steadiness.
    pub most_trials: usize,
}

/// What the trials of a translation found.
#[derive(Clone, Debug, PartialEq)]
pub struct TranslationTrials {
    /// One for each bench meter of each translated point.
    pub points: Vec<PointTrials>,
    /// Trials run.
    pub trials: usize,
    /// Whether they ended because every figure is stable.
    pub stop: Stop,
}

/// What the trials found for one bench meter at one point.
#[derive(Clone, Debug, PartialEq)]
pub struct PointTrials {
    /// Index into [`Job::manual`].
    pub entry: usize,
    /// Index into [`crate::Carried::bench`].
    pub bench: usize,
    /// The values, summed up; none where too few trials found a state.
    pub summary: Option<TrialsSummary>,
    /// Trials that found no state.
    pub failed: usize,
    /// The ends of first order's interval against these; none where nothing is uncertain.
    pub validation: Option<Validation>,
    /// Whether first order claims less width than the trials.
    pub narrower: bool,
}

/// Values of trials, summed up. Volts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrialsSummary {
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation, the standard uncertainty.
    pub standard: f64,
    /// The shortest interval that holds 95 % of them.
    pub interval: Interval,
}

/// Values of every bench meter of every point; no number where the circuit found no state.
struct Carried(Vec<f64>);

impl ModelValue for Carried {
    fn is_finite(&self) -> bool {
        true
    }
}

/// Runs trials of a translation.
pub fn translation_trials(
    job: &Job,
    translation: &Translation,
    request: TrialsRequest,
    progress: Option<Progress<'_>>,
) -> TranslationTrials {
    let trial = TrialModel::new(job, translation);
    let outputs = trial.outputs();
    let size = block_size(COVERAGE).unwrap_or(request.most_trials);
    let size = size.min(request.most_trials).max(2);
    let mut values: Vec<Vec<f64>> = vec![Vec::new(); outputs.len()];
    let mut steadiness = vec![Steadiness::default(); outputs.len()];
    let mut done = 0;
    let mut stop = Stop::Limit;
    while done + size <= request.most_trials.max(size) {
        let plan = TrialsPlan {
            seed: request.seed,
            first: done as u64,
            trials: size,
        };
        let further = progress.map(|progress| move |so_far| progress(done + so_far));
        let further = further.as_ref().map(|further| further as Progress<'_>);
        let model = |draws: &mut _| Ok::<_, Infallible>(Carried(trial.carry(draws)));
        let block = run_trials(plan, model, further);
        for (k, steadiness) in steadiness.iter_mut().enumerate() {
            let one = block.values.iter().map(|Carried(all)| all[k]);
            let finite: Vec<f64> = one.filter(|value| value.is_finite()).collect();
            values[k].extend(&finite);
            if let Ok(sample) = Sample::of(finite) {
                // Too few values for an interval: that block says nothing.
                let _ = steadiness.block(&sample, COVERAGE);
            }
        }
        done += size;
        let steady =
            |(steadiness, values): (&Steadiness, &Vec<f64>)| steadiness.holds(values, DIGITS, 1.0);
        if steadiness.iter().zip(&values).all(steady) {
            stop = Stop::Steady;
            break;
        }
    }
    let points = outputs.into_iter().zip(values);
    TranslationTrials {
        points: points
            .map(|(output, values)| summed(translation, output, values, done))
            .collect(),
        trials: done,
        stop,
    }
}

fn summed(
    translation: &Translation,
    (entry, bench): (usize, usize),
    values: Vec<f64>,
    trials: usize,
) -> PointTrials {
    let failed = trials - values.len();
    let summary = Sample::of(values).ok().and_then(|sample| {
        Some(TrialsSummary {
            mean: sample.mean(),
            standard: sample.standard(),
            interval: sample.interval(COVERAGE).ok()?,
        })
    });
    let side = translation.points.iter().find(|point| point.entry == entry);
    let side = side.and_then(|point| point.outcome.as_ref().ok()?.bench.get(bench));
    let compared = side.zip(summary).and_then(|(side, summary)| {
        let first_order = Interval::about(side.expected, side.budget.expanded());
        let validation = validate(first_order, summary.interval, summary.standard, DIGITS)?;
        Some((validation, first_order.width() < summary.interval.width()))
    });
    PointTrials {
        entry,
        bench,
        summary,
        failed,
        validation: compared.map(|(validation, _)| validation),
        narrower: compared.is_some_and(|(_, narrower)| narrower),
    }
}
