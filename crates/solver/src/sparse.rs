//! Elimination of a large sparse matrix.
//!
//! The rows that devices touch are coupled to few others: a stage to its own rows, the rail and its
//! neighbours. Pivots are taken on the diagonal, those with the fewest neighbours first. The factors
//! are then checked with a known solution; one step of iterative refinement brings every solution to
//! the rounding error of the matrix (J. H. Wilkinson, "Rounding Errors in Algebraic Processes", 1963;
//! from memory).

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use nalgebra::{DMatrix, DVector};

/// A smaller matrix is eliminated whole.
const LARGE: usize = 96;

/// So is one with more than this share of nonzero entries.
const FEW: f64 = 0.1;

/// Largest relative error of a known solution. Refinement squares it.
const TRUSTED: f64 = 1e-6;

/// Triangular factors of a sparse matrix.
#[derive(Clone, Debug)]
pub(crate) struct SparseFactors {
    /// The matrix: row, column, value.
    entries: Vec<(usize, usize, f64)>,
    steps: Vec<Step>,
}

/// One row and column that was eliminated.
#[derive(Clone, Debug)]
struct Step {
    place: usize,
    pivot: f64,
    /// Each remaining neighbour, the multiple of this row that it took, and this row's entry there.
    others: Vec<(usize, f64, f64)>,
}

impl SparseFactors {
    /// Of a matrix; none if it is small or full, or its diagonal is unsuitable for pivots.
    pub(crate) fn new(matrix: &DMatrix<f64>) -> Option<Self> {
        let size = matrix.nrows();
        if size <= LARGE {
            return None;
        }
        let most = FEW * (size * size) as f64;
        let mut entries = Vec::new();
        let mut neighbours: Vec<Vec<usize>> = vec![Vec::new(); size];
        for column in 0..size {
            for (row, value) in matrix.column(column).iter().enumerate() {
                if *value != 0.0 {
                    entries.push((row, column, *value));
                    if row != column {
                        neighbours[row].push(column);
                        neighbours[column].push(row);
                    }
                }
            }
            if entries.len() as f64 > most {
                return None;
            }
        }
        for own in &mut neighbours {
            own.sort_unstable();
            own.dedup();
        }
        let steps = eliminated(matrix.clone(), neighbours)?;
        let found = SparseFactors { entries, steps };
        found.is_trusted(size).then_some(found)
    }

    fn is_trusted(&self, size: usize) -> bool {
        let known = DVector::from_fn(size, |k, _| if k % 3 == 0 { -1.0 } else { 1.0 });
        let found = self.once(self.times(&known));
        (found - known).iter().all(|miss| miss.abs() <= TRUSTED)
    }

    fn times(&self, x: &DVector<f64>) -> DVector<f64> {
        let mut sum = DVector::zeros(x.len());
        for (row, column, value) in &self.entries {
            sum[*row] += value * x[*column];
        }
        sum
    }

    fn once(&self, mut x: DVector<f64>) -> DVector<f64> {
        for step in &self.steps {
            let own = x[step.place];
            if own != 0.0 {
                for (other, share, _) in &step.others {
                    x[*other] -= share * own;
                }
            }
        }
        for step in self.steps.iter().rev() {
            let others = step.others.iter();
            let known: f64 = others.map(|(other, _, entry)| entry * x[*other]).sum();
            x[step.place] = (x[step.place] - known) / step.pivot;
        }
        x
    }

    /// Solves for one right side.
    pub(crate) fn solve(&self, right: &DVector<f64>) -> DVector<f64> {
        let found = self.once(right.clone());
        let missed = right - self.times(&found);
        found + self.once(missed)
    }

    /// The inverse.
    pub(crate) fn inverse(&self) -> DMatrix<f64> {
        let size = self.steps.len();
        let mut inverse = DMatrix::zeros(size, size);
        let mut one = DVector::zeros(size);
        for (place, mut column) in inverse.column_iter_mut().enumerate() {
            one[place] = 1.0;
            column.copy_from(&self.solve(&one));
            one[place] = 0.0;
        }
        inverse
    }

    /// Whether the determinant is negative.
    pub(crate) fn is_negative(&self) -> bool {
        let negative = self.steps.iter().filter(|step| step.pivot < 0.0).count();
        negative % 2 == 1
    }
}

/// Eliminates the rows, those with the fewest neighbours first; none where a pivot is zero.
fn eliminated(mut matrix: DMatrix<f64>, mut neighbours: Vec<Vec<usize>>) -> Option<Vec<Step>> {
    let size = neighbours.len();
    let each = neighbours.iter().enumerate();
    let mut queue: BinaryHeap<Reverse<(usize, usize)>> = each
        .map(|(place, own)| Reverse((own.len(), place)))
        .collect();
    let mut waits = vec![true; size];
    let mut steps = Vec::with_capacity(size);
    while let Some(Reverse((degree, place))) = queue.pop() {
        if !waits[place] || neighbours[place].len() != degree {
            continue;
        }
        waits[place] = false;
        let pivot = matrix[(place, place)];
        if pivot == 0.0 || !pivot.is_finite() {
            return None;
        }
        let own = std::mem::take(&mut neighbours[place]);
        let others: Vec<(usize, f64, f64)> = own
            .iter()
            .map(|other| {
                let share = matrix[(*other, place)] / pivot;
                (*other, share, matrix[(place, *other)])
            })
            .collect();
        for (column, _, entry) in &others {
            let mut into = matrix.column_mut(*column);
            for (row, share, _) in &others {
                into[*row] -= share * entry;
            }
        }
        for other in &own {
            let mut joined = std::mem::take(&mut neighbours[*other]);
            joined.extend(own.iter().filter(|third| *third != other));
            joined.sort_unstable();
            joined.dedup();
            joined.retain(|third| *third != place);
            queue.push(Reverse((joined.len(), *other)));
            neighbours[*other] = joined;
        }
        steps.push(Step {
            place,
            pivot,
            others,
        });
    }
    Some(steps)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 50 stages of three rows on a rail, each passing something on to the next; not symmetric.
    fn stages(count: usize) -> DMatrix<f64> {
        let rail = 3 * count;
        let mut matrix = DMatrix::zeros(rail + 1, rail + 1);
        matrix[(rail, rail)] = 10.0;
        for stage in 0..count {
            let first = 3 * stage;
            let own = [[1.0, 0.0, -0.2], [-0.7, 2.0, -0.4], [40.0, -0.5, 3.0]];
            for (i, row) in own.iter().enumerate() {
                for (j, value) in row.iter().enumerate() {
                    matrix[(first + i, first + j)] = *value + 0.01 * (stage % 5) as f64;
                }
            }
            matrix[(first + 2, rail)] = -0.3;
            matrix[(rail, first + 2)] = -0.1;
            let next = 3 * ((stage + 1) % count);
            matrix[(next, first + 2)] = -1e-3;
        }
        matrix
    }

    #[test]
    fn a_sparse_matrix_is_solved_as_by_whole_elimination() {
        let matrix = stages(50);
        let factors = SparseFactors::new(&matrix).unwrap();
        let right = DVector::from_fn(151, |k, _| (k % 7) as f64 - 3.0);
        let whole = matrix.clone().lu();
        let want = whole.solve(&right).unwrap();
        // A few hundred operations on numbers up to 100.
        assert!((factors.solve(&right) - &want).amax() < 1e-12 * (1.0 + want.amax()));
        let inverse = factors.inverse();
        assert!((&matrix * inverse - DMatrix::identity(151, 151)).amax() < 1e-12);
        assert_eq!(factors.is_negative(), whole.determinant() < 0.0);
        let mut turned = matrix;
        turned.row_mut(0).neg_mut();
        assert_ne!(
            SparseFactors::new(&turned).unwrap().is_negative(),
            factors.is_negative()
        );
    }

    #[test]
    fn what_is_small_or_full_or_has_no_diagonal_is_left_alone() {
        assert!(SparseFactors::new(&stages(20)).is_none());
        assert!(SparseFactors::new(&DMatrix::from_element(100, 100, 1.0)).is_none());
        let mut matrix = stages(50);
        matrix[(0, 0)] = 0.0;
        matrix[(0, 2)] = 0.0;
        matrix[(1, 0)] = 0.0;
        assert!(SparseFactors::new(&matrix).is_none());
    }
}
