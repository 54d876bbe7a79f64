//! How far a step of Newton's method is taken.
//!
//! No row moves further than a limit. A share `k` of a step `Δ` is taken if the simplified correction after it
//! is shorter than `(1 − k/4)` times `Δ`. This natural test does not depend on how the currents are scaled
//! (P. Deuflhard, "Newton Methods for Nonlinear Problems", 2004, section 2.1; from memory).

use nalgebra::DVector;

use crate::reduced::Problem;

/// Largest change of a row in one step, in volts.
pub(crate) const LARGEST_STEP: f64 = 100.0;

/// The share of a step of this length in volts that is left when no row moves too far.
pub(crate) fn share_within(length: f64) -> f64 {
    (LARGEST_STEP / length).min(1.0)
}

/// The same where no junction may move too far either.
pub(crate) fn limited_share(problem: &Problem<'_>, x: &DVector<f64>, step: &DVector<f64>) -> f64 {
    let share = share_within(problem.norm(step));
    share.min(problem.junction_share(x, &(step * share)) * share)
}

/// Whether a share of a step of this length passes the natural test, `left` being the length of the simplified
/// correction after it; all in volts.
pub(crate) fn passes(left: f64, share: f64, length: f64) -> bool {
    left <= (1.0 - share / 4.0) * length
}
