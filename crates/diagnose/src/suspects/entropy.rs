//! How much a measurement is expected to tell: arithmetic of probabilities in bits.
//!
//! Each hypothesis predicts a normal reading. The expected drop of the entropy of the hypotheses
//! is the mutual information of hypothesis and reading,
//!
//! ```text
//! I = Σ p_h ∫ N_h(y) log₂( N_h(y) / Σ p_j N_j(y) ) dy
//! ```
//!
//! each integral taken by the midpoint rule in its own hypothesis's standard deviations. What is
//! measured is not known here. (D. V. Lindley, "On a measure of the information provided by an
//! experiment", Ann. Math. Statist. 27, 1956, pp. 986-1005; from memory.)

/// Half of the width of an integral in standard deviations: beyond it lies 2·10⁻⁹.
const WIDTH: f64 = 6.0;

/// Points of an integral.
const POINTS: usize = 96;

/// What one hypothesis predicts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Predicted {
    /// Its probability; those of all hypotheses are taken relative to their sum.
    pub probability: f64,
    /// Volts that it predicts.
    pub volts: f64,
    /// Their standard deviation in volts, above 0.
    pub sigma: f64,
}

/// Entropy of probabilities in bits: `−Σ p log₂ p`.
pub fn entropy_bits(probabilities: &[f64]) -> f64 {
    let sum: f64 = probabilities.iter().sum();
    let shares = probabilities.iter().map(|p| p / sum);
    -shares
        .filter(|p| *p > 0.0)
        .map(|p| p * p.log2())
        .sum::<f64>()
}

/// Expected drop in bits of the entropy of the hypotheses by one reading, between 0 and their
/// entropy; 0 where something is no number.
pub fn expected_gain_bits(predicted: &[Predicted]) -> f64 {
    let sum: f64 = predicted.iter().map(|one| one.probability).sum();
    let sound = |one: &&Predicted| {
        one.probability > 0.0 && one.sigma > 0.0 && one.volts.is_finite() && one.sigma.is_finite()
    };
    let shares: Vec<Predicted> = predicted
        .iter()
        .filter(sound)
        .map(|one| Predicted {
            probability: one.probability / sum,
            ..*one
        })
        .collect();
    let gain: f64 = shares
        .iter()
        .map(|one| one.probability * apart(one, &shares))
        .sum();
    let probabilities: Vec<f64> = shares.iter().map(|one| one.probability).collect();
    if gain.is_finite() && !shares.is_empty() {
        gain.clamp(0.0, entropy_bits(&probabilities))
    } else {
        0.0
    }
}

/// `∫ N_h log₂(N_h / Σ p_j N_j) dy`
fn apart(one: &Predicted, all: &[Predicted]) -> f64 {
    let step = 2.0 * WIDTH / POINTS as f64;
    let mut sum = 0.0;
    let mut mass = 0.0;
    for k in 0..POINTS {
        let t = -WIDTH + step * (k as f64 + 0.5);
        let y = one.volts + t * one.sigma;
        let weight = (-0.5 * t * t).exp();
        // Relative to N_h at y, so that far tails do not vanish.
        let ratio: f64 = all
            .iter()
            .map(|other| {
                let u = (y - other.volts) / other.sigma;
                other.probability * (one.sigma / other.sigma) * (0.5 * (t * t - u * u)).exp()
            })
            .sum();
        sum -= weight * ratio.log2();
        mass += weight;
    }
    sum / mass
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn predictions_alike_tell_nothing_and_far_apart_everything() {
        let at = |volts: [f64; 2]| {
            volts.map(|volts| Predicted {
                probability: 0.5,
                volts,
                sigma: 1.0,
            })
        };
        // Zero and one bit exactly; the sums round to 1e-13.
        assert!(expected_gain_bits(&at([5.0, 5.0])).abs() < 1e-12);
        assert!((expected_gain_bits(&at([0.0, 100.0])) - 1.0).abs() < 1e-12);
        assert!(expected_gain_bits(&[]).abs() < 1e-300);
    }
}
