//! Triangular factors of a circuit's matrix: dense for small circuits, sparse for large ones.
//!
//! A circuit's matrix has four or five entries a row. Below a few dozen unknowns a dense
//! elimination (crate nalgebra) is the faster one all the same, above it a sparse one (crate
//! rsparse) is, and the gap grows with the cube of the size. Where they cross was measured:
//! `benches/elimination.rs`, table in `benches/results.md`.

use nalgebra::{DMatrix, DVector, Dyn, LU};
use rsparse::data::{Nmrc, Sprs};

/// Unknowns from which the sparse elimination is used.
pub const SPARSE_FROM: usize = 70;

/// A column's diagonal entry is taken as pivot if no entry below is this many times larger: rows
/// exchanged for less cost more in new entries than they gain in digits, and every answer is
/// refined and checked afterwards.
const PIVOT_SHARE: f64 = 0.1;

/// Minimum degree on the pattern of `A + Aᵀ`.
const ORDERING: i8 = 0;

/// Triangular factors.
#[derive(Clone, Debug)]
pub enum Elimination {
    /// Every entry kept.
    Dense(LU<f64, Dyn, Dyn>),
    /// Only entries that are not zero: `PAQ = LU`.
    Sparse(Box<Sparse>),
}

/// Sparse factors.
#[derive(Clone, Debug)]
pub struct Sparse {
    numeric: Nmrc<f64>,
    /// Place of each row of the matrix in the factors.
    rows: Vec<usize>,
    /// Column of the matrix that became each column of the factors.
    columns: Vec<usize>,
}

impl Elimination {
    /// Factors a square matrix by the faster of the two ways; none if it is singular.
    pub fn new(matrix: &DMatrix<f64>) -> Option<Self> {
        if matrix.nrows() < SPARSE_FROM {
            Self::dense(matrix)
        } else {
            Self::sparse(matrix)
        }
    }

    /// Factors a square matrix as a dense one; none if it is singular.
    pub fn dense(matrix: &DMatrix<f64>) -> Option<Self> {
        let factors = matrix.clone().lu();
        factors
            .is_invertible()
            .then_some(Elimination::Dense(factors))
    }

    /// Factors a square matrix as a sparse one; none if it is singular.
    pub fn sparse(matrix: &DMatrix<f64>) -> Option<Self> {
        let sparse = compressed(matrix);
        let mut symbolic = rsparse::sqr(&sparse, ORDERING, false);
        let numeric = rsparse::lu(&sparse, &mut symbolic, PIVOT_SHARE).ok()?;
        let whole = |places: &[isize]| -> Option<Vec<usize>> {
            places
                .iter()
                .map(|place| usize::try_from(*place).ok())
                .collect()
        };
        let rows = whole(numeric.pinv.as_deref()?)?;
        let columns = match symbolic.q.as_deref() {
            Some(order) => whole(&order[..matrix.ncols()])?,
            None => (0..matrix.ncols()).collect(),
        };
        Some(Elimination::Sparse(Box::new(Sparse {
            numeric,
            rows,
            columns,
        })))
    }

    /// Solves `Ax = b`.
    pub fn solve(&self, right: &DVector<f64>) -> Option<DVector<f64>> {
        // A drawing without a part has no unknown, and triangles of no size have no last row.
        if right.is_empty() {
            return Some(right.clone());
        }
        match self {
            Elimination::Dense(factors) => factors.solve(right),
            Elimination::Sparse(sparse) => Some(sparse.solve(right)),
        }
    }

    /// Solves `Aᵀx = b`.
    pub fn solve_transposed(&self, right: &DVector<f64>) -> Option<DVector<f64>> {
        if right.is_empty() {
            return Some(right.clone());
        }
        match self {
            // PA = LU: Uᵀy = b, Lᵀw = y, x = Pᵀw
            Elimination::Dense(factors) => {
                let half = factors.u().tr_solve_upper_triangular(right)?;
                let mut x = factors.l().tr_solve_lower_triangular(&half)?;
                factors.p().inv_permute_rows(&mut x);
                Some(x)
            }
            Elimination::Sparse(sparse) => Some(sparse.solve_transposed(right)),
        }
    }
}

impl Sparse {
    fn solve(&self, right: &DVector<f64>) -> DVector<f64> {
        let mut x = vec![0.0; right.len()];
        for (place, value) in self.rows.iter().zip(right.iter()) {
            x[*place] = *value;
        }
        rsparse::lsolve(&self.numeric.l, &mut x);
        rsparse::usolve(&self.numeric.u, &mut x);
        let mut answer = DVector::zeros(right.len());
        for (column, value) in self.columns.iter().zip(x) {
            answer[*column] = value;
        }
        answer
    }

    /// `PAQ = LU`: `Aᵀ = Q Uᵀ Lᵀ P`.
    fn solve_transposed(&self, right: &DVector<f64>) -> DVector<f64> {
        let mut x: Vec<f64> = self.columns.iter().map(|column| right[*column]).collect();
        rsparse::utsolve(&self.numeric.u, &mut x);
        rsparse::ltsolve(&self.numeric.l, &mut x);
        DVector::from_iterator(right.len(), self.rows.iter().map(|place| x[*place]))
    }
}

/// Column by column, only what is not zero.
fn compressed(matrix: &DMatrix<f64>) -> Sprs<f64> {
    let mut sparse = Sprs {
        nzmax: 0,
        m: matrix.nrows(),
        n: matrix.ncols(),
        p: vec![0],
        i: Vec::new(),
        x: Vec::new(),
    };
    for column in matrix.column_iter() {
        for (row, value) in column.iter().enumerate() {
            if *value != 0.0 {
                sparse.i.push(row);
                sparse.x.push(*value);
            }
        }
        sparse.p.push(sparse.i.len() as isize);
    }
    sparse.nzmax = sparse.i.len();
    sparse
}

#[cfg(test)]
mod tests {
    use super::*;

    type Way = fn(&DMatrix<f64>) -> Option<Elimination>;
    const WAYS: [Way; 2] = [Elimination::dense, Elimination::sparse];

    #[test]
    fn a_system_worked_by_hand_needs_a_row_exchange() {
        // y + 2z = 8, 2x + z = 5, x + y + z = 6: x = 1, y = 2, z = 3.
        let matrix = DMatrix::from_row_slice(3, 3, &[0.0, 1.0, 2.0, 2.0, 0.0, 1.0, 1.0, 1.0, 1.0]);
        let want = DVector::from_column_slice(&[1.0, 2.0, 3.0]);
        for way in WAYS {
            let factors = way(&matrix).unwrap();
            let x = factors.solve(&DVector::from_column_slice(&[8.0, 5.0, 6.0]));
            assert!((x.unwrap() - &want).amax() < 1e-14);
            // The transposed system with the same solution: columns dotted with (1, 2, 3).
            let x = factors.solve_transposed(&DVector::from_column_slice(&[7.0, 4.0, 7.0]));
            assert!((x.unwrap() - &want).amax() < 1e-14);
        }
    }

    #[test]
    fn a_singular_matrix_is_refused() {
        let matrix = DMatrix::from_row_slice(2, 2, &[1.0, 2.0, 2.0, 4.0]);
        for way in WAYS {
            assert!(way(&matrix).is_none());
        }
    }
}
