//! Readings and parts brought together by generalised least squares.
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
mod textbook;

use circuit::PartSpread;
use nalgebra::{DMatrix, DVector};
use solver::ParameterId;

use crate::agreement::Agreement;
use crate::covariance::Covariance;
use crate::discrepancy::Discrepancies;
use crate::error::ReconcileError;
use crate::jacobian::ScaledJacobian;
use crate::observation::{Common, Observation};

/// What other readings and the parts say a reading should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// Volts.
    pub volts: f64,
    /// Standard deviation, in volts, of the difference between a printed value and this: of what
    /// the parts leave open, the rounding and the meter.
    pub standard: f64,
}

impl Prediction {
    /// A value's distance from it, in standard deviations.
    pub fn sigmas(&self, value: f64) -> f64 {
        (value - self.volts) / self.standard
    }
}

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
    /// `S` of all readings, left out or not.
    pub(crate) matrix: DMatrix<f64>,
    pub(crate) kept: Vec<bool>,
    /// `S⁻¹` of those kept; nothing where one is left out.
    pub(crate) inverse: DMatrix<f64>,
    /// `S⁻¹ r`
    pub(crate) weighted: DVector<f64>,
    /// `log|S|`
    pub(crate) log_determinant: f64,
    /// `S⁻¹S` with the first of those kept and the second of all, while many others are tried.
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
        let mut matrix = jacobian.own() + DMatrix::from_diagonal(&noise);
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
        let own = self.inverse.diagonal();
        let sigma = |k: usize| match self.kept[k] {
            true => (self.weighted[k] / own[k].sqrt()).abs(),
            false => 0.0,
        };
        (0..self.len()).map(sigma).collect()
    }

    /// What all other readings say of one, by its place. For one of them that is
    /// `v_k − [S⁻¹r]_k/[S⁻¹]_kk`, with the standard deviation `1/√[S⁻¹]_kk`.
    pub(crate) fn without(&self, k: usize) -> Prediction {
        if self.kept[k] {
            let own = self.inverse[(k, k)];
            return Prediction {
                volts: self.values[k] - self.weighted[k] / own,
                standard: 1.0 / own.sqrt(),
            };
        }
        let excluded = self.excluded(k);
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
        // A number that none of the readings follows stands behind the end.
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

/// What the readings say of one that is not among them, before it is printed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct NoiselessPrediction {
    /// Volts.
    volts: f64,
    /// Variance in V² that the parts leave open.
    open: f64,
}

impl NoiselessPrediction {
    /// With the variance of its own rounding and meter, in V².
    pub(crate) fn read_with(&self, noise: f64) -> Prediction {
        Prediction {
            volts: self.volts,
            standard: (self.open + noise).sqrt(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observation::Printed;
    use circuit::{SpreadBasis, SpreadScale};

    fn row(residual: f64, jacobian: &[f64], noise: f64) -> Observation {
        Observation {
            printed: Printed {
                value: 10.0 + residual,
                resolution: 0.1,
            },
            model: 10.0,
            ohms: 0.0,
            jacobian: jacobian.to_vec(),
            noise,
            common: None,
        }
    }

    fn fitted(rows: &[Observation]) -> (Fit, ScaledJacobian) {
        let rows: Vec<&Observation> = rows.iter().collect();
        let jacobian = ScaledJacobian::of(&rows);
        (Fit::new(&rows, &jacobian).unwrap(), jacobian)
    }

    /// 1e-12: a few dozen operations on numbers below 100.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn two_readings_of_one_number_by_hand() {
        // One number, σ = 1, read as θ + 1.2 and θ + 0.4 with variances 0.5 and 1:
        // S = [1.5 1; 1 2], |S| = 2, S⁻¹ = [1 −0.5; −0.5 0.75], S⁻¹r = [1, −0.3].
        // Weighted mean with the prior's 0 of weight 1: (2·1.2 + 1·0.4)/(1 + 2 + 1) = 0.7.
        let rows = [row(1.2, &[1.0], 0.5), row(0.4, &[1.0], 1.0)];
        let (fit, jacobian) = fitted(&rows);
        let id = ParameterId {
            part: circuit::PartId(0),
            parameter: circuit::PartParameter::Volts,
        };
        let spread = PartSpread {
            nominal: 0.0,
            half_width: 3.0 * 3f64.sqrt(),
            scale: SpreadScale::Volts,
            basis: SpreadBasis::Stated,
            what: "",
        };
        let likely = fit.most_likely(&jacobian, &[(id, spread)])[0];
        assert!((likely.sigmas - 0.7).abs() < ROUNDING);
        // In the number's unit three times that; variance 1/(1 + 2 + 1) of the prior's 9.
        assert!((likely.change - 2.1).abs() < ROUNDING);
        assert!((likely.standard - 1.5).abs() < ROUNDING);
        // The second alone gives 0.2 with variance 0.5; the first is read with 0.5 more.
        let first = fit.without(0);
        assert!((first.volts - 10.2).abs() < ROUNDING);
        assert!((first.standard - 1.0).abs() < ROUNDING);
        assert!((first.sigmas(11.2) - 1.0).abs() < ROUNDING);
        // −½(1.2·1 − 0.4·0.3) − ½ ln 2 − ln 2π
        let want = -0.54 - 0.5 * 2f64.ln() - std::f64::consts::TAU.ln();
        assert!((fit.log_likelihood() - want).abs() < ROUNDING);
    }

    #[test]
    fn leaving_one_out_by_formula_is_leaving_it_out() {
        let rows = [
            row(1.0, &[1.0, 0.5, 0.0], 0.2),
            row(-2.0, &[0.3, -1.0, 2.0], 0.1),
            row(0.4, &[0.0, 0.7, 1.1], 0.3),
            // A number that the others had not met.
            row(3.0, &[0.9, 0.0, 0.2, 0.8], 0.05),
        ];
        let (all, _) = fitted(&rows);
        for k in 0..rows.len() {
            let others = rows.iter().enumerate().filter(|(j, _)| *j != k);
            let others: Vec<Observation> = others.map(|(_, row)| row.clone()).collect();
            let (rest, jacobian) = fitted(&others);
            let prediction = rest.predictions(&jacobian, &[&rows[k]])[0];
            let refitted = prediction.read_with(rows[k].noise);
            let mut left = all.clone();
            left.leave_out(k);
            for formula in [all.without(k), left.without(k)] {
                assert!((formula.volts - refitted.volts).abs() < ROUNDING);
                assert!((formula.standard - refitted.standard).abs() < ROUNDING);
            }
            assert!((left.log_likelihood() - rest.log_likelihood()).abs() < ROUNDING * 100.0);
            // Leaving a reading out lowers rᵀS⁻¹r by the square of its own deviation.
            let drop = all.agreement().chi_squared - rest.agreement().chi_squared;
            let z = all.without(k).sigmas(rows[k].printed.value);
            assert!((drop - z * z).abs() < ROUNDING * 100.0);
            // Taken in again it stands where it stood.
            let excluded = left.excluded(k);
            let with = left.sigmas_with(k, &excluded);
            left.take_in(k, &excluded);
            for ((before, again), with) in all.sigmas().iter().zip(left.sigmas()).zip(with) {
                assert!((before - again).abs() < ROUNDING * 100.0);
                assert!((before - with).abs() < ROUNDING * 100.0);
            }
            assert!((left.log_likelihood() - all.log_likelihood()).abs() < ROUNDING * 100.0);
        }
    }

    #[test]
    fn with_no_other_reading_the_parts_alone_predict() {
        let lone = row(3.0, &[2.0], 0.25);
        let (nothing, jacobian) = fitted(&[]);
        let prediction = nothing.predictions(&jacobian, &[&lone])[0].read_with(lone.noise);
        assert!((prediction.volts - 10.0).abs() < ROUNDING);
        assert!((prediction.standard - 4.25f64.sqrt()).abs() < ROUNDING);
    }
}
