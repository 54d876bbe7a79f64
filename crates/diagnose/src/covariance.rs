//! The covariance matrix of a set of readings, inverted once.
//!
//! Scaled to correlations first, so that volts of a cathode and of a plate supply weigh alike,
//! then factored after Cholesky; the inverse is held against the matrix before it is used.

use nalgebra::{DMatrix, DVector};

use crate::error::DiagnoseError;

/// Largest entry of `C·C⁻¹ − 1` that is put up with: a residual is then good to a millionth of
/// its own standard deviation, and no decision here looks closer than a hundredth.
const MOST_RESIDUAL: f64 = 1e-6;

/// A covariance matrix `S`, inverted.
#[derive(Clone, Debug)]
pub(crate) struct Covariance {
    /// `S⁻¹`
    pub(crate) inverse: DMatrix<f64>,
    /// `log|S|`
    pub(crate) log_determinant: f64,
}

impl Covariance {
    /// Factors and inverts a symmetric matrix; of no readings at all, the empty one.
    ///
    /// # Errors
    /// [`DiagnoseError::NotPositive`] and [`DiagnoseError::Inexact`].
    pub(crate) fn new(matrix: &DMatrix<f64>) -> Result<Self, DiagnoseError> {
        let readings = matrix.nrows();
        let refused = DiagnoseError::NotPositive { readings };
        let scale = DVector::from_fn(readings, |k, _| matrix[(k, k)].sqrt());
        if !scale.iter().all(|s| *s > 0.0 && s.is_finite()) {
            return Err(refused);
        }
        // S = D·C·D with D the standard deviations and C the correlations
        let correlation = DMatrix::from_fn(readings, readings, |i, j| {
            matrix[(i, j)] / (scale[i] * scale[j])
        });
        let factor = correlation.clone().cholesky().ok_or(refused)?;
        let inverse = factor.inverse();
        let miss = &correlation * &inverse - DMatrix::identity(readings, readings);
        let residual = miss
            .iter()
            .fold(0.0, |most: f64, entry| most.max(entry.abs()));
        if !inverse.iter().all(|entry| entry.is_finite()) || residual > MOST_RESIDUAL {
            return Err(DiagnoseError::Inexact { readings, residual });
        }
        let lower = factor.l_dirty();
        let log_determinant = (0..readings)
            .map(|k| 2.0 * (lower[(k, k)].ln() + scale[k].ln()))
            .sum();
        Ok(Covariance {
            inverse: DMatrix::from_fn(readings, readings, |i, j| {
                inverse[(i, j)] / (scale[i] * scale[j])
            }),
            log_determinant,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_by_two_by_hand() {
        // S = [4 2; 2 9]: |S| = 32, S⁻¹ = [9 −2; −2 4]/32.
        let matrix = DMatrix::from_row_slice(2, 2, &[4.0, 2.0, 2.0, 9.0]);
        let covariance = Covariance::new(&matrix).unwrap();
        let want = [9.0, -2.0, -2.0, 4.0];
        for (got, want) in covariance.inverse.iter().zip(want) {
            // A dozen operations on numbers below 10.
            assert!((got - want / 32.0).abs() < 1e-14, "{got} {want}");
        }
        assert!((covariance.log_determinant - 32f64.ln()).abs() < 1e-13);
    }

    #[test]
    fn what_cannot_be_inverted_is_refused_with_its_size() {
        let readings = 2;
        let negative = DMatrix::from_row_slice(2, 2, &[1.0, 2.0, 2.0, 1.0]);
        let refused = DiagnoseError::NotPositive { readings };
        assert_eq!(Covariance::new(&negative).unwrap_err(), refused);
        let not_a_number = DMatrix::from_row_slice(2, 2, &[f64::NAN, 0.0, 0.0, 1.0]);
        assert_eq!(Covariance::new(&not_a_number).unwrap_err(), refused);
        // Hilbert's matrix of order 12: its condition of some 1e16 leaves no digit right.
        let nearly = DMatrix::from_fn(12, 12, |i, j| 1.0 / (i + j + 1) as f64);
        assert!(Covariance::new(&nearly).is_err());
    }

    #[test]
    fn no_readings_have_a_determinant_of_one() {
        let empty = Covariance::new(&DMatrix::zeros(0, 0)).unwrap();
        assert!(empty.log_determinant.abs() < 1e-300);
    }
}
