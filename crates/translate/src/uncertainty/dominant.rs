//! Coverage factor of a sum in which one rectangular input may dominate.
//!
//! Shares of variance and shapes come in, the factor for a coverage probability goes out. A sum
//! of many alike inputs is near normal and its factor for 95 % is 1.96; a sum that is all one
//! rectangle needs 0.95·√3 = 1.65, and 1.96 would claim too much width (JCGM 100:2008, G.1.5 and
//! G.2.3; JCGM 101:2008, 9.2.3).
//!
//! The largest rectangle is kept as such and all the rest taken as one normal. Two equal rectangles,
//! the worst case of that, so get 1.91 instead of 1.90.

use super::distribution::Distribution;
use super::normal::probability_below;

/// Coverage factor for a sum of independent inputs, each with its standard uncertainty in the unit
/// of the sum and its shape. None for a probability outside 0 to 1.
pub fn coverage_of_sum(inputs: &[(f64, Distribution)], probability: f64) -> Option<f64> {
    if !(probability > 0.0 && probability < 1.0) {
        return None;
    }
    let variance: f64 = inputs.iter().map(|(u, _)| u.powi(2)).sum();
    let largest = inputs
        .iter()
        .filter(|(_, shape)| matches!(shape, Distribution::Rectangular { .. }))
        .fold(0.0, |most: f64, (u, _)| most.max(u.abs()));
    let share = largest / variance.sqrt();
    let share = if share.is_finite() {
        share.min(1.0)
    } else {
        0.0
    };
    Some(factor(share, probability))
}

/// Half-width that holds so much of a rectangle of standard deviation ρ plus a normal of
/// √(1 − ρ²).
fn factor(share: f64, probability: f64) -> f64 {
    let half = share * 3f64.sqrt();
    let normal = (1.0 - share.powi(2)).max(0.0).sqrt();
    let wanted = (1.0 + probability) / 2.0;
    // F rises with the width; forty halvings of ten standard deviations leave 1e-11.
    let (mut low, mut high) = (0.0, 10.0);
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if below(middle, half, normal) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

/// Distribution of the sum of a rectangle of half-width a and a normal of deviation s.
fn below(t: f64, a: f64, s: f64) -> f64 {
    // Either part alone where the other is too small to be told in doubles.
    if s < 1e-6 {
        return ((t + a) / (2.0 * a)).clamp(0.0, 1.0);
    }
    if a < 1e-6 {
        return probability_below(t / s);
    }
    // F(t) = s/(2a) [G((t + a)/s) − G((t − a)/s)],  G(z) = z Φ(z) + φ(z)
    let g = |z: f64| {
        let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
        z * probability_below(z) + density
    };
    s / (2.0 * a) * (g((t + a) / s) - g((t - a) / s))
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECT: Distribution = Distribution::Rectangular { half_width: 1.0 };
    const NORMAL: Distribution = Distribution::Normal { standard: 1.0 };

    fn factor_of(inputs: &[(f64, Distribution)]) -> f64 {
        coverage_of_sum(inputs, 0.95).unwrap()
    }

    #[test]
    fn one_shape_alone_has_its_own_factor() {
        // 1.959964 is the normal's (JCGM 106:2012, Table A.1 prints 1.96); 0.95·√3 by hand.
        assert!((factor_of(&[(2.0, NORMAL)]) - 1.959_964).abs() < 1e-5);
        assert!((factor_of(&[(0.3, RECT)]) - 0.95 * 3f64.sqrt()).abs() < 1e-5);
    }

    #[test]
    fn two_equal_rectangles_make_a_triangle() {
        // Exact: the triangle of half-width 2√3 that two rectangles of u = 1 make holds 95 % within
        // 2√3 (1 − √0.05) = 2.6895, over u = √2: 1.9018. The normal's tails may add 1 %.
        let k = factor_of(&[(1.0, RECT), (1.0, RECT)]);
        assert!((k - 1.9018).abs() < 0.02, "{k}");
    }

    #[test]
    fn ten_and_one_rectangles_of_jcgm_101() {
        // JCGM 101:2008, 9.2.4: three inputs of u = 1 and one of 10, all rectangular: the shortest
        // interval is ±17.0 with u = 10.1, k = 1.68 (its text gives [−17.0, 17.0], three digits).
        let k = factor_of(&[(1.0, RECT), (1.0, RECT), (1.0, RECT), (10.0, RECT)]);
        let half = k * 103f64.sqrt();
        assert!((half - 17.0).abs() < 0.1, "{half}");
    }

    #[test]
    fn nothing_uncertain_and_nonsense() {
        assert!((factor_of(&[]) - 1.959_964).abs() < 1e-5);
        assert!(coverage_of_sum(&[], 1.0).is_none());
    }
}
