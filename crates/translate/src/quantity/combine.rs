//! A printed value and the drawing's value, combined at one point by their variances.
//!
//! ```text
//! M = D + c + a + d + e     c ~ κσ², a ~ (1−κ)σ², d ~ (s·q)², e ~ w
//! the design: D + c + d     another set: D + c + d + b, b ~ (1−κ)σ²
//! ```
//!
//! `σ²` is the variance of the drawing's value through its parts, `w` that of rounding and the
//! manual's meter, `q` the larger of the two values. What the drawing lacks, `d`, has one of a few
//! sizes `s`, weighed by how likely each makes the printed value (as in `reconcile`, whose sizes and
//! κ these are; there all direct volts together, here a point by itself).

use reconcile::SHARED_BY_SETS;

/// Sizes of what a drawing lacks, as shares of the value, and how many points of each there are.
const SIZES: [(f64, f64); 6] = [
    (0.0, 4.0),
    (0.01, 0.5),
    (0.03, 0.5),
    (0.1, 0.4),
    (0.3, 0.2),
    (1.0, 0.1),
];

/// What a point's two sources say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sources {
    /// `M`
    pub(super) printed: f64,
    /// `w`
    pub(super) noise: f64,
    /// `D`
    pub(super) drawn: f64,
    /// `σ²`
    pub(super) parts: f64,
}

/// What they say together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct CombinedEstimate {
    /// The value through the manual's meter.
    pub(super) value: f64,
    /// How much of it follows the printed value, 0 to 1.
    pub(super) by_printed: f64,
    /// Variance of the value for the design.
    pub(super) variance: f64,
    /// Standard deviations by which the printed value lies off.
    pub(super) sigmas: f64,
    /// How the value follows a part by the part's own slope, in the mean of both sets.
    pub(super) by_parts: f64,
}

impl Sources {
    pub(super) fn combine(&self) -> CombinedEstimate {
        let r = self.printed - self.drawn;
        let q = self.printed.abs().max(self.drawn.abs());
        let shared = SHARED_BY_SETS * self.parts;
        let mut whole = 0.0;
        let (mut mean, mut square, mut kept) = (0.0, 0.0, 0.0);
        let logs = SIZES.map(|(size, known)| {
            let total = self.parts + self.noise + (size * q).powi(2);
            let total = total.max(f64::MIN_POSITIVE);
            f64::ln(known) - 0.5 * (r * r / total + total.ln())
        });
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        for ((size, _), log) in SIZES.iter().zip(logs) {
            let weight = (log - most).exp();
            let lacking = (size * q).powi(2);
            let common = shared + lacking;
            let total = (self.parts + self.noise + lacking).max(f64::MIN_POSITIVE);
            // The conditional mean and variance of c + d, given M.
            let gain = common / total;
            let shift = gain * r;
            let left = (common - gain * common).max(0.0);
            whole += weight;
            mean += weight * shift;
            square += weight * (left + shift * shift);
            kept += weight * gain;
        }
        let (mean, square, kept) = (mean / whole, square / whole, kept / whole);
        let plain = (self.parts + self.noise).max(f64::MIN_POSITIVE);
        let by_parts =
            SHARED_BY_SETS * (1.0 - kept).powi(2) + (1.0 - SHARED_BY_SETS) * kept.powi(2);
        CombinedEstimate {
            value: self.drawn + mean,
            by_printed: kept,
            variance: (square - mean * mean).max(0.0),
            sigmas: r / plain.sqrt(),
            by_parts: by_parts.sqrt(),
        }
    }
}

/// Variance of a set's own scatter, beside the design.
pub(super) fn own_scatter(parts: f64) -> f64 {
    (1.0 - SHARED_BY_SETS) * parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sources(printed: f64, noise: f64, drawn: f64, parts: f64) -> Sources {
        Sources {
            printed,
            noise,
            drawn,
            parts,
        }
    }

    #[test]
    fn where_both_agree_nothing_moves() {
        let found = sources(100.0, 1.0, 100.0, 4.0).combine();
        assert!((found.value - 100.0).abs() < 1e-12);
        assert!(found.sigmas.abs() < 1e-12);
        // No less is known than by the parts that all sets share, κσ² = 2, and what is lacking.
        assert!(found.variance > 0.0);
    }

    #[test]
    fn an_exact_drawing_holds_and_a_far_value_is_believed() {
        // Exact parts and a coarse reading close to their value: the drawing decides.
        let close = sources(101.0, 25.0, 100.0, 0.0).combine();
        assert!((close.value - 100.0).abs() < 0.5, "{close:?}");
        // Half of what the drawing says, read well: the drawing lacks something.
        let far = sources(50.0, 0.25, 100.0, 1.0).combine();
        assert!((far.value - 50.0).abs() < 1.0, "{far:?}");
        assert!(far.by_printed > 0.95 && far.sigmas < -40.0);
    }

    #[test]
    fn the_value_lies_between_its_sources() {
        for printed in [60.0, 90.0, 100.0, 115.0, 300.0] {
            let found = sources(printed, 4.0, 100.0, 36.0).combine();
            let (low, high) = (printed.min(100.0), printed.max(100.0));
            assert!(found.value >= low - 1e-9 && found.value <= high + 1e-9);
        }
    }
}
