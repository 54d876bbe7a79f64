//! Trials until the figures are stable.
//!
//! Blocks of trials come in; whether mean, standard uncertainty and both interval ends are steady
//! over them goes out (JCGM 101:2008, 7.9.4). Who runs the trials is not known here.

use super::sample::{Sample, SampleError};
use super::validation::numerical_tolerance;

/// Why adaptive trials ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// The figures stand still.
    Steady,
    /// There were as many trials as allowed.
    Limit,
}

/// Trials in one block of the adaptive procedure: M = max(J, 10⁴), J the smallest whole number
/// not below 100/(1 − p) (JCGM 101:2008, 7.9.4 b). None for a probability outside 0 to 1.
pub fn block_size(probability: f64) -> Option<usize> {
    let inside = probability > 0.0 && probability < 1.0;
    // Forgiving the rounding of 1 − p.
    let least = (100.0 / (1.0 - probability) * (1.0 - 1e-12)).ceil() as usize;
    inside.then(|| least.max(10_000))
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
    pub fn block(&mut self, sample: &Sample, probability: f64) -> Result<(), SampleError> {
        let interval = sample.interval(probability)?;
        self.figures.push([
            sample.mean(),
            sample.standard(),
            interval.low,
            interval.high,
        ]);
        Ok(())
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

    /// The steadiness of blocks of a hundred values, and all values.
    fn of_blocks(blocks: &[[f64; 100]]) -> (Steadiness, Vec<f64>) {
        let mut steadiness = Steadiness::default();
        for block in blocks {
            let sample = Sample::of(block.to_vec()).unwrap();
            steadiness.block(&sample, 0.95).unwrap();
        }
        (steadiness, blocks.concat())
    }

    #[test]
    fn values_without_spread_are_steady_from_the_second_block_on() {
        let (one, values) = of_blocks(&[[5.0; 100]]);
        assert!(!one.holds(&values, 1, 1.0));
        let (two, values) = of_blocks(&[[5.0; 100]; 2]);
        assert!(two.holds(&values, 1, 1.0));
    }

    #[test]
    fn two_shifted_blocks_by_hand() {
        // The second block lies 1 above the first: each figure of two has a mean of half that and
        // s_y² = (¼ + ¼)/2, so 2 s_y = 1; but for the standard uncertainty, which is the same.
        let first: [f64; 100] = std::array::from_fn(|k| k as f64);
        let (two, values) = of_blocks(&[first, first.map(|value| value + 1.0)]);
        assert!((two.twice_deviation() - 1.0).abs() < 1e-12);
        // u = 29: half a unit of the first digit is 5, of the second 0.5.
        assert!(two.holds(&values, 1, 1.0) && !two.holds(&values, 2, 1.0));
        assert!(!two.holds(&values, 1, 0.1));
    }
}
