//! What the readings do not show.
//!
//! What a fault predicts and its likelihood come in; whether it can be told from a set in order goes out. Such faults
//! are gathered with *nothing wrong*.

use nalgebra::DVector;

use crate::suspects::evaluation::{Evaluator, ALIKE, ALIKE_LOG, UNEXPLAINED};

impl Evaluator<'_> {
    /// Whether the readings do not show a fault with these predictions and this logarithm of its likelihood.
    pub(crate) fn hides(&self, predicted: &[f64], log_likelihood: f64) -> bool {
        let order = &self.in_order;
        let both = predicted.iter().zip(&order.predicted);
        let differences: Vec<f64> = both.map(|(now, then)| now - then).collect();
        let mut each = differences.iter().zip(&order.joint.sigma);
        // Δᵀ S⁻¹ Δ is at least the largest of Δ²/S_ii.
        if each.any(|(difference, sigma)| difference.abs() > UNEXPLAINED * sigma) {
            return false;
        }
        let valued = order.joint.valued.iter().map(|place| differences[*place]);
        let valued = DVector::from_iterator(order.joint.valued.len(), valued);
        self.is_unseen(order.joint.chi_squared(&valued), log_likelihood)
    }

    /// Whether the readings do not show a fault whose predictions lie `ΔᵀS⁻¹Δ` from those of a set in order, with this
    /// logarithm of its likelihood: those predictions are alike, or none is further off than a reading may be that
    /// counts as explained, and the readings speak for it by no more than a bare mention.
    pub(crate) fn is_unseen(&self, apart: f64, log_likelihood: f64) -> bool {
        let speaks = log_likelihood - self.in_order.log_likelihood > ALIKE_LOG;
        apart <= ALIKE * ALIKE || (apart <= UNEXPLAINED * UNEXPLAINED && !speaks)
    }
}
