//! Derivatives of readings by the numbers of the circuit, and the covariances that follow from them.

use std::borrow::Cow;

use nalgebra::{DMatrix, DVector};
use solver::Thin;

use crate::covariance::BLOCK;
use crate::observation::Observation;

/// A larger table is stored as a sparse matrix plus one of low rank.
const MANY: usize = 128;

/// Derivatives below this share of the reading's standard deviation are then dropped: the covariance of
/// any two readings stays correct to a ten-millionth of their standard deviations.
const DROPPED: f64 = 1e-9;

/// Derivatives of readings by numbers, each number in units of its prior standard deviation.
#[derive(Clone, Debug)]
pub(crate) enum ScaledJacobian {
    /// `(H √P)ᵀ`: one row for each number, one column for each reading.
    Whole(DMatrix<f64>),
    /// `H √P`: one row for each reading, one column for each number.
    Thin(Thin),
}

impl ScaledJacobian {
    /// Of some observations; a number beyond the end of a row counts as zero there.
    pub(crate) fn of(rows: &[&Observation]) -> Self {
        let numbers = rows.iter().map(|row| row.jacobian.len()).max().unwrap_or(0);
        if rows.len() > MANY {
            if let Some(thin) = thin(rows, numbers) {
                return ScaledJacobian::Thin(thin);
            }
        }
        let mut jacobian = DMatrix::zeros(numbers, rows.len());
        for (mut column, row) in jacobian.column_iter_mut().zip(rows) {
            column
                .rows_mut(0, row.jacobian.len())
                .copy_from_slice(&row.jacobian);
        }
        ScaledJacobian::Whole(jacobian)
    }

    /// `(H √P)ᵀ` as a full matrix: one row for each number, one column for each reading.
    pub(crate) fn matrix(&self) -> Cow<'_, DMatrix<f64>> {
        let thin = match self {
            ScaledJacobian::Whole(whole) => return Cow::Borrowed(whole),
            ScaledJacobian::Thin(thin) => thin,
        };
        let readings = thin.rows();
        let columns = (0..readings).map(|reading| {
            let mut only = DVector::zeros(readings);
            only[reading] = 1.0;
            thin.turned_times(&only)
        });
        Cow::Owned(DMatrix::from_columns(&columns.collect::<Vec<_>>()))
    }

    /// Covariances of these readings with others through the parts they share, one column for each
    /// of the others.
    pub(crate) fn shared(&self, others: &[&Observation]) -> DMatrix<f64> {
        let columns = parallel::map(others, |row| self.against(&row.jacobian));
        if columns.is_empty() {
            return DMatrix::zeros(self.readings(), 0);
        }
        DMatrix::from_columns(&columns)
    }

    /// Covariances of these readings with one that has these derivatives.
    pub(crate) fn against(&self, one: &[f64]) -> DVector<f64> {
        match self {
            ScaledJacobian::Thin(thin) => thin.times(one),
            ScaledJacobian::Whole(whole) => {
                let met = whole.nrows().min(one.len());
                whole
                    .rows(0, met)
                    .tr_mul(&DVector::from_column_slice(&one[..met]))
            }
        }
    }

    /// `(H √P)ᵀ x`
    pub(crate) fn times(&self, x: &DVector<f64>) -> DVector<f64> {
        match self {
            ScaledJacobian::Thin(thin) => thin.turned_times(x),
            ScaledJacobian::Whole(whole) => whole * x,
        }
    }

    /// `mᵀAm` of every number, `m` being its column of derivatives and `A` symmetric, one row and one
    /// column for each reading.
    pub(crate) fn squares(&self, a: &DMatrix<f64>) -> Vec<f64> {
        let all: Vec<usize> = (0..self.numbers()).collect();
        self.squares_at(&all, a)
    }

    /// The same of the numbers at these places.
    pub(crate) fn squares_at(&self, places: &[usize], a: &DMatrix<f64>) -> Vec<f64> {
        let whole = match self {
            ScaledJacobian::Thin(thin) => return thin.squares(places, a),
            ScaledJacobian::Whole(whole) => whole,
        };
        let bands = parallel::map(places.chunks(BLOCK), |places| {
            let band = whole.select_rows(places);
            (&band * a).component_mul(&band).column_sum()
        });
        bands.iter().flat_map(|band| band.iter().copied()).collect()
    }

    /// `H P Hᵀ`, one row and one column for each reading. It is symmetric, so only the lower part is
    /// computed, a band of columns at a time.
    pub(crate) fn own(&self) -> DMatrix<f64> {
        let whole = match self {
            ScaledJacobian::Thin(thin) => return thin.squared(),
            ScaledJacobian::Whole(whole) => whole,
        };
        let n = whole.ncols();
        let rows = whole.transpose();
        let bands = parallel::map((0..n).step_by(BLOCK), |start| {
            let columns = whole.columns(start, BLOCK.min(n - start));
            (start, rows.rows(start, n - start) * columns)
        });
        let mut own = DMatrix::zeros(n, n);
        for (start, band) in bands {
            own.view_mut((start, start), band.shape()).copy_from(&band);
        }
        own.fill_upper_triangle_with_lower_triangle();
        own
    }

    /// Measures each number in another unit.
    pub(crate) fn scale(&mut self, by: &[f64]) {
        match self {
            ScaledJacobian::Thin(thin) => thin.scale_columns(by),
            ScaledJacobian::Whole(whole) => {
                for (mut row, by) in whole.row_iter_mut().zip(by) {
                    row *= *by;
                }
            }
        }
    }

    /// How many numbers it has derivatives by.
    pub(crate) fn numbers(&self) -> usize {
        match self {
            ScaledJacobian::Thin(thin) => thin.columns(),
            ScaledJacobian::Whole(whole) => whole.nrows(),
        }
    }

    fn readings(&self) -> usize {
        match self {
            ScaledJacobian::Thin(thin) => thin.rows(),
            ScaledJacobian::Whole(whole) => whole.ncols(),
        }
    }
}

fn thin(rows: &[&Observation], numbers: usize) -> Option<Thin> {
    let sizes: Vec<f64> = rows.iter().map(|row| row.own().sqrt()).collect();
    let rows: Vec<&[f64]> = rows.iter().map(|row| row.jacobian.as_slice()).collect();
    Thin::of(&rows, (&sizes, &vec![1.0; numbers]), DROPPED)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observation::Printed;

    #[test]
    fn a_large_table_says_the_same_as_its_whole_matrix() {
        // 60 stages of three readings and four numbers on one rail, which a fourth part of the
        // readings and numbers hardly follow.
        let rows: Vec<Observation> = (0..180)
            .map(|reading| Observation {
                printed: Printed {
                    value: 1.0,
                    resolution: 0.1,
                },
                model: 0.0,
                ohms: 1e3,
                noise: 0.1,
                common: None,
                jacobian: (0..240)
                    .map(|number: usize| {
                        let near = f64::from(u8::from(number / 4 == reading / 3));
                        let follows = [1.0, 0.5, 1e-4][reading % 3] * (1.0 + number as f64);
                        near * (3.0 + (number % 5) as f64) + 1e-4 * follows
                    })
                    .collect(),
            })
            .collect();
        let rows: Vec<&Observation> = rows.iter().collect();
        let thin = ScaledJacobian::of(&rows);
        assert!(matches!(thin, ScaledJacobian::Thin(_)));
        let columns: Vec<DVector<f64>> = rows
            .iter()
            .map(|row| DVector::from_column_slice(&row.jacobian))
            .collect();
        let whole = ScaledJacobian::Whole(DMatrix::from_columns(&columns));
        // What is dropped is at most 1e-9 of a row, 240 times; rows are up to 10 V.
        let close = 240.0 * DROPPED * 100.0;
        let own = whole.own();
        assert!((thin.own() - &own).amax() < close);
        let pairs = thin.squares(&own).into_iter().zip(whole.squares(&own));
        for (got, want) in pairs {
            assert!((got - want).abs() < close * want, "{got} {want}");
        }
        let (some, x) = (&rows[..3], DVector::from_element(180, 1.0));
        assert!((thin.shared(some) - whole.shared(some)).amax() < close);
        assert!((thin.times(&x) - whole.times(&x)).amax() < 180.0 * close);
    }
}
