//! A factored matrix, and solutions that have been checked against it.

use nalgebra::{DMatrix, DVector};

use crate::elimination::Elimination;
use crate::equations::Equations;
use crate::error::SolveError;
use crate::rows::Rows;

/// Largest miss of an equation, over the largest of its terms, that still counts as solved.
/// Elimination with row exchanges on well-posed circuits of a few hundred nodes misses by less
/// than 1e-13; nearly singular ones by far more than this.
const LARGEST_MISS: f64 = 1e-9;

/// A matrix and its triangular factors.
#[derive(Clone, Debug)]
pub(crate) struct Factor {
    rows: Rows,
    factors: Option<Elimination>,
}

/// Which equation is met worst, and by how much of its largest term.
pub(crate) struct Miss {
    pub(crate) row: usize,
    pub(crate) share: f64,
}

/// The matrix as it stands, or with rows and columns exchanged.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sense {
    Straight,
    Transposed,
}

impl Factor {
    /// Factors a square matrix by rows exchanged for the largest pivot.
    pub(crate) fn new(matrix: &DMatrix<f64>) -> Self {
        Factor {
            rows: Rows::of(matrix),
            factors: Elimination::new(matrix),
        }
    }

    /// Solves for one right side without a look at the answer; none if a pivot is zero.
    pub(crate) fn rough(&self, right: &DVector<f64>) -> Option<DVector<f64>> {
        self.factors.as_ref()?.solve(right)
    }

    /// Solves for one right side, with one round of refinement on the residual.
    ///
    /// # Errors
    /// [`Miss`] if the answer does not meet the equations.
    pub(crate) fn solve(&self, right: &DVector<f64>) -> Result<DVector<f64>, Miss> {
        self.refined(right, Sense::Straight, Elimination::solve)
    }

    /// Solves `Aᵀx = b` on the factors of `A`.
    ///
    /// # Errors
    /// [`Miss`] if the answer does not meet the transposed equations.
    pub(crate) fn solve_transposed(&self, right: &DVector<f64>) -> Result<DVector<f64>, Miss> {
        self.refined(right, Sense::Transposed, Elimination::solve_transposed)
    }

    fn refined(
        &self,
        right: &DVector<f64>,
        sense: Sense,
        solve: impl Fn(&Elimination, &DVector<f64>) -> Option<DVector<f64>>,
    ) -> Result<DVector<f64>, Miss> {
        let failed = || Miss {
            row: 0,
            share: f64::INFINITY,
        };
        let factors = self.factors.as_ref().ok_or_else(failed)?;
        let mut x = solve(factors, right).ok_or_else(failed)?;
        let left = -self.balance(&x, right, sense).sums;
        x += solve(factors, &left).ok_or_else(failed)?;
        let miss = self.balance(&x, right, sense).worst(x.amax());
        if miss.share <= LARGEST_MISS {
            Ok(x)
        } else {
            Err(miss)
        }
    }

    /// What each equation makes of an answer.
    fn balance(&self, x: &DVector<f64>, right: &DVector<f64>, sense: Sense) -> Balance {
        let mut balance = Balance {
            sums: -right,
            largest: right.abs(),
            coefficients: DVector::zeros(right.len()),
        };
        for (row, column, value) in self.rows.entries() {
            let (equation, unknown) = match sense {
                Sense::Straight => (row, column),
                Sense::Transposed => (column, row),
            };
            let term = value * x[unknown];
            balance.sums[equation] += term;
            balance.largest[equation] = balance.largest[equation].max(term.abs());
            balance.coefficients[equation] = balance.coefficients[equation].max(value.abs());
        }
        balance
    }
}

/// Sums of the equations' terms, right sides included, and the sizes to measure them by.
struct Balance {
    sums: DVector<f64>,
    largest: DVector<f64>,
    coefficients: DVector<f64>,
}

impl Balance {
    /// The equation met worst. A comparison with NaN is false, so an answer that is not a number is
    /// reported as infinitely wrong.
    ///
    /// The yardstick of an equation is its largest term. Where all of its terms are next to nothing
    /// beside what its coefficients make of the largest unknown (a grid that no current reaches, say)
    /// they are rounding themselves, and the yardstick is that product
    /// (M. Arioli, J. W. Demmel, I. S. Duff, "Solving sparse linear systems with sparse backward
    /// error", SIAM J. Matrix Anal. Appl. 10 (1989) 165; from memory).
    fn worst(&self, unknown: f64) -> Miss {
        // τ = 1000·n·ε
        let negligible = 1e3 * self.sums.len() as f64 * f64::EPSILON;
        let mut worst = Miss { row: 0, share: 0.0 };
        for (row, sum) in self.sums.iter().enumerate() {
            let whole = self.coefficients[row] * unknown;
            let yardstick = if self.largest[row] > negligible * whole {
                self.largest[row]
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
