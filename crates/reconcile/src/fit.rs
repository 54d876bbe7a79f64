//! Readings and parts combined by generalised least squares.
//!
//! With `r = v − f(θ₀)`, `H = ∂f/∂θ`, `P` the prior covariance of the parts' numbers and `W` that
//! of the readings themselves,
//!
//! ```text
//! S = H P Hᵀ + W        θ̂ = θ₀ + P Hᵀ S⁻¹ r
//! ```
//!
//! (A. C. Aitken, "On least squares and linear combination of observations", Proc. Royal Soc.
//! Edinburgh 55, 1936; from memory.) Rows come in with `H √P` already formed. Where they come
//! from is not known here.

#[cfg(test)]
mod by_hand;
#[cfg(test)]
mod textbook;

use circuit::PartSpread;
use nalgebra::{DMatrix, DVector};
use solver::ParameterId;

use crate::agreement::Agreement;
use crate::covariance::Covariance;
use crate::discrepancy::Discrepancies;
use crate::error::ReconcileError;
use crate::excluded::Excluded;
use crate::jacobian::ScaledJacobian;
use crate::observation::{Common, Observation};
use crate::prediction::{NoiselessPrediction, Prediction};

/// A number of the circuit as the whole table makes it likely.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LikelyNumber {
    /// The number.
    pub id: ParameterId,
    /// Most likely change from what is written, in the number's own unit.
    pub change: f64,
    /// Standard deviation of what remains open about it, in the same unit.
    pub standard: f64,
    /// The change in standard deviations of what was known of it before.
    pub sigmas: f64,
}

/// Readings fitted together, some of which may be left out.
#[derive(Clone, Debug)]
pub(crate) struct Fit {
    /// Printed values in volts.
    pub(crate) values: DVector<f64>,
    /// `r`
    pub(crate) residuals: DVector<f64>,
    /// `w`
    pub(crate) noise: DVector<f64>,
    /// `S` of all readings, left out or not, one row and one column for each.
    pub(crate) matrix: DMatrix<f64>,
    pub(crate) kept: Vec<bool>,
    /// `S⁻¹` of those kept; nothing where one is left out.
    pub(crate) inverse: DMatrix<f64>,
    /// `S⁻¹ r`
    pub(crate) weighted: DVector<f64>,
    /// `log|S|`
    pub(crate) log_determinant: f64,
    /// `S⁻¹S`, the first factor of the readings kept and the second of all (one row and one column for
    /// each reading), while many exchanges are evaluated.
    pub(crate) all_weights: Option<DMatrix<f64>>,
}

impl Fit {
    /// Of all these rows.
    ///
    /// # Errors
    /// [`ReconcileError`] if their covariance cannot be inverted.
    pub(crate) fn new(
        rows: &[&Observation],
        jacobian: &ScaledJacobian,
    ) -> Result<Self, ReconcileError> {
        Self::of(rows, jacobian, vec![true; rows.len()])
    }

    /// Of those rows that are kept.
    ///
    /// # Errors
    /// As [`Fit::new`].
    pub(crate) fn of(
        rows: &[&Observation],
        jacobian: &ScaledJacobian,
        kept: Vec<bool>,
    ) -> Result<Self, ReconcileError> {
        let mut fit = Self::unfitted(rows, jacobian, kept);
        fit.refit()?;
        Ok(fit)
    }

    fn unfitted(rows: &[&Observation], jacobian: &ScaledJacobian, kept: Vec<bool>) -> Self {
        let n = rows.len();
        let of = |number: fn(&Observation) -> f64| DVector::from_fn(n, |k, _| number(rows[k]));
        let noise = of(|row| row.noise);
        let mut matrix = jacobian.own();
        for (k, noise) in noise.iter().enumerate() {
            matrix[(k, k)] += noise;
        }
        add_common(&mut matrix, rows);
        Fit {
            values: of(|row| row.printed.value),
            residuals: of(Observation::residual),
            matrix,
            noise,
            kept,
            inverse: DMatrix::zeros(n, n),
            weighted: DVector::zeros(n),
            log_determinant: 0.0,
            all_weights: None,
        }
    }

    /// Of all these rows, with what the drawing lacks at their ports.
    ///
    /// # Errors
    /// As [`Fit::new`].
    pub(crate) fn discrepant(
        rows: &[&Observation],
        jacobian: &ScaledJacobian,
        discrepancies: &Discrepancies,
    ) -> Result<Self, ReconcileError> {
        let mut fit = Self::unfitted(rows, jacobian, vec![true; rows.len()]);
        discrepancies.add_to(&mut fit.matrix);
        fit.refit()?;
        Ok(fit)
    }

    /// Inverts the covariance of those kept anew.
    ///
    /// # Errors
    /// As [`Fit::new`].
    pub(crate) fn refit(&mut self) -> Result<(), ReconcileError> {
        let kept: Vec<usize> = (0..self.kept.len()).filter(|k| self.kept[*k]).collect();
        let covariance = if kept.len() == self.kept.len() {
            Covariance::new(&self.matrix)?
        } else {
            let matrix = self.matrix.select_columns(&kept).select_rows(&kept);
            let some = Covariance::new(&matrix)?;
            let mut inverse = DMatrix::zeros(self.kept.len(), self.kept.len());
            for (column, j) in kept.iter().enumerate() {
                for (row, i) in kept.iter().enumerate() {
                    inverse[(*i, *j)] = some.inverse[(row, column)];
                }
            }
            Covariance { inverse, ..some }
        };
        self.inverse = covariance.inverse;
        self.weighted = &self.inverse * &self.residuals;
        self.log_determinant = covariance.log_determinant;
        Ok(())
    }

    /// Keeps those readings and no others, and gets ready to try many of the others.
    ///
    /// # Errors
    /// As [`Fit::new`].
    pub(crate) fn keep(&mut self, kept: Vec<bool>) -> Result<(), ReconcileError> {
        self.kept = kept;
        self.refit()?;
        self.all_weights = Some(&self.inverse * &self.matrix);
        Ok(())
    }

    /// How many readings, left out or not.
    pub(crate) fn len(&self) -> usize {
        self.kept.len()
    }

    /// Every reading's distance from what the others say, in standard deviations; 0 for those left
    /// out.
    pub(crate) fn sigmas(&self) -> Vec<f64> {
        sigmas(&self.kept, &self.inverse.diagonal(), &self.weighted)
    }

    /// Prediction of one reading from all others, by its place. For one of them that is
    /// `v_k − [S⁻¹r]_k/[S⁻¹]_kk`, with the standard deviation `1/√[S⁻¹]_kk`.
    pub(crate) fn without(&self, k: usize) -> Prediction {
        if self.kept[k] {
            let own = self.inverse[(k, k)];
            return Prediction {
                volts: self.values[k] - self.weighted[k] / own,
                standard: 1.0 / own.sqrt(),
            };
        }
        self.predicted(k, &self.excluded(k))
    }

    /// The same of an excluded reading.
    pub(crate) fn predicted(&self, k: usize, excluded: &Excluded) -> Prediction {
        Prediction {
            volts: self.values[k] - excluded.innovation,
            standard: excluded.open.sqrt(),
        }
    }

    /// What the readings, whose `jacobian` come along, say of any others: `f + sᵀS⁻¹r`, and the
    /// variance that the parts leave open, `h P hᵀ − sᵀS⁻¹s`.
    pub(crate) fn predictions(
        &self,
        jacobian: &ScaledJacobian,
        rows: &[&Observation],
    ) -> Vec<NoiselessPrediction> {
        let shared = jacobian.shared(rows);
        let all_weights = &self.inverse * &shared;
        let of = |(k, row): (usize, &&Observation)| NoiselessPrediction {
            volts: row.model + shared.column(k).dot(&self.weighted),
            open: (row.own() - shared.column(k).dot(&all_weights.column(k))).max(0.0),
        };
        rows.iter().enumerate().map(of).collect()
    }

    /// `rᵀS⁻¹r` and the number of readings.
    pub(crate) fn agreement(&self) -> Agreement {
        Agreement {
            chi_squared: self.residuals.dot(&self.weighted),
            readings: self.kept.iter().filter(|kept| **kept).count(),
        }
    }

    /// `−½ rᵀS⁻¹r − ½ log|S| − ½ n log 2π`
    pub(crate) fn log_likelihood(&self) -> f64 {
        let agreement = self.agreement();
        let height = self.log_determinant + agreement.readings as f64 * std::f64::consts::TAU.ln();
        -0.5 * (agreement.chi_squared + height)
    }

    /// `θ̂ − θ₀ = P Hᵀ S⁻¹ r`, with what remains open, `P − P Hᵀ S⁻¹ H P`, for the numbers in the
    /// order of the rows' slopes.
    pub(crate) fn most_likely(
        &self,
        jacobian: &ScaledJacobian,
        numbers: &[(ParameterId, PartSpread)],
    ) -> Vec<LikelyNumber> {
        let sigmas = jacobian.times(&self.weighted);
        let learnt = jacobian.squares(&self.inverse);
        // A number on which no reading depends is beyond the end.
        let of = sigmas
            .iter()
            .zip(&learnt)
            .chain(std::iter::repeat((&0.0, &0.0)));
        let likely = numbers.iter().zip(of);
        likely
            .map(|((id, spread), (sigmas, learnt))| LikelyNumber {
                id: *id,
                change: spread.change(*sigmas),
                standard: spread.slope(*sigmas) * (1.0 - learnt).max(0.0).sqrt(),
                sigmas: *sigmas,
            })
            .collect()
    }
}

/// [`Fit::sigmas`] from the diagonal of `S⁻¹` and `S⁻¹r`.
pub(crate) fn sigmas(kept: &[bool], own: &DVector<f64>, weighted: &DVector<f64>) -> Vec<f64> {
    let sigma = |k: usize| match kept[k] {
        true => (weighted[k] / own[k].sqrt()).abs(),
        false => 0.0,
    };
    (0..kept.len()).map(sigma).collect()
}

/// Adds what readings of one range have in common by their meter.
fn add_common(matrix: &mut DMatrix<f64>, rows: &[&Observation]) {
    let common: Vec<(usize, Common)> = rows
        .iter()
        .enumerate()
        .filter_map(|(place, row)| Some((place, row.common?)))
        .collect();
    for (i, one) in &common {
        for (j, other) in common.iter().filter(|(_, own)| own.range == one.range) {
            matrix[(*i, *j)] += one.volts * other.volts;
        }
    }
}
