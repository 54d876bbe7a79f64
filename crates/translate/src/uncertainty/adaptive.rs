//! Trials until the figures are stable.
//!
//! A model and what is wanted of it come in; trials are run block by block until mean, standard
//! uncertainty and both interval ends are steady (JCGM 101:2008, 7.9.4), or until a limit.

use super::draws::Draws;
use super::sample::{Interval, IntervalShape, Sample, SampleError};
use super::trials::{run_trials, FirstFailure, Progress, Trials, TrialsPlan};
use super::validation::numerical_tolerance;

/// What is wanted of adaptive trials.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// Seed of all draws.
    pub seed: u64,
    /// Coverage probability of the interval, such as 0.95.
    pub probability: f64,
    /// Which interval.
    pub shape: IntervalShape,
    /// Significant digits meant in the standard uncertainty, 1 or 2.
    pub digits: usize,
    /// Share of the numerical tolerance that the figures must be steady to: 1, or a fifth where
    /// first order is to be validated (8.2).
    pub share: f64,
    /// Trials not to be exceeded; two blocks are run in any case.
    pub most_trials: usize,
}

/// Why adaptive trials ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// The figures stand still.
    Steady,
    /// There were as many trials as allowed.
    Limit,
}

/// What adaptive trials found.
#[derive(Clone, Debug)]
pub struct Stabilised<E> {
    /// The values of all trials that succeeded.
    pub sample: Sample,
    /// The coverage interval from all of them.
    pub interval: Interval,
    /// How many blocks were run, of [`block_size`] trials each.
    pub blocks: usize,
    /// Why they ended.
    pub stop: Stop,
    /// The largest of twice the standard deviations of the four figures, in the unit of the
    /// output.
    pub unsteadiness: f64,
    /// How many trials failed.
    pub failed: usize,
    /// The first that failed.
    pub first_failure: Option<FirstFailure<E>>,
}

/// Fewest trials for an interval of this coverage probability when their number is chosen
/// beforehand: 10⁴/(1 − p) (JCGM 101:2008, 7.2.2). None for a probability outside 0 to 1.
pub fn fewest_trials(probability: f64) -> Option<usize> {
    whole_above(1e4, probability)
}

/// Trials in one block of the adaptive procedure: M = max(J, 10⁴), J the smallest whole number
/// not below 100/(1 − p) (JCGM 101:2008, 7.9.4 b). None for a probability outside 0 to 1.
pub fn block_size(probability: f64) -> Option<usize> {
    whole_above(100.0, probability).map(|j| j.max(10_000))
}

/// The smallest whole number not below n/(1 − p), forgiving the rounding of 1 − p.
fn whole_above(n: f64, probability: f64) -> Option<usize> {
    let inside = probability > 0.0 && probability < 1.0;
    inside.then(|| (n / (1.0 - probability) * (1.0 - 1e-12)).ceil() as usize)
}

/// Runs blocks of trials until the figures are steady.
///
/// # Errors
/// [`SampleError`] where a block leaves too few values because its trials failed, or for a
/// probability outside 0 to 1.
pub fn stabilise<E: Send>(
    target: Target,
    model: impl Fn(&mut Draws) -> Result<f64, E> + Sync,
    progress: Option<Progress<'_>>,
) -> Result<Stabilised<E>, SampleError> {
    let Target {
        probability, shape, ..
    } = target;
    let size = block_size(probability).ok_or(SampleError::Probability { probability })?;
    let mut all = Trials::none();
    let mut steadiness = Steadiness::default();
    loop {
        let before = steadiness.blocks() * size;
        let plan = TrialsPlan {
            seed: target.seed,
            first: before as u64,
            trials: size,
        };
        let further = progress.map(|progress| move |done| progress(before + done));
        let further = further.as_ref().map(|further| further as Progress<'_>);
        let block = run_trials(plan, &model, further);
        steadiness.block(&Sample::of(block.values.clone())?, probability, shape)?;
        all = all.and(block);
        if steadiness.blocks() < 2 {
            continue;
        }
        let steady = steadiness.holds(&all.values, target.digits, target.share);
        if steady || (steadiness.blocks() + 1) * size > target.most_trials {
            let sample = Sample::of(all.values)?;
            return Ok(Stabilised {
                interval: sample.interval(probability, shape)?,
                sample,
                blocks: steadiness.blocks(),
                stop: if steady { Stop::Steady } else { Stop::Limit },
                unsteadiness: steadiness.twice_deviation(),
                failed: all.failed,
                first_failure: all.first_failure,
            });
        }
    }
}

/// Mean, standard uncertainty and both interval ends of each block of trials (7.9.4 d).
#[derive(Clone, Debug, Default)]
pub struct Steadiness {
    figures: Vec<[f64; 4]>,
}

impl Steadiness {
    /// Adds a block.
    ///
    /// # Errors
    /// As [`Sample::interval`].
    pub fn block(
        &mut self,
        sample: &Sample,
        probability: f64,
        shape: IntervalShape,
    ) -> Result<(), SampleError> {
        let interval = sample.interval(probability, shape)?;
        self.figures.push([
            sample.mean(),
            sample.standard(),
            interval.low,
            interval.high,
        ]);
        Ok(())
    }

    /// How many blocks.
    pub fn blocks(&self) -> usize {
        self.figures.len()
    }

    /// The largest of twice the standard deviations of the averages of the four figures; without
    /// bounds for fewer than two blocks.
    pub fn twice_deviation(&self) -> f64 {
        if self.figures.len() < 2 {
            return f64::INFINITY;
        }
        let scatter = (0..4).map(|which| scatter(&self.figures, which));
        2.0 * scatter.fold(0.0, f64::max)
    }

    /// Whether that is within a share of the numerical tolerance of the standard uncertainty of
    /// all values so far. Values without any spread have no tolerance, and are steady.
    pub fn holds(&self, values: &[f64], digits: usize, share: f64) -> bool {
        let tolerance = numerical_tolerance(standard(values), digits);
        self.twice_deviation() <= tolerance.unwrap_or(0.0) * share
    }
}

/// Standard deviation of the average of one figure over the blocks.
fn scatter(figures: &[[f64; 4]], which: usize) -> f64 {
    // s_y² = 1/(h(h−1)) Σ (y^(r) − y)²
    let h = figures.len() as f64;
    let mean = figures.iter().map(|block| block[which]).sum::<f64>() / h;
    let squares: f64 = figures
        .iter()
        .map(|block| (block[which] - mean).powi(2))
        .sum();
    (squares / (h * (h - 1.0))).sqrt()
}

/// Standard deviation in two passes, without the sorting.
fn standard(values: &[f64]) -> f64 {
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
    (squares / (count - 1.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn target() -> Target {
        Target {
            seed: 1,
            probability: 0.95,
            shape: IntervalShape::Symmetric,
            digits: 1,
            share: 1.0,
            most_trials: 40_000,
        }
    }

    #[test]
    fn a_model_without_spread_is_steady_at_once() {
        let found = stabilise(target(), |_| Ok::<_, ()>(5.0), None).unwrap();
        assert_eq!((found.stop, found.blocks), (Stop::Steady, 2));
        assert!(found.interval.width() < 1e-300);
    }

    #[test]
    fn the_limit_is_kept_and_said() {
        let fine = Target {
            digits: 4,
            ..target()
        };
        let found = stabilise(fine, |draws| Ok::<_, ()>(draws.normal()), None).unwrap();
        assert_eq!((found.stop, found.blocks), (Stop::Limit, 4));
        assert!(found.unsteadiness > 0.0);
    }

    #[test]
    fn a_model_that_always_fails_is_an_error_and_one_that_sometimes_does_says_so() {
        let never = stabilise(target(), |_| Err::<f64, _>("no"), None);
        assert!(matches!(never, Err(SampleError::TooFew { have: 0, .. })));
        let model = |draws: &mut Draws| match draws.uniform() {
            x if x < 0.1 => Err("no"),
            x => Ok(x),
        };
        let found = stabilise(target(), model, None).unwrap();
        assert_eq!(
            found.sample.sorted().len() + found.failed,
            found.blocks * 10_000
        );
        assert!(found.failed > 0 && found.first_failure.is_some());
    }
}
