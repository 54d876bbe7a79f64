//! How large the discrepancies are, and which numbers lie beyond their tolerances: estimated from the table in
//! rounds with the same tangents.

use super::{Descent, MOST_STEPS, SETTLED, STRAIGHT};
use crate::error::ReconcileError;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;

/// Rounds in which sizes and probabilities of discrepancies are brought to agree.
pub(crate) const ROUNDS: usize = 3;

/// A larger table gets one round for each step, and the others at the minimum; each costs the cube of
/// the number of rows.
const MANY_ROWS: usize = 400;

/// How many rounds a table of so many rows is given.
pub(crate) fn rounds(rows: usize) -> usize {
    if rows > MANY_ROWS {
        1
    } else {
        ROUNDS
    }
}

impl Descent<'_> {
    /// The fit by the tangents, with discrepancies as large as the table says.
    pub(crate) fn fitted(&mut self) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        self.discrepancies.seen(&self.rows);
        let fitted = self.fit()?;
        self.learned(fitted, self.rounds)
    }

    /// A fit after some rounds that estimate those sizes from the table.
    pub(super) fn learned(
        &mut self,
        mut fitted: (Fit, ScaledJacobian),
        rounds: usize,
    ) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        for _ in 0..rounds {
            let (fit, mut jacobian) = fitted;
            self.discrepancies.learn(&fit.inverse, &fit.weighted);
            let ratios = self.prior.learn(&jacobian, &fit);
            parallel::map(&mut self.rows, |row| {
                for (slope, ratio) in row.jacobian.iter_mut().zip(&ratios) {
                    *slope *= ratio;
                }
            });
            jacobian.scale(&ratios);
            fitted = self.fit_by(jacobian)?;
        }
        Ok(fitted)
    }

    /// Fits it at its start, ready for [`Descent::lacking_by_the_others`] and for [`Descent::run`].
    ///
    /// # Errors
    /// [`ReconcileError`] if the covariance of the readings cannot be inverted.
    pub(crate) fn started(mut self) -> Result<Self, ReconcileError> {
        self.start = Some(self.fitted()?);
        Ok(self)
    }

    /// For each row the sizes that the discrepancy of its port may have, with their probabilities
    /// estimated from the other ports; of no row before it is started.
    pub(crate) fn lacking_by_the_others(&self) -> Vec<Vec<(f64, f64)>> {
        let start = self.start.as_ref();
        start.map_or(Vec::new(), |(fit, _)| {
            self.discrepancies
                .by_the_others(&fit.inverse, &fit.weighted)
        })
    }

    /// A fit after as many rounds of [`Descent::learned`] as change the most likely numbers, as far as the
    /// tangents hold: such a round costs less than to compute the readings again. `curvature` is the error of
    /// the tangents at a distance of one standard deviation.
    pub(super) fn settled(
        &mut self,
        mut fitted: (Fit, ScaledJacobian),
        curvature: f64,
    ) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        let place = self.place();
        let mut aim = self.aim(&fitted.0, &fitted.1);
        for _ in 0..MOST_STEPS * self.rounds {
            if curvature * place.farthest(&aim, self).powi(2) > STRAIGHT {
                break;
            }
            let widths = self.widths();
            fitted = self.learned(fitted, 1)?;
            aim = aim.in_widths(&widths, &self.widths());
            let next = self.aim(&fitted.0, &fitted.1);
            let moved = aim.farthest(&next, self);
            aim = next;
            if moved < SETTLED / 3.0 {
                break;
            }
        }
        Ok(fitted)
    }

    /// How many times its tolerance each number is spread.
    pub(super) fn widths(&self) -> Vec<f64> {
        let places = 0..self.prior.numbers.len();
        places.map(|place| self.prior.width(place)).collect()
    }
}
