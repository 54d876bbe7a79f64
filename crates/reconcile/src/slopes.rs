//! How readings follow the numbers of the circuit, and what they share by them.

use nalgebra::{DMatrix, DVector};
use rayon::prelude::*;

use crate::covariance::BLOCK;
use crate::row::Row;

/// How readings follow the numbers: `(H √P)ᵀ`, one column a reading.
#[derive(Clone, Debug)]
pub(crate) struct Slopes(DMatrix<f64>);

impl Slopes {
    /// Of some rows; a number that a row had not met yet counts as nothing there.
    pub(crate) fn of(rows: &[&Row]) -> Self {
        let numbers = rows.iter().map(|row| row.slopes.len()).max().unwrap_or(0);
        let mut slopes = DMatrix::zeros(numbers, rows.len());
        for (mut column, row) in slopes.column_iter_mut().zip(rows) {
            column
                .rows_mut(0, row.slopes.len())
                .copy_from_slice(&row.slopes);
        }
        Slopes(slopes)
    }

    /// One column a reading.
    pub(crate) fn matrix(&self) -> &DMatrix<f64> {
        &self.0
    }

    /// Covariances of these readings with others through the parts they share, one column for each
    /// of the others.
    pub(crate) fn shared(&self, others: &Slopes) -> DMatrix<f64> {
        let met = self.0.nrows().min(others.0.nrows());
        self.0.rows(0, met).transpose() * others.0.rows(0, met)
    }

    /// Covariances of these readings with one that follows the numbers like this.
    pub(crate) fn against(&self, one: &[f64]) -> DVector<f64> {
        let met = self.0.nrows().min(one.len());
        self.0
            .rows(0, met)
            .tr_mul(&DVector::from_column_slice(&one[..met]))
    }

    /// `(H √P)ᵀ x`
    pub(crate) fn times(&self, x: &DVector<f64>) -> DVector<f64> {
        &self.0 * x
    }

    /// `mᵀAm` of every number, `m` being how the readings follow it.
    pub(crate) fn squares(&self, a: &DMatrix<f64>) -> Vec<f64> {
        let starts: Vec<usize> = (0..self.0.nrows()).step_by(BLOCK).collect();
        let bands = starts.into_par_iter().map(|start| {
            let band = self.0.rows(start, BLOCK.min(self.0.nrows() - start));
            (band * a).component_mul(&band).column_sum()
        });
        let bands: Vec<DVector<f64>> = bands.collect();
        bands.iter().flat_map(|band| band.iter().copied()).collect()
    }

    /// `H P Hᵀ`, a band of columns at a time and only what lies below its start, for it is
    /// symmetric.
    pub(crate) fn own(&self) -> DMatrix<f64> {
        let n = self.0.ncols();
        let rows = self.0.transpose();
        let starts: Vec<usize> = (0..n).step_by(BLOCK).collect();
        let bands = starts.into_par_iter().map(|start| {
            let columns = self.0.columns(start, BLOCK.min(n - start));
            (start, rows.rows(start, n - start) * columns)
        });
        let mut own = DMatrix::zeros(n, n);
        for (start, band) in bands.collect::<Vec<_>>() {
            own.view_mut((start, start), band.shape()).copy_from(&band);
        }
        own.fill_upper_triangle_with_lower_triangle();
        own
    }
}
