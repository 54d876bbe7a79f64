//! Monte Carlo trials of any model.
//!
//! A model comes in as a function of random draws (JCGM 101:2008, 7.3 and 7.4); its values go
//! out in the order of the trials, with a count of those that failed. What the model computes is
//! not known here, and neither is how many threads there are.

use std::sync::atomic::{AtomicUsize, Ordering};

use thiserror::Error;

use super::draws::Draws;

/// What a trial yields: one output, or several of the same inputs.
pub trait ModelValue: Send {
    /// Whether every number in it is finite.
    fn is_finite(&self) -> bool;
}

impl ModelValue for f64 {
    fn is_finite(&self) -> bool {
        f64::is_finite(*self)
    }
}

impl ModelValue for Vec<f64> {
    fn is_finite(&self) -> bool {
        self.iter().all(|value| value.is_finite())
    }
}

/// Which trials to run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TrialsPlan {
    /// Seed of all draws.
    pub seed: u64,
    /// Number of the first trial; 0, or where an earlier run ended.
    pub first: u64,
    /// How many.
    pub trials: usize,
}

/// Called now and then with the number of trials done so far, from any thread, not always in
/// rising order.
pub type Progress<'a> = &'a (dyn Fn(usize) + Sync);

/// What became of the trials.
#[derive(Clone, Debug, PartialEq)]
pub struct Trials<T, E> {
    /// Values of the trials that succeeded, in their order.
    pub values: Vec<T>,
    /// How many failed.
    pub failed: usize,
    /// The first that failed.
    pub first_failure: Option<FirstFailure<E>>,
}

/// The first trial that failed.
#[derive(Clone, Debug, PartialEq)]
pub struct FirstFailure<E> {
    /// Its number.
    pub trial: u64,
    /// Why.
    pub why: FailedTrial<E>,
}

/// Why a trial has no value.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FailedTrial<E> {
    /// The model says so.
    #[error("{0}")]
    Model(E),
    /// The model's value is not a finite number.
    #[error("the value is not a finite number")]
    NotFinite,
}

/// Trials between two calls of the progress function.
const STRIDE: usize = 1000;

/// Runs the trials of a plan on the threads at hand. Each trial has its own draws, so the result
/// is the same on one thread and on many.
pub fn run_trials<T, E>(
    plan: TrialsPlan,
    model: impl Fn(&mut Draws) -> Result<T, E> + Sync,
    progress: Option<Progress<'_>>,
) -> Trials<T, E>
where
    T: ModelValue,
    E: Send,
{
    let done = AtomicUsize::new(0);
    let one = |index: usize| {
        let trial = plan.first.wrapping_add(index as u64);
        let outcome = match model(&mut Draws::new(plan.seed, trial)) {
            Ok(value) if value.is_finite() => Ok(value),
            Ok(_) => Err(FailedTrial::NotFinite),
            Err(error) => Err(FailedTrial::Model(error)),
        };
        let so_far = done.fetch_add(1, Ordering::Relaxed) + 1;
        match progress {
            Some(progress) if so_far.is_multiple_of(STRIDE) || so_far == plan.trials => {
                progress(so_far)
            }
            _ => {}
        }
        (trial, outcome)
    };
    let outcomes: Vec<_> = parallel::map(0..plan.trials, one);
    let mut trials = Trials {
        values: Vec::new(),
        failed: 0,
        first_failure: None,
    };
    for (trial, outcome) in outcomes {
        match outcome {
            Ok(value) => trials.values.push(value),
            Err(why) => {
                trials.failed += 1;
                let first = FirstFailure { trial, why };
                trials.first_failure.get_or_insert(first);
            }
        }
    }
    trials
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plan(trials: usize) -> TrialsPlan {
        TrialsPlan {
            seed: 3,
            first: 0,
            trials,
        }
    }

    #[test]
    fn failed_trials_are_counted_and_the_first_is_named() {
        // About a quarter lies below ¼ and a quarter above ¾ turns to infinity.
        let model = |draws: &mut Draws| match draws.uniform() {
            x if x < 0.25 => Err("low"),
            x if x > 0.75 => Ok(1.0 / 0.0),
            x => Ok(x),
        };
        let trials = run_trials(plan(4000), model, None);
        assert_eq!(trials.values.len() + trials.failed, 4000);
        // Binomial: 2000 ± 32; five times that.
        assert!(trials.failed.abs_diff(2000) < 160, "{}", trials.failed);
        let first = trials.first_failure.unwrap();
        let alone = model(&mut Draws::new(3, first.trial));
        let same = match first.why {
            FailedTrial::Model(word) => alone == Err(word),
            FailedTrial::NotFinite => alone.is_ok_and(f64::is_infinite),
        };
        assert!(same);
    }

    #[test]
    fn two_runs_end_to_end_are_one_long_run() {
        let model = |draws: &mut Draws| Ok::<_, ()>(vec![draws.normal(), draws.uniform()]);
        let whole = run_trials(plan(300), model, None);
        let rest = TrialsPlan {
            first: 100,
            ..plan(200)
        };
        let mut joined = run_trials(plan(100), model, None).values;
        joined.extend(run_trials(rest, model, None).values);
        assert_eq!(whole.values, joined);
    }

    #[test]
    fn progress_reaches_the_end() {
        let most = AtomicUsize::new(0);
        let note = |done| {
            most.fetch_max(done, Ordering::Relaxed);
        };
        let model = |draws: &mut Draws| Ok::<_, ()>(draws.uniform());
        run_trials(plan(2500), model, Some(&note));
        assert_eq!(most.load(Ordering::Relaxed), 2500);
        assert!(run_trials(plan(0), model, None).values.is_empty());
    }
}
