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

use nalgebra::{DMatrix, DVector};
use solver::ParameterId;

use crate::covariance::Covariance;
use crate::error::DiagnoseError;
use crate::row::Row;

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

/// How well readings and drawn circuit agree as a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Agreement {
    /// `rᵀS⁻¹r`: about as large as the number of readings where parts are within tolerance.
    pub chi_squared: f64,
    /// How many readings.
    pub readings: usize,
}

/// Readings fitted together.
pub(crate) struct Fit<'r> {
    rows: Vec<&'r Row>,
    covariance: Covariance,
    residuals: DVector<f64>,
    /// `S⁻¹ r`
    weighted: DVector<f64>,
}

impl<'r> Fit<'r> {
    pub(crate) fn new(rows: Vec<&'r Row>) -> Result<Self, DiagnoseError> {
        let n = rows.len();
        let mut matrix = DMatrix::zeros(n, n);
        for i in 0..n {
            for j in 0..=i {
                let shared = rows[i].shared(rows[j]);
                matrix[(i, j)] = shared;
                matrix[(j, i)] = shared;
            }
            matrix[(i, i)] += rows[i].noise;
        }
        let covariance = Covariance::new(&matrix)?;
        let residuals = DVector::from_iterator(n, rows.iter().map(|row| row.residual()));
        Ok(Fit {
            weighted: &covariance.inverse * &residuals,
            rows,
            covariance,
            residuals,
        })
    }

    /// What all other readings say of one of them, by its place:
    /// `v_k − [S⁻¹r]_k/[S⁻¹]_kk`, with the standard deviation `1/√[S⁻¹]_kk`.
    pub(crate) fn without(&self, k: usize) -> Prediction {
        let own = self.covariance.inverse[(k, k)];
        Prediction {
            volts: self.rows[k].printed.value - self.weighted[k] / own,
            standard: 1.0 / own.sqrt(),
        }
    }

    /// What the readings say of one that is not among them:
    /// `f + sᵀS⁻¹r` with variance `h P hᵀ + w − sᵀS⁻¹s`, `s` its covariance with them.
    pub(crate) fn predict(&self, row: &Row) -> Prediction {
        let shared =
            DVector::from_iterator(self.rows.len(), self.rows.iter().map(|r| r.shared(row)));
        let learnt = shared.dot(&(&self.covariance.inverse * &shared));
        // Rounding may leave a hair below zero of what the readings settle wholly.
        let open = (row.shared(row) - learnt).max(0.0);
        Prediction {
            volts: row.model + shared.dot(&self.weighted),
            standard: (open + row.noise).sqrt(),
        }
    }

    /// `rᵀS⁻¹r` and the number of readings.
    pub(crate) fn agreement(&self) -> Agreement {
        Agreement {
            chi_squared: self.residuals.dot(&self.weighted),
            readings: self.rows.len(),
        }
    }

    /// `−½ rᵀS⁻¹r − ½ log|S| − ½ n log 2π`
    pub(crate) fn log_likelihood(&self) -> f64 {
        let n = self.rows.len() as f64;
        let log_tau = std::f64::consts::TAU.ln();
        -0.5 * (self.agreement().chi_squared + self.covariance.log_determinant + n * log_tau)
    }

    /// `θ̂ − θ₀ = P Hᵀ S⁻¹ r`, with what remains open, `P − P Hᵀ S⁻¹ H P`, for the numbers in the
    /// order of the rows' slopes.
    pub(crate) fn most_likely(&self, numbers: &[(ParameterId, f64)]) -> Vec<LikelyNumber> {
        let of = |(place, (id, standard)): (usize, &(ParameterId, f64))| {
            let slopes = self.rows.iter().map(|row| row.slopes.get(place));
            let column = slopes.map(|slope| slope.copied().unwrap_or(0.0));
            let column = DVector::from_iterator(self.rows.len(), column);
            let sigmas = column.dot(&self.weighted);
            let learnt = column.dot(&(&self.covariance.inverse * &column));
            LikelyNumber {
                id: *id,
                change: sigmas * standard,
                standard: standard * (1.0 - learnt).max(0.0).sqrt(),
                sigmas,
            }
        };
        numbers.iter().enumerate().map(of).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::row::Printed;

    fn row(residual: f64, slopes: &[f64], noise: f64) -> Row {
        Row {
            printed: Printed {
                value: 10.0 + residual,
                resolution: 0.1,
            },
            model: 10.0,
            slopes: slopes.to_vec(),
            noise,
        }
    }

    /// 1e-12: a few dozen operations on numbers below 100.
    const ROUNDING: f64 = 1e-12;

    #[test]
    fn two_readings_of_one_number_by_hand() {
        // One number, σ = 1, read as θ + 1.2 and θ + 0.4 with variances 0.5 and 1:
        // S = [1.5 1; 1 2], |S| = 2, S⁻¹ = [1 −0.5; −0.5 0.75], S⁻¹r = [1, −0.3].
        // Weighted mean with the prior's 0 of weight 1: (2·1.2 + 1·0.4)/(1 + 2 + 1) = 0.7.
        let rows = [row(1.2, &[1.0], 0.5), row(0.4, &[1.0], 1.0)];
        let fit = Fit::new(rows.iter().collect()).unwrap();
        let id = ParameterId {
            part: circuit::PartId(0),
            parameter: circuit::PartParameter::Volts,
        };
        let likely = fit.most_likely(&[(id, 3.0)])[0];
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
        let all = Fit::new(rows.iter().collect()).unwrap();
        for k in 0..rows.len() {
            let others = rows.iter().enumerate().filter(|(j, _)| *j != k);
            let rest = Fit::new(others.map(|(_, row)| row).collect()).unwrap();
            let (formula, refitted) = (all.without(k), rest.predict(&rows[k]));
            assert!((formula.volts - refitted.volts).abs() < ROUNDING);
            assert!((formula.standard - refitted.standard).abs() < ROUNDING);
            // Leaving a reading out lowers rᵀS⁻¹r by the square of its own deviation.
            let drop = all.agreement().chi_squared - rest.agreement().chi_squared;
            let z = formula.sigmas(rows[k].printed.value);
            assert!((drop - z * z).abs() < ROUNDING * 100.0);
        }
    }

    #[test]
    fn with_no_other_reading_the_parts_alone_predict() {
        let lone = row(3.0, &[2.0], 0.25);
        let prediction = Fit::new(Vec::new()).unwrap().predict(&lone);
        assert!((prediction.volts - 10.0).abs() < ROUNDING);
        assert!((prediction.standard - 4.25f64.sqrt()).abs() < ROUNDING);
    }
}
