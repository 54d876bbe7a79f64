//! The devices whose slopes have moved, and the rows that they touch.

use nalgebra::DMatrix;

use super::{ActiveDevices, Deviation};
use crate::law::Evaluation;

/// Some devices of a circuit and their rows.
pub(super) struct Rows {
    pub(super) rows: Vec<usize>,
    /// The place of each row of the circuit among them.
    pub(super) places: Vec<Option<usize>>,
    moved: Vec<usize>,
    others: Vec<usize>,
}

impl Rows {
    /// Of those devices that are awake and whose slopes have moved by more than this share.
    pub(super) fn moved(
        deviation: &Deviation<'_>,
        evaluations: &[Evaluation],
        active: &ActiveDevices,
        least: f64,
    ) -> Self {
        let each = active.places().iter().copied();
        let (moved, others): (Vec<usize>, Vec<usize>) =
            each.partition(|place| deviation.has_moved(*place, &evaluations[*place], least));
        let mut places = vec![None; deviation.from.len()];
        let mut rows = Vec::new();
        for place in &moved {
            let before = deviation.before[*place].rows();
            for (_, row) in deviation.devices[*place].rows().chain(before) {
                if places[row].is_none() {
                    places[row] = Some(rows.len());
                    rows.push(row);
                }
            }
        }
        Rows {
            rows,
            places,
            moved,
            others,
        }
    }

    /// Whether no device is left out.
    pub(super) fn all(&self) -> bool {
        self.others.is_empty()
    }

    /// These devices.
    pub(super) fn devices(&self) -> impl Iterator<Item = usize> + '_ {
        self.moved.iter().copied()
    }

    /// The other devices that are awake.
    pub(super) fn others(&self) -> impl Iterator<Item = usize> + '_ {
        self.others.iter().copied()
    }

    /// The entries of `B_s`, by the places of their rows, with what each device of the circuit does.
    pub(super) fn jacobian_change(
        &self,
        deviation: &Deviation<'_>,
        evaluations: &[Evaluation],
        mut visit: impl FnMut(usize, usize, f64),
    ) {
        for place in self.devices() {
            deviation.jacobian_change(place, &evaluations[place], &mut |row, column, change| {
                if let (Some(row), Some(column)) = (self.places[row], self.places[column]) {
                    visit(row, column, change);
                }
            });
        }
    }

    /// `Z_ss`
    pub(super) fn impedances(&self, deviation: &Deviation<'_>) -> DMatrix<f64> {
        let (count, rows) = (self.rows.len(), &self.rows);
        let between = |i: usize, j: usize| deviation.impedances.at(rows[i], rows[j]);
        DMatrix::from_fn(count, count, between)
    }

    /// `1 + Z_ss B_s`
    pub(super) fn return_difference(
        &self,
        deviation: &Deviation<'_>,
        evaluations: &[Evaluation],
        impedances: &DMatrix<f64>,
    ) -> DMatrix<f64> {
        let count = self.rows.len();
        let mut return_difference = DMatrix::identity(count, count);
        // B has a few entries for each device, so one by one they cost less than a product.
        self.jacobian_change(deviation, evaluations, |row, column, change| {
            let mut own = return_difference.column_mut(column);
            own.axpy(change, &impedances.column(row), 1.0);
        });
        return_difference
    }
}
