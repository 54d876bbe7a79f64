//! Triangular factors of a scaled Jacobian.
//!
//! A square Jacobian comes in; solutions, the inverse and the sign of the determinant go out. Its rows and columns
//! are divided by the roots of the diagonal: conductances at a grid and at a supply lie twelve decades apart, and
//! scaled they have one size, so pivots are chosen by the coupling and not by the size of the conductances.
//! What the equations mean is not known here.

use nalgebra::{DMatrix, DVector, Dyn, LU};

use crate::sparse::SparseFactors;

/// Triangular factors of a square Jacobian with its rows and columns scaled alike.
#[derive(Clone, Debug)]
pub(crate) struct Factors {
    scale: DVector<f64>,
    factors: Kind,
}

#[derive(Clone, Debug)]
enum Kind {
    Whole(LU<f64, Dyn, Dyn>),
    Sparse(SparseFactors),
}

impl Factors {
    pub(crate) fn new(jacobian: &DMatrix<f64>) -> Self {
        let scale = DVector::from_iterator(
            jacobian.nrows(),
            jacobian.diagonal().iter().map(|value| {
                let size = value.abs().sqrt();
                if size > 0.0 && size.is_finite() {
                    1.0 / size
                } else {
                    1.0
                }
            }),
        );
        let scaled = scaled(jacobian, &scale);
        let factors = match SparseFactors::new(&scaled) {
            Some(sparse) => Kind::Sparse(sparse),
            None => Kind::Whole(scaled.lu()),
        };
        Factors { scale, factors }
    }

    /// Solves for one right side; none if a pivot is zero.
    pub(crate) fn solve(&self, right: &DVector<f64>) -> Option<DVector<f64>> {
        if right.is_empty() {
            return Some(right.clone());
        }
        let right = right.component_mul(&self.scale);
        let found = match &self.factors {
            Kind::Whole(factors) => factors.solve(&right)?,
            Kind::Sparse(factors) => factors.solve(&right),
        };
        Some(found.component_mul(&self.scale))
    }

    /// The inverse; none if a pivot is zero.
    pub(crate) fn inverse(&self) -> Option<DMatrix<f64>> {
        if self.scale.is_empty() {
            return Some(DMatrix::zeros(0, 0));
        }
        let inverse = match &self.factors {
            Kind::Whole(factors) => factors.try_inverse()?,
            Kind::Sparse(factors) => factors.inverse(),
        };
        Some(scaled(&inverse, &self.scale))
    }

    /// Whether the determinant is negative.
    pub(crate) fn is_negative(&self) -> bool {
        match &self.factors {
            Kind::Whole(factors) => !self.scale.is_empty() && factors.determinant() < 0.0,
            Kind::Sparse(factors) => factors.is_negative(),
        }
    }
}

fn scaled(matrix: &DMatrix<f64>, scale: &DVector<f64>) -> DMatrix<f64> {
    DMatrix::from_fn(matrix.nrows(), matrix.ncols(), |row, column| {
        matrix[(row, column)] * scale[row] * scale[column]
    })
}
