//! Why manual and drawing cannot be reconciled.

use solver::SolveError;
use thiserror::Error;

/// A table that cannot be judged, with what to look at.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum ReconcileError {
    /// The circuit has no trustworthy solution under the conditions of some row.
    #[error("the circuit has no trustworthy solution: {0}")]
    Unsolved(#[from] SolveError),
    /// The covariance of the readings cannot be factored: not positive, or not finite.
    #[error("the covariance of {readings} readings is not positive definite")]
    NotPositive {
        /// How many readings.
        readings: usize,
    },
    /// The covariance was factored, but its inverse is too far off to trust.
    #[error(
        "the covariance of {readings} readings is too nearly singular: its inverse misses by \
         {residual:.1e}"
    )]
    Inexact {
        /// How many readings.
        readings: usize,
        /// Largest entry of `C·C⁻¹ − 1`.
        residual: f64,
    },
}
