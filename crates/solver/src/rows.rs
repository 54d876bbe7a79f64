//! A matrix row by row, with only the entries that are not zero.

use nalgebra::DMatrix;

/// Entries row by row.
#[derive(Clone, Debug)]
pub(crate) struct Rows {
    starts: Vec<usize>,
    columns: Vec<usize>,
    values: Vec<f64>,
}

impl Rows {
    /// No rows yet.
    pub(crate) fn new() -> Self {
        Rows {
            starts: vec![0],
            columns: Vec::new(),
            values: Vec::new(),
        }
    }

    /// The rows of a matrix.
    pub(crate) fn of(matrix: &DMatrix<f64>) -> Self {
        let mut rows = Rows::new();
        for row in matrix.row_iter() {
            for (column, value) in row.iter().enumerate() {
                if *value != 0.0 {
                    rows.columns.push(column);
                    rows.values.push(*value);
                }
            }
            rows.starts.push(rows.columns.len());
        }
        rows
    }

    /// Column and value of a row's entries.
    pub(crate) fn row(&self, row: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let range = self.starts[row]..self.starts[row + 1];
        let columns = &self.columns[range.clone()];
        columns
            .iter()
            .copied()
            .zip(self.values[range].iter().copied())
    }

    /// Every entry with its row and column.
    pub(crate) fn entries(&self) -> impl Iterator<Item = (usize, usize, f64)> + '_ {
        (0..self.starts.len() - 1).flat_map(|row| {
            self.row(row)
                .map(move |(column, value)| (row, column, value))
        })
    }
}
