//! Why points could not be made into a characteristic.

use thiserror::Error;

/// A refusal to fit.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FitError {
    /// Fewer numbers than the section needs.
    #[error("{found} numbers to fit, at least {needed} needed")]
    TooFewNumbers {
        /// Numbers of the sheet that can be fitted.
        found: usize,
        /// The least that will do.
        needed: usize,
    },
    /// No operating point tells what the fit has to start from.
    #[error("no operating point gives {missing}")]
    NoOperatingPoint {
        /// What is missing.
        missing: &'static str,
    },
    /// A number of the sheet cannot be what it is.
    #[error("point {point}: {quantity} cannot be {value}")]
    BadNumber {
        /// The point, counted from 1.
        point: usize,
        /// Which number.
        quantity: &'static str,
        /// The number.
        value: f64,
    },
    /// An amplification factor or its spread is not a positive number.
    #[error("amplification factor {value} within a fraction of {spread} cannot be expected")]
    BadExpectation {
        /// The factor.
        value: f64,
        /// Its spread.
        spread: f64,
    },
    /// The minimum was not reached.
    #[error("not settled after {iterations} steps, chi-squared {chi_squared}")]
    NotSettled {
        /// Steps made.
        iterations: usize,
        /// Sum of squared deviates at the end.
        chi_squared: f64,
    },
    /// The search could not evaluate the law, or could not begin.
    #[error("the search failed with {numbers} numbers and {parameters} parameters")]
    SearchFailed {
        /// Deviates to be made small.
        numbers: usize,
        /// Parameters to be found.
        parameters: usize,
    },
    /// The best fit lies outside of what a tube can be.
    #[error("{parameter} ran to its bound {value}")]
    AtBound {
        /// The parameter.
        parameter: &'static str,
        /// The bound.
        value: f64,
    },
    /// The best fit does not meet the points.
    #[error("root-mean-square deviate {rms} of the points, more than {allowed}")]
    PoorFit {
        /// Root mean square of the deviates, in units of their spreads.
        rms: f64,
        /// The most that is accepted.
        allowed: f64,
    },
}
