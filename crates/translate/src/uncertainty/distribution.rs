//! How an input may lie round its stated value.
//!
//! A tolerance or a last digit comes in; the standard uncertainty, and the deviation at a given
//! probability, go out. What the input is, and in which unit, is not known here.

use super::normal::quantile;

/// Distribution of an input round its stated value, in the unit of that value. Widths are not
/// negative.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Distribution {
    /// Anywhere within the half-width, equally likely (JCGM 100:2008, 4.3.7).
    Rectangular {
        /// Half of the whole width.
        half_width: f64,
    },
    /// Normal.
    Normal {
        /// The standard deviation.
        standard: f64,
    },
}

impl Distribution {
    /// A tolerance of so large a share of a nominal value, of either sign; nothing is known about
    /// how the parts lie within it.
    pub fn of_tolerance(nominal: f64, share: f64) -> Self {
        Distribution::Rectangular {
            half_width: nominal.abs() * share,
        }
    }

    /// A value given to this much, one unit of its last digit: half of that either way
    /// (JCGM 100:2008, F.2.2.1).
    pub fn of_resolution(unit_of_last_digit: f64) -> Self {
        Distribution::Rectangular {
            half_width: unit_of_last_digit / 2.0,
        }
    }

    /// Standard uncertainty, in the unit of the value.
    pub fn standard(&self) -> f64 {
        match *self {
            // u = a/√3                                  (7)
            Distribution::Rectangular { half_width } => half_width / 3f64.sqrt(),
            Distribution::Normal { standard } => standard,
        }
    }

    /// Deviation from the stated value that is not exceeded with this probability, 0 to 1.
    pub fn deviation(&self, probability: f64) -> f64 {
        let p = probability;
        match *self {
            Distribution::Rectangular { half_width } => half_width * (2.0 * p - 1.0),
            Distribution::Normal { standard } => standard * quantile(p),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tolerance_of_a_negative_supply_is_as_wide_as_of_a_positive_one() {
        // −10 V ± 20 %: 2 V either way, u = 2/√3 V.
        let spread = Distribution::of_tolerance(-10.0, 0.2);
        assert_eq!(spread, Distribution::Rectangular { half_width: 2.0 });
        assert!((spread.standard() - 1.154_700_538).abs() < 1e-9);
    }

    #[test]
    fn deviations_have_the_mean_and_the_standard_uncertainty_they_claim() {
        // ∫₀¹ d(p) dp and ∫₀¹ (d − mean)² dp by the midpoint rule with 10⁵ steps; what the rule
        // misses is below 10⁻³ even at the normal's tails.
        let spreads = [
            Distribution::Rectangular { half_width: 2.0 },
            Distribution::Normal { standard: 1.5 },
        ];
        for spread in spreads {
            let n = 100_000;
            let at = |k: usize| spread.deviation((k as f64 + 0.5) / n as f64);
            let mean = (0..n).map(at).sum::<f64>() / n as f64;
            let square = (0..n).map(|k| (at(k) - mean).powi(2)).sum::<f64>() / n as f64;
            assert!((mean).abs() < 1e-9, "{spread:?}: {mean}");
            assert!(
                (square.sqrt() - spread.standard()).abs() < 1e-3,
                "{spread:?}: {square}"
            );
        }
    }
}
