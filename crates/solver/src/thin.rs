//! A large matrix stored as a sparse one plus one of low rank.
//!
//! Stages on one rail act on each other through that rail only: by the change of the rail times the
//! sensitivity of each stage to it. So only the entries within a stage have values of their own; all
//! others are the product of a few columns and a few rows:
//!
//! ```text
//! A = D + U Vᵀ        D sparse
//! ```
//!
//! `U` and `V` are found by cross approximation: a column with entries in many rows is taken as `u`, and
//! its median multiple in another column as that column's `v` (M. Bebendorf,
//! "Approximation of boundary element matrices", Numerische Mathematik 86, 2000, for columns of the
//! matrix as such a basis; from memory. The median over rows is **own**). The rest
//! stays in `D`, so that a poor choice costs time but no accuracy.

use nalgebra::{DMatrix, DVector};

/// Columns taken as `u` at most.
const MOST_FAR: usize = 8;

/// Rows from which the multiple of a column is estimated.
const ASKED: usize = 61;

/// With more than this share of entries in `D` the matrix is left as it is.
const FEW: f64 = 0.25;

/// `D + U Vᵀ`
#[derive(Clone, Debug)]
pub struct Thin {
    rows: usize,
    /// Where each column of `D` begins in `entries`.
    starts: Vec<usize>,
    /// Row and value of each entry of `D`.
    entries: Vec<(usize, f64)>,
    /// `U`, one row for each row of the matrix.
    across: DMatrix<f64>,
    /// `V`, one row for each column of the matrix.
    along: DMatrix<f64>,
}

impl Thin {
    /// A matrix without those of its entries that are less than `dropped` of the size of their row
    /// times that of their column, once `U Vᵀ` is taken off. It comes by its rows, whose entries beyond the end
    /// count as zero; `sizes` are those of the rows and those of the columns, one entry for each. None where that
    /// leaves many entries.
    pub fn of(matrix: &[&[f64]], sizes: (&[f64], &[f64]), dropped: f64) -> Option<Self> {
        let (rows, columns) = (matrix.len(), sizes.1.len());
        let mut far: Vec<Far> = Vec::new();
        let every: Vec<usize> = (0..rows).collect();
        let asked = spaced(&every);
        while far.len() < MOST_FAR {
            let seen: Vec<Vec<f64>> = asked
                .iter()
                .map(|row| left(matrix[*row], &far, *row, columns))
                .collect();
            let reach = |column: usize| {
                let each = asked.iter().zip(&seen);
                median(each.map(|(row, own)| own[column].abs() / sizes.0[*row])) / sizes.1[column]
            };
            let farthest = (0..columns)
                .map(|column| (column, reach(column)))
                .max_by(|a, b| a.1.total_cmp(&b.1))?;
            if farthest.1 <= dropped {
                break;
            }
            let entry = |row: usize| {
                let own = matrix[row].get(farthest.0).copied().unwrap_or(0.0);
                let each = far.iter();
                each.fold(own, |left, far| {
                    left - far.along[farthest.0] * far.across[row]
                })
            };
            let across: Vec<f64> = (0..rows).map(entry).collect();
            // Rows that hardly follow it cannot tell how much they have of it.
            let follows = |row: &usize| across[*row].abs() / sizes.0[*row];
            let usual = median(asked.iter().map(follows));
            let those: Vec<usize> = every
                .iter()
                .copied()
                .filter(|row| follows(row) >= usual)
                .collect();
            let those = spaced(&those);
            let seen: Vec<Vec<f64>> = those
                .iter()
                .map(|row| left(matrix[*row], &far, *row, columns))
                .collect();
            let much = |column: usize| {
                let each = those.iter().zip(&seen);
                median(each.map(|(row, own)| own[column] / across[*row]))
            };
            let along = (0..columns).map(much).collect();
            far.push(Far { across, along });
        }
        let most = (FEW * (rows * columns) as f64) as usize;
        let mut near: Vec<(usize, usize, f64)> = Vec::new();
        for (row, own) in matrix.iter().enumerate() {
            let rest = left(own, &far, row, columns);
            let each = rest.iter().zip(sizes.1).enumerate();
            let counts =
                each.filter(|(_, (value, size))| value.abs() > dropped * sizes.0[row] * *size);
            near.extend(counts.map(|(column, (value, _))| (column, row, *value)));
            if near.len() >= most {
                return None;
            }
        }
        // Sorting keeps the rows of a column in their order.
        near.sort_by_key(|(column, _, _)| *column);
        let mut starts = vec![0; columns + 1];
        for (column, _, _) in &near {
            starts[column + 1] += 1;
        }
        for column in 0..columns {
            starts[column + 1] += starts[column];
        }
        Some(Thin {
            rows,
            starts,
            entries: near.iter().map(|(_, row, value)| (*row, *value)).collect(),
            across: DMatrix::from_fn(rows, far.len(), |row, k| far[k].across[row]),
            along: DMatrix::from_fn(columns, far.len(), |column, k| far[k].along[column]),
        })
    }

    /// The matrix turned round.
    pub(crate) fn turned(&self) -> Thin {
        let mut entries: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.rows];
        for column in 0..self.columns() {
            for (row, value) in self.column(column) {
                entries[*row].push((column, *value));
            }
        }
        let ends = entries.iter().scan(0, |end, own| {
            *end += own.len();
            Some(*end)
        });
        Thin {
            rows: self.columns(),
            starts: std::iter::once(0).chain(ends).collect(),
            entries: entries.concat(),
            across: self.along.clone(),
            along: self.across.clone(),
        }
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Number of columns.
    pub fn columns(&self) -> usize {
        self.along.nrows()
    }

    fn column(&self, column: usize) -> &[(usize, f64)] {
        &self.entries[self.starts[column]..self.starts[column + 1]]
    }

    /// `A x`, one entry for each row, of `x` with one entry for each column; entries beyond the end of
    /// `x` count as zero.
    pub fn times(&self, x: &[f64]) -> DVector<f64> {
        let mut far: DVector<f64> = DVector::zeros(self.across.ncols());
        let mut sum = DVector::zeros(self.rows);
        for (column, much) in x.iter().enumerate().take(self.columns()) {
            if *much != 0.0 {
                for (row, value) in self.column(column) {
                    sum[*row] += value * much;
                }
                for (k, far) in far.iter_mut().enumerate() {
                    *far += self.along[(column, k)] * much;
                }
            }
        }
        sum.gemv(1.0, &self.across, &far, 1.0);
        sum
    }

    /// `Aᵀ y`, one entry for each column, of `y` with one entry for each row.
    pub fn turned_times(&self, y: &DVector<f64>) -> DVector<f64> {
        let mut sum = &self.along * self.across.tr_mul(y);
        for (column, sum) in sum.iter_mut().enumerate() {
            *sum += near(self.column(column), y);
        }
        sum
    }

    /// `A Aᵀ`, one row and one column for each row of `A`.
    pub fn squared(&self) -> DMatrix<f64> {
        // D Dᵀ + (D V + ½ U VᵀV) Uᵀ + U (D V + ½ U VᵀV)ᵀ
        let mut half = &self.across * self.along.tr_mul(&self.along) * 0.5;
        let mut square = DMatrix::zeros(self.rows, self.rows);
        for column in 0..self.columns() {
            let own = self.column(column);
            for (place, (other, value)) in own.iter().enumerate() {
                for (k, much) in self.along.row(column).iter().enumerate() {
                    half[(*other, k)] += value * much;
                }
                // The rows of a column are in their order: from here on they are below the diagonal.
                let mut into = square.column_mut(*other);
                for (row, entry) in &own[place..] {
                    into[*row] += entry * value;
                }
            }
        }
        square.fill_upper_triangle_with_lower_triangle();
        let turned = self.across.transpose();
        square.gemm(1.0, &half, &turned, 1.0);
        square.gemm(1.0, &self.across, &half.transpose(), 1.0);
        square
    }

    /// `aᵀ S a` of the columns `a` at these places; `S` is symmetric, one row and one column for each row of `A`.
    pub fn squares(&self, places: &[usize], symmetric: &DMatrix<f64>) -> Vec<f64> {
        let far = symmetric * &self.across;
        let farthest = self.across.tr_mul(&far);
        let of = |column: usize| {
            let own = self.column(column);
            let along = self.along.row(column).transpose();
            let near: f64 = own
                .iter()
                .enumerate()
                .map(|(place, (other, value))| {
                    let into = symmetric.column(*other);
                    let below = own[place + 1..].iter();
                    let below: f64 = below.map(|(row, entry)| into[*row] * entry).sum();
                    value * (into[*other] * value + 2.0 * below)
                })
                .sum();
            let between: f64 = own
                .iter()
                .map(|(row, value)| value * far.row(*row).transpose().dot(&along))
                .sum();
            near + 2.0 * between + along.dot(&(&farthest * &along))
        };
        places.iter().map(|column| of(*column)).collect()
    }

    /// Each column times a number.
    pub fn scale_columns(&mut self, by: &[f64]) {
        for (column, by) in by.iter().enumerate().take(self.columns()) {
            let own = self.starts[column]..self.starts[column + 1];
            for (_, value) in &mut self.entries[own] {
                *value *= by;
            }
            self.along.row_mut(column).scale_mut(*by);
        }
    }
}

/// A column of `U` and one of `V`.
struct Far {
    across: Vec<f64>,
    along: Vec<f64>,
}

/// What they leave of a row.
fn left(own: &[f64], far: &[Far], row: usize, columns: usize) -> Vec<f64> {
    let mut rest = own.to_vec();
    rest.resize(columns, 0.0);
    for Far { across, along } in far {
        for (rest, along) in rest.iter_mut().zip(along) {
            *rest -= along * across[row];
        }
    }
    rest
}

fn near(own: &[(usize, f64)], y: &DVector<f64>) -> f64 {
    own.iter().map(|(row, value)| value * y[*row]).sum()
}

/// Some of many, evenly.
fn spaced(of: &[usize]) -> Vec<usize> {
    let count = of.len().min(ASKED);
    (0..count).map(|k| of[k * of.len() / count]).collect()
}

/// The median; not a number counts as large.
fn median(each: impl Iterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = each.collect();
    if all.is_empty() {
        return 0.0;
    }
    let middle = all.len() / 2;
    *all.select_nth_unstable_by(middle, f64::total_cmp).1
}

#[cfg(test)]
#[path = "thin_tests.rs"]
mod tests;
