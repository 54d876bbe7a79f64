//! Random draws for one trial.
//!
//! A seed and the number of a trial come in, draws go out: the same for the same two numbers,
//! on every machine and however many threads share the trials.

use rand_pcg::rand_core::Rng;
use rand_pcg::Pcg64;

use super::distribution::Distribution;
use super::normal::quantile;

/// The draws of one trial, in the order in which they are asked for.
#[derive(Clone, Debug)]
pub struct Draws {
    generator: Pcg64,
}

impl Draws {
    /// The draws of a trial: its number is the generator's stream, and it begins at a place of
    /// its own. Streams that begin at one place move in step: in a trial run the means of a
    /// thousand such draws scattered up to half as much again as they should.
    pub fn new(seed: u64, trial: u64) -> Self {
        let high = scramble(seed.wrapping_add(trial.wrapping_mul(GOLDEN)));
        let low = scramble(high.wrapping_add(GOLDEN));
        let state = (u128::from(high) << 64) | u128::from(low);
        Draws {
            generator: Pcg64::new(state, u128::from(trial)),
        }
    }

    /// Equally likely anywhere between 0 and 1, never either of them.
    pub fn uniform(&mut self) -> f64 {
        // 52 bits and a half: exact in a double, so no draw is rounded up to 1.
        let bits = self.generator.next_u64() >> 12;
        (bits as f64 + 0.5) / (1u64 << 52) as f64
    }

    /// Standard normal, by the inverse of its distribution: one number drawn for each, so inputs
    /// keep their places in the sequence.
    pub fn normal(&mut self) -> f64 {
        quantile(self.uniform())
    }

    /// Deviation of an input from its stated value.
    pub fn deviation(&mut self, spread: &Distribution) -> f64 {
        spread.deviation(self.uniform())
    }
}

/// 2⁶⁴ over the golden ratio, odd.
const GOLDEN: u64 = 0x9E37_79B9_7F4A_7C15;

/// The finalizer of SplitMix64 (G. L. Steele, D. Lea and C. H. Flood, "Fast splittable
/// pseudorandom number generators", OOPSLA 2014; constants from memory): numbers that differ in
/// one bit come out unlike each other.
fn scramble(number: u64) -> u64 {
    let z = (number ^ (number >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_trial_draws_the_same_and_another_does_not() {
        let first = |seed, trial| Draws::new(seed, trial).uniform().to_bits();
        assert_eq!(first(1, 5), first(1, 5));
        assert_ne!(first(1, 5), first(1, 6));
        assert_ne!(first(1, 5), first(2, 5));
    }

    #[test]
    fn means_over_trials_scatter_as_independent_draws_do() {
        // 400 means of 500 draws each, for the first, second, fifth and ninth draw of a trial.
        // Their standard deviation should be 1/√(12·500); estimated from 400 it scatters by
        // 1/√800 = 3.5 %, so five times that is allowed.
        for place in [0, 1, 4, 8] {
            let draw = |trial| {
                let mut draws = Draws::new(42, trial);
                (0..place).for_each(|_| {
                    draws.uniform();
                });
                draws.uniform()
            };
            let means: Vec<f64> = (0..400)
                .map(|block| (0..500).map(|k| draw(block * 500 + k)).sum::<f64>() / 500.0)
                .collect();
            let mean = means.iter().sum::<f64>() / 400.0;
            let square = means.iter().map(|m| (m - mean).powi(2)).sum::<f64>() / 399.0;
            let ratio = square.sqrt() * (12.0f64 * 500.0).sqrt();
            assert!((ratio - 1.0).abs() < 0.18, "draw {place}: {ratio}");
        }
    }

    #[test]
    fn draws_within_a_trial_are_not_correlated() {
        // r of 20,000 pairs of independent draws scatters by 0.007; five times that.
        let pairs = (0..20_000).map(|trial| {
            let mut draws = Draws::new(7, trial);
            (draws.normal(), draws.normal())
        });
        let r = pairs.map(|(a, b)| a * b).sum::<f64>() / 20_000.0;
        assert!(r.abs() < 0.036, "{r}");
    }
}
