//! A factored matrix, and solutions that have been checked against it.

use nalgebra::{DMatrix, DVector, Dyn, LU};

use crate::equations::Equations;
use crate::error::SolveError;

/// Largest miss of an equation, over the largest of its terms, that still counts as solved.
/// Elimination with row exchanges on well-posed circuits of a few hundred nodes misses by less
/// than 1e-13; nearly singular ones by far more than this.
const LARGEST_MISS: f64 = 1e-9;

/// A matrix and its triangular factors.
#[derive(Clone, Debug)]
pub(crate) struct Factor {
    matrix: DMatrix<f64>,
    factors: LU<f64, Dyn, Dyn>,
}

/// Which equation is met worst, and by how much of its largest term.
pub(crate) struct Miss {
    pub(crate) row: usize,
    pub(crate) share: f64,
}

impl Factor {
    /// Factors a square matrix by rows exchanged for the largest pivot.
    pub(crate) fn new(matrix: DMatrix<f64>) -> Self {
        let factors = matrix.clone().lu();
        Factor { matrix, factors }
    }

    /// Solves for one right side without a look at the answer; none if a pivot is zero.
    pub(crate) fn rough(&self, right: &DVector<f64>) -> Option<DVector<f64>> {
        self.factors.solve(right)
    }

    /// Solves for one right side, with one round of refinement on the residual.
    ///
    /// # Errors
    /// [`Miss`] if the answer does not meet the equations.
    pub(crate) fn solve(&self, right: &DVector<f64>) -> Result<DVector<f64>, Miss> {
        let failed = Miss {
            row: 0,
            share: f64::INFINITY,
        };
        let mut x = self.factors.solve(right).ok_or(failed)?;
        if let Some(correction) = self.factors.solve(&(right - &self.matrix * &x)) {
            x += correction;
        }
        let miss = worst_miss(&self.matrix, &x, right);
        if miss.share <= LARGEST_MISS {
            Ok(x)
        } else {
            Err(miss)
        }
    }

    /// Solves `Aᵀx = b` on the factors of `A`: with `PA = LU`, `Uᵀy = b`, `Lᵀw = y`, `x = Pᵀw`.
    ///
    /// # Errors
    /// [`Miss`] if the answer does not meet the transposed equations.
    pub(crate) fn solve_transposed(&self, right: &DVector<f64>) -> Result<DVector<f64>, Miss> {
        let failed = Miss {
            row: 0,
            share: f64::INFINITY,
        };
        let upper = self.factors.u();
        let lower = self.factors.l();
        let back = |right: &DVector<f64>| {
            let half = upper.tr_solve_upper_triangular(right)?;
            let mut x = lower.tr_solve_lower_triangular(&half)?;
            self.factors.p().inv_permute_rows(&mut x);
            Some(x)
        };
        let mut x = back(right).ok_or(failed)?;
        if let Some(correction) = back(&(right - self.matrix.tr_mul(&x))) {
            x += correction;
        }
        let miss = worst_miss(&self.matrix.transpose(), &x, right);
        if miss.share <= LARGEST_MISS {
            Ok(x)
        } else {
            Err(miss)
        }
    }
}

/// The equation met worst. A comparison with NaN is false, so an answer that is not a number is
/// reported as infinitely wrong.
///
/// The yardstick of an equation is its largest term. Where all of its terms are next to nothing
/// beside what its coefficients make of the largest unknown (a grid that no current reaches, say)
/// they are rounding themselves, and the yardstick is that product
/// (M. Arioli, J. W. Demmel, I. S. Duff, "Solving sparse linear systems with sparse backward
/// error", SIAM J. Matrix Anal. Appl. 10 (1989) 165; from memory).
fn worst_miss(matrix: &DMatrix<f64>, x: &DVector<f64>, right: &DVector<f64>) -> Miss {
    let mut sums = -right;
    let mut largest = right.abs();
    let mut coefficient = DVector::<f64>::zeros(right.len());
    // Column by column, as the matrix lies in memory.
    for (column, value) in matrix.column_iter().zip(x.iter()) {
        let rows = sums.iter_mut().zip(largest.iter_mut());
        for ((entry, (sum, most)), size) in column.iter().zip(rows).zip(coefficient.iter_mut()) {
            let term = entry * value;
            *sum += term;
            if term.abs() > *most {
                *most = term.abs();
            }
            if entry.abs() > *size {
                *size = entry.abs();
            }
        }
    }
    // τ = 1000·n·ε
    let negligible = 1e3 * x.len() as f64 * f64::EPSILON;
    let unknown = x.amax();
    let mut worst = Miss { row: 0, share: 0.0 };
    for (row, (sum, largest)) in sums.iter().zip(largest.iter()).enumerate() {
        let whole = coefficient[row] * unknown;
        let yardstick = if *largest > negligible * whole {
            *largest
        } else {
            whole
        };
        let share = if *sum == 0.0 {
            0.0
        } else {
            sum.abs() / yardstick
        };
        if share > worst.share || share.is_nan() {
            worst = Miss {
                row,
                share: if share.is_nan() { f64::INFINITY } else { share },
            };
        }
    }
    worst
}

impl Miss {
    /// The error to report, in terms of the circuit.
    pub(crate) fn into_error(self, equations: &Equations) -> SolveError {
        SolveError::Singular {
            node: equations.name_of_row(self.row),
            residual: self.share,
        }
    }
}
