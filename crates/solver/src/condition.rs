//! How many digits of a reading arithmetic leaves.
//!
//! Every number of the circuit is stored with a relative error of up to `ε = 2⁻⁵³`, and every
//! arithmetic step rounds by as much. The effect on a reading `y` follows from its derivatives by the
//! numbers:
//!
//! ```text
//! κ = Σ |θ ∂y/∂θ| / |y|        digits = −log₁₀ ε − log₁₀ κ
//! ```
//!
//! (J. R. Rice, "A theory of condition", SIAM J. Numerical Analysis 3, 1966, 287-310; from memory). The sum
//! bounds the effect of rounded numbers. Elimination adds about the same error once more, because it
//! never subtracts ([`crate::star_mesh`]).

use circuit::{Circuit, Conditions};

use crate::error::SolveError;
use crate::numbers::Sensitivities;

/// Digits of a double: `−log₁₀ 2⁻⁵³`.
const DIGITS_HELD: f64 = 15.95;

/// A reading with fewer digits left is no answer: a pointer shows three.
const LEAST_DIGITS: f64 = 3.0;

/// No meter shows less than this share of the largest source. A reading that is 0 V by symmetry has
/// no digits of its own; it is correct if it is within this share.
const NEXT_TO_NOTHING: f64 = 1e-6;

/// What rounding does to a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Condition {
    /// `Σ |θ ∂y/∂θ|` in volts.
    sum: f64,
    /// The volts from which its digits are counted.
    beside: f64,
}

impl Condition {
    /// The condition of a reading of `volts`, from its sensitivity to each number of the circuit.
    pub fn of(
        circuit: &Circuit,
        conditions: &Conditions,
        volts: f64,
        sensitivities: &Sensitivities,
    ) -> Condition {
        let each = sensitivities
            .values
            .iter()
            .zip(&sensitivities.numbers.sizes);
        let each = each.map(|(value, size)| (value * size).abs());
        let supplies = circuit.parts().iter().filter_map(|part| part.kind.supply());
        let sources = supplies.map(|supply| supply.volts.abs());
        let largest = sources.fold(0.0, f64::max) * conditions.line_factor.max(1.0);
        Condition::new(each.sum(), volts, largest)
    }

    fn new(sum: f64, volts: f64, largest_source: f64) -> Self {
        Condition {
            sum,
            beside: volts.abs().max(NEXT_TO_NOTHING * largest_source),
        }
    }

    /// Decimal digits of the reading that arithmetic leaves; none of one that is no number.
    pub fn digits(&self) -> f64 {
        if self.sum == 0.0 {
            return DIGITS_HELD;
        }
        let digits = DIGITS_HELD - (self.sum / self.beside).log10();
        if digits.is_nan() {
            return 0.0;
        }
        digits.clamp(0.0, DIGITS_HELD)
    }

    /// Refuses a reading that has no digits left.
    ///
    /// # Errors
    /// [`SolveError::NoDigits`] with how many there are.
    pub fn enough(&self) -> Result<(), SolveError> {
        let digits = self.digits();
        if digits < LEAST_DIGITS {
            return Err(SolveError::NoDigits { digits });
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_counted_from_the_reading_or_from_what_is_next_to_nothing() {
        // A divider by two: Σ = |y| + ½|y| + ½|y|, so a factor of 2.
        let divider = Condition::new(10.0, 5.0, 10.0);
        assert!((divider.digits() - (DIGITS_HELD - 2f64.log10())).abs() < 1e-12);
        // A bridge in balance: four arms of V/4 each and 0 V. Digits from a millionth of V.
        let bridge = Condition::new(10.0, 0.0, 10.0);
        assert!((bridge.digits() - (DIGITS_HELD - 6.0)).abs() < 1e-12);
        assert_eq!(bridge.enough(), Ok(()));
        // Nothing that counts is rounded.
        assert!((Condition::new(0.0, 0.0, 0.0).digits() - DIGITS_HELD).abs() < 1e-12);
    }

    #[test]
    fn a_reading_without_digits_is_refused_and_says_so() {
        // Rounding of 1e14 V beside 1 V, and of no number.
        let lost = Condition::new(1e14, 1.0, 300.0);
        let Err(SolveError::NoDigits { digits }) = lost.enough() else {
            panic!("{lost:?}");
        };
        assert!((digits - (DIGITS_HELD - 14.0)).abs() < 1e-12);
        for sum in [f64::NAN, f64::INFINITY] {
            assert!(Condition::new(sum, 1.0, 300.0).enough().is_err());
        }
        // One digit above the least.
        assert!(Condition::new(1e11, 1.0, 300.0).enough().is_ok());
    }
}
