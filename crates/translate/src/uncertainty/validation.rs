//! Is first order good enough? Its coverage interval against that of the trials.
//!
//! Two intervals and a standard uncertainty come in, the differences of their ends and the
//! tolerance for them go out (JCGM 101:2008, 7.9.2 and 8.1).

use super::sample::Interval;

/// Numerical tolerance δ of a standard uncertainty of which so many significant digits are
/// meant: half a unit of the last of them (JCGM 101:2008, 7.9.2 (18)). None for an uncertainty
/// that is not positive and finite, or no digits.
pub fn numerical_tolerance(standard: f64, digits: usize) -> Option<f64> {
    if !(standard > 0.0 && standard.is_finite()) || digits == 0 {
        return None;
    }
    // u = c·10^l with c a whole number of so many digits. Rounding may carry (0.0996 is 10·10⁻²),
    // so the exponent is taken from the rounded figure.
    let rounded = format!("{standard:.*e}", digits - 1);
    let exponent: i64 = rounded.split('e').nth(1)?.parse().ok()?;
    let l = exponent - i64::try_from(digits - 1).ok()?;
    // δ = ½·10^l
    format!("5e{}", l - 1).parse().ok()
}

/// How the two intervals compare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Validation {
    /// d_low, the distance of their lower ends (19).
    pub low: f64,
    /// d_high, the distance of their upper ends (20).
    pub high: f64,
    /// What is allowed for either, δ.
    pub tolerance: f64,
}

impl Validation {
    /// Whether first order is validated: both distances within the tolerance.
    pub fn holds(&self) -> bool {
        self.low <= self.tolerance && self.high <= self.tolerance
    }
}

/// Compares the coverage interval of first order with that of the trials, of the same coverage
/// probability. The trials should be steady to a fifth of the tolerance (8.2). `digits`, usually
/// two or one, are those meant in `standard`, the trials' standard uncertainty. None where
/// [`numerical_tolerance`] gives none.
pub fn validate(
    first_order: Interval,
    trials: Interval,
    standard: f64,
    digits: usize,
) -> Option<Validation> {
    let tolerance = numerical_tolerance(standard, digits)?;
    Some(Validation {
        // d_low = |y − U_p − y_low|,  d_high = |y + U_p − y_high|
        low: (first_order.low - trials.low).abs(),
        high: (first_order.high - trials.high).abs(),
        tolerance,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tolerances_as_the_clause_works_them_out() {
        // JCGM 101:2008, 7.9.2 Examples 1 to 3, then 9.2.2.7, 9.2.4 and 9.3.2.6.
        let rows = [
            (0.000_35, 2, 0.000_005),
            (0.000_35, 1, 0.000_05),
            (2.0, 1, 0.5),
            (2.0, 2, 0.05),
            (10.1, 2, 0.5),
            (10.1, 1, 5.0),
            (0.0754, 1, 0.005),
            // Rounds to 0.10: the last of two digits is a hundredth.
            (0.0996, 2, 0.005),
        ];
        for (u, digits, want) in rows {
            let got = numerical_tolerance(u, digits).unwrap();
            // The same decimal read twice: equal but for the last bit.
            assert!((got - want).abs() < 1e-12 * want, "{u} {digits}: {got}");
        }
    }

    #[test]
    fn no_uncertainty_has_no_tolerance() {
        for u in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(numerical_tolerance(u, 2).is_none());
        }
        assert!(numerical_tolerance(1.0, 0).is_none());
        let same = Interval::about(0.0, 1.0);
        assert!(validate(same, same, 0.0, 2).is_none());
        assert!(validate(same, same, 0.5, 2).unwrap().holds());
    }
}
