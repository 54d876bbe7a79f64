//! Normal deviations of several possible sizes, the same few for all of a kind.
//!
//! Most of a kind are small and a few are large; the data tell which, and how many. The rest of the table
//! gives a normal likelihood for one deviation, and with it the evidence for each size. One variance then
//! replaces all sizes: that which shrinks the deviation towards zero as much as they do together (a scale mixture of normal distributions, D. F. Andrews and C. L. Mallows, J. Royal Statistical Society
//! B 36, 1974; from memory).

/// Sizes as standard deviations, and how many deviations of each represent the prior knowledge.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ScaleMixture<const N: usize> {
    pub(crate) sizes: [f64; N],
    pub(crate) known: [f64; N],
}

/// Likelihood of a deviation from everything else: normal about a mean, without the variance taken for it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Likelihood {
    mean: f64,
    variance: f64,
}

impl Likelihood {
    /// Nothing.
    pub(crate) const NONE: Likelihood = Likelihood {
        mean: 0.0,
        variance: f64::INFINITY,
    };

    /// Of a deviation that moves the readings by `m`, with `a = mᵀS⁻¹m` and `b = mᵀS⁻¹r` while it was taken to
    /// have this variance, `V`, as part of `S`: about `b/a`, with the variance `1/a − V`.
    pub(crate) fn of(a: f64, b: f64, variance: f64) -> Self {
        if !(a > 0.0 && a.is_finite()) {
            return Likelihood::NONE;
        }
        Likelihood {
            mean: b / a,
            variance: (1.0 / a - variance).max(1e-9 / a),
        }
    }
}

impl<const N: usize> ScaleMixture<N> {
    /// The variance that stands for all sizes at each deviation, by the probabilities taught so far, which
    /// learn from them; none where nothing is known.
    pub(crate) fn variances(
        &self,
        likelihoods: &[Likelihood],
        probabilities: &mut Option<[f64; N]>,
    ) -> Vec<Option<f64>> {
        let before = probabilities.unwrap_or(shares(self.known));
        let mut counts = self.known;
        let found = likelihoods
            .iter()
            .map(|likelihood| {
                let posterior = self.posterior(&before, likelihood)?;
                for (count, share) in counts.iter_mut().zip(posterior) {
                    *count += share;
                }
                Some(self.matched(&posterior, likelihood.variance))
            })
            .collect();
        *probabilities = Some(shares(counts));
        found
    }

    /// The probability of each size at each deviation beforehand, by what all the others teach: `learnt`
    /// are the probabilities that all together have taught.
    pub(crate) fn by_the_others(
        &self,
        likelihoods: &[Likelihood],
        learnt: &[f64; N],
    ) -> Vec<[f64; N]> {
        let posteriors: Vec<Option<[f64; N]>> = likelihoods
            .iter()
            .map(|likelihood| self.posterior(learnt, likelihood))
            .collect();
        let mut counts = self.known;
        for posterior in posteriors.iter().flatten() {
            for (count, share) in counts.iter_mut().zip(posterior) {
                *count += share;
            }
        }
        let each = posteriors.iter().map(|own| match own {
            // Known are more than none of each, so that no count comes near zero.
            Some(own) => shares(std::array::from_fn(|k| counts[k] - own[k])),
            None => shares(counts),
        });
        each.collect()
    }

    /// The variance beforehand.
    pub(crate) fn expected_variance(&self) -> f64 {
        let each = self.probabilities().into_iter().zip(self.sizes);
        each.map(|(share, size)| share * size * size).sum()
    }

    /// The probability of each size before anything is looked at.
    pub(crate) fn probabilities(&self) -> [f64; N] {
        shares(self.known)
    }

    /// `log Σ π_s N(mean; 0, variance + s²) − log N(mean; 0, variance + V)`: how much more likely everything else is with
    /// all sizes, by their probabilities beforehand, than with the one variance `V` that was taken for them.
    pub(crate) fn log_gain(&self, likelihood: &Likelihood, taken: f64) -> f64 {
        let Likelihood { mean, variance } = *likelihood;
        if !variance.is_finite() {
            return 0.0;
        }
        let log = |whole: f64| -0.5 * (mean * mean / whole + whole.ln());
        let all = self.probabilities().into_iter().zip(self.sizes);
        let logs = all.map(|(share, size)| share.ln() + log(variance + size * size));
        let logs: Vec<f64> = logs.collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let sum: f64 = logs.iter().map(|log| (log - most).exp()).sum();
        most + sum.ln() - log(variance + taken)
    }

    /// Probability of each size: `π_s · N(mean; 0, variance + s²)`.
    fn posterior(&self, before: &[f64; N], likelihood: &Likelihood) -> Option<[f64; N]> {
        let Likelihood { mean, variance } = *likelihood;
        if !variance.is_finite() {
            return None;
        }
        let logs: [f64; N] = std::array::from_fn(|k| {
            let whole = variance + self.sizes[k].powi(2);
            before[k].ln() - 0.5 * (mean * mean / whole + whole.ln())
        });
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Some(shares(logs.map(|log| (log - most).exp())))
    }

    /// The one variance that keeps as much of the likelihood's mean as all sizes together:
    /// `V/(V + v) = Σ p_s s²/(s² + v)`.
    fn matched(&self, posterior: &[f64; N], variance: f64) -> f64 {
        let each = posterior.iter().zip(self.sizes);
        let kept: f64 = each
            .map(|(share, size)| share * size * size / (size * size + variance))
            .sum();
        variance * kept / (1.0 - kept).max(1e-12)
    }
}

fn shares<const N: usize>(counts: [f64; N]) -> [f64; N] {
    let sum: f64 = counts.iter().sum();
    counts.map(|count| count / sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TWO: ScaleMixture<2> = ScaleMixture {
        sizes: [0.0, 1.0],
        known: [1.0, 1.0],
    };

    #[test]
    fn two_sizes_by_hand() {
        // Seen at 0 with variance 1: evidence 1/√1 and 1/√2, so shares 0.5858 and 0.4142; of them
        // the second keeps one half: B = 0.2071, V = B/(1 − B) = 0.2612.
        let seen = Likelihood {
            mean: 0.0,
            variance: 1.0,
        };
        let mut probabilities = None;
        let found = TWO.variances(&[seen], &mut probabilities)[0].unwrap();
        assert!((found - 0.261_204).abs() < 1e-6, "{found}");
        // (1 + 0.5858)/3
        assert!((probabilities.unwrap()[0] - 0.528_595).abs() < 1e-6);
    }

    #[test]
    fn all_sizes_against_the_one_that_stands_for_them_by_hand() {
        // The same: ½(1/√1 + 1/√2) = 0.853553 against 1/√1.261204 = 0.890446, whose logarithm is −0.042313.
        let seen = Likelihood {
            mean: 0.0,
            variance: 1.0,
        };
        let gain = TWO.log_gain(&seen, 0.261_204);
        assert!((gain + 0.042_313).abs() < 1e-5, "{gain}");
        // Seen at 3: ½e^(−4.5) + ½e^(−2.25)/√2 = 0.042819 against e^(−9/2.522408)/√1.261204 = 0.025121.
        let far = Likelihood { mean: 3.0, ..seen };
        let gain = TWO.log_gain(&far, 0.261_204);
        assert!((gain - 0.533).abs() < 1e-3, "{gain}");
    }

    #[test]
    fn what_lies_far_off_is_large_and_what_is_not_seen_says_nothing() {
        let far = Likelihood {
            mean: 10.0,
            variance: 0.01,
        };
        let found = TWO.variances(&[far, Likelihood::NONE], &mut None);
        // All of the larger size.
        assert!((found[0].unwrap() - 1.0).abs() < 1e-9);
        assert!(found[1].is_none());
    }

    #[test]
    fn the_variance_taken_before_is_taken_out_again() {
        // One reading of u + e with V = 4 and w = 1: S = 5, a = 1/5, b = r/5.
        let likelihood = Likelihood::of(0.2, 0.6, 4.0);
        assert!((likelihood.mean - 3.0).abs() < 1e-12);
        assert!((likelihood.variance - 1.0).abs() < 1e-12);
    }
}
