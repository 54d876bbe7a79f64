//! The devices whose derivatives have changed, and the rows that they touch.

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
    /// The active devices whose derivatives have changed by more than this share.
    pub(super) fn moved(
        deviation: &Deviation<'_>,
        evaluations: &[Evaluation],
        active: &ActiveDevices,
        least: f64,
    ) -> Self {
        let each = active.places().iter().copied();
        let (moved, others): (Vec<usize>, Vec<usize>) =
            each.partition(|place| deviation.has_moved(*place, &evaluations[*place], least));
        Rows::of(deviation, moved, others)
    }

    /// Of some devices, beside others.
    pub(super) fn of(deviation: &Deviation<'_>, moved: Vec<usize>, others: Vec<usize>) -> Self {
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

    /// The other active devices.
    pub(super) fn others(&self) -> impl Iterator<Item = usize> + '_ {
        self.others.iter().copied()
    }

    /// The entries of `B_s`, by the places of their rows, for these evaluations of all devices.
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

    /// The places of those of these rows into which another current flows, and
    /// `N = (1 + B_s Z_ss)⁻¹ B_s` there, one column for each of these rows. A row of `B_s` whose entries, times
    /// the resistances at their terminals, are less than `least` is visited instead, entry by entry.
    pub(super) fn answered_slopes(
        &self,
        deviation: &Deviation<'_>,
        evaluations: &[Evaluation],
        least: f64,
        mut visit: impl FnMut(usize, usize, f64),
    ) -> Option<(Vec<usize>, DMatrix<f64>)> {
        let impedances = self.impedances(deviation);
        let ohms = impedances.diagonal();
        let mut entries = Vec::new();
        let mut is_fed = vec![false; self.rows.len()];
        self.jacobian_change(deviation, evaluations, |row, column, change| {
            entries.push((row, column, change));
            // What is no number counts.
            let is_small = change * change * (ohms[row] * ohms[column]).abs() <= least * least;
            is_fed[row] |= !is_small;
        });
        let fed: Vec<usize> = (0..is_fed.len()).filter(|row| is_fed[*row]).collect();
        let mut slopes = DMatrix::zeros(fed.len(), self.rows.len());
        let mut return_difference = DMatrix::identity(fed.len(), fed.len());
        for (row, column, change) in entries {
            if !is_fed[row] {
                visit(self.rows[row], self.rows[column], change);
                continue;
            }
            let own = fed.partition_point(|place| *place < row);
            slopes[(own, column)] += change;
            for (place, through) in fed.iter().enumerate() {
                return_difference[(own, place)] += change * impedances[(column, *through)];
            }
        }
        if !fed.is_empty() {
            slopes = return_difference.lu().solve(&slopes)?;
        }
        Some((fed, slopes))
    }

    /// `Z_ss`, one row and one column for each of these rows.
    pub(super) fn impedances(&self, deviation: &Deviation<'_>) -> DMatrix<f64> {
        deviation.impedances.among(&self.rows)
    }

    /// The return difference `1 + Z_ss B_s`, one row and one column for each of these rows.
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
