//! The covariance matrix of a set of readings, inverted once.
//!
//! The matrix is scaled to correlations, so that volts of a cathode and of a plate supply have equal
//! weight, then inverted by blocks. The inverse is checked against the matrix before it is used.

use nalgebra::{DMatrix, DVector};

use crate::error::ReconcileError;

/// Largest entry of `C·C⁻¹ − 1` that is accepted: a residual is then accurate to a thousandth of its own
/// standard deviation, and no decision here needs more than a hundredth. Two readings of one place to 10 µV,
/// where volts were expected, miss by some 10⁻⁶.
const MOST_RESIDUAL: f64 = 1e-3;

/// Rows or columns of a matrix that one thread takes at a time.
pub(crate) const BLOCK: usize = 32;

/// A matrix no larger than this is factored after Cholesky. A larger one is halved until it is, for
/// products of matrices run many times as fast as the solving of triangles.
const SMALL: usize = 16;

/// The inverse of a larger matrix is checked with this many vectors instead of the whole product.
const LARGE: usize = 48;

/// See [`LARGE`].
const ASKED: usize = 16;

/// A covariance matrix `S`, inverted.
#[derive(Clone, Debug)]
pub struct Covariance {
    /// `S⁻¹`, one row and one column for each reading.
    pub inverse: DMatrix<f64>,
    /// `log|S|`
    pub log_determinant: f64,
}

impl Covariance {
    /// Factors and inverts a symmetric matrix, one row and one column for each reading; of no readings
    /// at all, the empty one.
    ///
    /// # Errors
    /// [`ReconcileError::NotPositive`] and [`ReconcileError::Inexact`].
    pub fn new(matrix: &DMatrix<f64>) -> Result<Self, ReconcileError> {
        let readings = matrix.nrows();
        let refused = ReconcileError::NotPositive { readings };
        let scale = DVector::from_fn(readings, |k, _| matrix[(k, k)].sqrt());
        if !scale.iter().all(|s| *s > 0.0 && s.is_finite()) {
            return Err(refused);
        }
        // S = D·C·D with D the standard deviations and C the correlations
        let per_scale = scale.map(f64::recip);
        let correlation = scaled(matrix.clone(), &per_scale);
        let (inverse, log_determinant) = inverted(&correlation).ok_or(refused)?;
        let residual = miss(&correlation, &inverse);
        if !inverse.iter().all(|entry| entry.is_finite()) || residual > MOST_RESIDUAL {
            return Err(ReconcileError::Inexact { readings, residual });
        }
        Ok(Covariance {
            inverse: scaled(inverse, &per_scale),
            log_determinant: log_determinant + 2.0 * scale.map(f64::ln).sum(),
        })
    }
}

/// `D A D` with these numbers on the diagonal of `D`.
fn scaled(mut matrix: DMatrix<f64>, by: &DVector<f64>) -> DMatrix<f64> {
    for (mut column, own) in matrix.column_iter_mut().zip(by.iter()) {
        column.component_mul_assign(by);
        column *= *own;
    }
    matrix
}

/// How far a matrix times its inverse is from one: the largest entry, or in a large matrix what
/// some vectors of ones and minus ones find of it. Each of those shows what its signs leave of a
/// row, and that is more than the row's largest entry at every second of them.
fn miss(matrix: &DMatrix<f64>, inverse: &DMatrix<f64>) -> f64 {
    let n = matrix.nrows();
    let miss = if n <= LARGE {
        let mut whole = matrix * inverse;
        for k in 0..n {
            whole[(k, k)] -= 1.0;
        }
        whole
    } else {
        let asked = DMatrix::from_fn(n, ASKED, sign);
        matrix * (inverse * &asked) - asked
    };
    let each = miss.iter();
    each.fold(0.0, |most: f64, entry| match entry.is_nan() {
        true => f64::INFINITY,
        false => most.max(entry.abs()),
    })
}

/// One or minus one, with no pattern that a matrix might have.
fn sign(row: usize, column: usize) -> f64 {
    let mixed = ((row * ASKED + column) as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    let mixed = (mixed ^ (mixed >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    if (mixed >> 61) & 1 == 0 {
        1.0
    } else {
        -1.0
    }
}

/// Inverse of a symmetric matrix and logarithm of its determinant; none if it is not positive
/// definite. With `X = B A⁻¹` and `S = D − X Bᵀ`
///
/// ```text
/// [ A  Bᵀ ]⁻¹   [ A⁻¹ + Xᵀ S⁻¹ X   −Xᵀ S⁻¹ ]
/// [ B  D  ]   = [     −S⁻¹ X          S⁻¹   ]      log| | = log|A| + log|S|
/// ```
///
/// (I. Schur, J. reine angew. Math. 147, 1917; from memory.)
fn inverted(matrix: &DMatrix<f64>) -> Option<(DMatrix<f64>, f64)> {
    let n = matrix.nrows();
    if n <= SMALL {
        let factor = matrix.clone().cholesky()?;
        let diagonal = factor.l_dirty().diagonal();
        return Some((factor.inverse(), 2.0 * diagonal.map(f64::ln).sum()));
    }
    let (half, rest) = (n / 2, n - n / 2);
    let below = matrix.view((half, 0), (rest, half));
    let (mut first, log_first) = inverted(&matrix.view((0, 0), (half, half)).into_owned())?;
    let x = below * &first;
    let mut open = matrix.view((half, half), (rest, rest)).into_owned();
    open.gemm(-1.0, &x, &below.transpose(), 1.0);
    let (last, log_last) = inverted(&open)?;
    let weighted = -&last * &x;
    first.gemm(-1.0, &x.transpose(), &weighted, 1.0);
    let mut inverse = DMatrix::zeros(n, n);
    inverse.view_mut((0, 0), (half, half)).copy_from(&first);
    inverse
        .view_mut((half, 0), (rest, half))
        .copy_from(&weighted);
    inverse
        .view_mut((0, half), (half, rest))
        .tr_copy_from(&weighted);
    inverse
        .view_mut((half, half), (rest, rest))
        .copy_from(&last);
    Some((inverse, log_first + log_last))
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

    /// One unknown of 30 V read twice to about 0.1 mV: S = s²J + n·1, whose inverse is (1 − s²J/(2s² + n))/n.
    /// What both readings say together and what they differ by count as they should, although the inverse
    /// of some is off by more than a millionth.
    #[test]
    fn two_fine_readings_of_one_place_by_a_closed_form() {
        let s = 30.0_f64.powi(2);
        let mut inexact = 0;
        for sigma in (5..=24).map(|k| 7e-6 * f64::from(k)) {
            let n = sigma * sigma;
            let matrix = DMatrix::from_row_slice(2, 2, &[s + n, s, s, s + n]);
            let inverse = Covariance::new(&matrix).unwrap().inverse;
            inexact += usize::from(miss(&matrix, &inverse) > 1e-6);
            for (residuals, want) in [
                ([60.0, 60.0], 2.0 * 60f64.powi(2) / (2.0 * s + n)),
                ([sigma, -sigma], 2.0),
            ] {
                let residuals = DVector::from_column_slice(&residuals);
                let got = residuals.dot(&(&inverse * &residuals));
                // The condition, 2·10¹² at most, times the rounding of a double is 0.02 %.
                assert!((got - want).abs() < 1e-3 * want, "{sigma}: {got} {want}");
            }
        }
        assert!(inexact > 0);
    }

    #[test]
    fn what_cannot_be_inverted_is_refused_with_its_size() {
        let readings = 2;
        let negative = DMatrix::from_row_slice(2, 2, &[1.0, 2.0, 2.0, 1.0]);
        let refused = ReconcileError::NotPositive { readings };
        assert_eq!(Covariance::new(&negative).unwrap_err(), refused);
        let not_a_number = DMatrix::from_row_slice(2, 2, &[f64::NAN, 0.0, 0.0, 1.0]);
        assert_eq!(Covariance::new(&not_a_number).unwrap_err(), refused);
        // Hilbert's matrix of order 12: its condition of some 1e16 leaves no digit right.
        let nearly = DMatrix::from_fn(12, 12, |i, j| 1.0 / (i + j + 1) as f64);
        assert!(Covariance::new(&nearly).is_err());
    }

    #[test]
    fn a_matrix_of_several_blocks_by_a_closed_form() {
        // 1 on the diagonal and c beside it: the inverse is (1 − c·J/(1 + (n−1)c))/(1 − c), the
        // determinant (1 − c)ⁿ⁻¹ (1 + (n−1)c), J all ones.
        let (n, c) = (12 * SMALL + 1, 0.25);
        let matrix = DMatrix::from_fn(n, n, |i, j| if i == j { 1.0 } else { c });
        let covariance = Covariance::new(&matrix).unwrap();
        let whole = 1.0 + (n - 1) as f64 * c;
        let want = |i: usize, j: usize| (f64::from(i == j) - c / whole) / (1.0 - c);
        for ((i, j), got) in (0..n)
            .flat_map(|j| (0..n).map(move |i| (i, j)))
            .zip(&covariance.inverse)
        {
            // Two hundred terms on numbers of 1.
            assert!((got - want(i, j)).abs() < 1e-13, "{i} {j} {got}");
        }
        let log = (n - 1) as f64 * (1.0 - c).ln() + whole.ln();
        assert!((covariance.log_determinant - log).abs() < 1e-11);
    }

    #[test]
    fn no_readings_have_a_determinant_of_one() {
        let empty = Covariance::new(&DMatrix::zeros(0, 0)).unwrap();
        assert!(empty.log_determinant.abs() < 1e-300);
    }
}
