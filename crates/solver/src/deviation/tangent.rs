//! A circuit's tangent with the changed derivatives of a few devices.
//!
//! With `B = ∂f/∂u − G`, which is negligible except at a few terminals `s`,
//!
//! ```text
//! (1 + ZB)⁻¹ = 1 − Z_s N,   N = (1 + B_s Z_ss)⁻¹ B_s
//! ```
//!
//! takes a matrix with one row and one column for each of those terminals into which another current flows.

use nalgebra::{DMatrix, DVector};

use super::changed::same_rows;
use super::rows::Rows;
use super::{distance, largest, ActiveDevices, Deviation, STRONG};
use crate::law::{Evaluation, MOST_TERMINALS};

/// A derivative that has changed by less than this, times the resistance at its terminals, counts as
/// unchanged in the tangent of an altered circuit.
const CLOSELY: f64 = 1e-5;

/// Of a device whose slopes `B` have moved so little that `B Z B`, times the resistance at its
/// terminals, is less than this, the tangent of an altered circuit has `B` alone. Of other devices it has the rows
/// of `B` alone that are less than this, such as those of grids that draw next to nothing.
const WEAK: f64 = 1e-4;

/// A row of `B` stays alone below this share of that: what it moves may be amplified.
const ROWS: f64 = 0.01;

/// The same where sensitivities rest on it.
const WEAK_CLOSELY: f64 = 1e-6;

/// Rounds of iteration for a tangent, and how closely it is met, as a share.
const MOST_ROUNDS: usize = 40;

/// See [`MOST_ROUNDS`].
const TANGENT: f64 = 1e-9;

/// The effect of the devices' changed derivatives.
pub(crate) struct Moved {
    /// Terminals `s` of the devices whose derivatives have changed far, as rows.
    pub(crate) rows: Vec<usize>,
    /// Those of them whose currents have.
    pub(crate) fed: Vec<usize>,
    /// `N`, one row for each of the latter and one column for each of the former.
    pub(crate) slopes: DMatrix<f64>,
    /// The entries of `B` of those whose slopes have moved a little, by rows.
    pub(crate) weak: Vec<(usize, usize, f64)>,
}

impl Deviation<'_> {
    /// The effect of the derivatives of active devices that have changed from `G`, those that have changed a little by
    /// themselves; fewer of them `closely`.
    pub(crate) fn moved(
        &self,
        (evaluations, active): (&[Evaluation], &ActiveDevices),
        closely: bool,
    ) -> Option<Moved> {
        let moved = Rows::moved(self, evaluations, active, CLOSELY);
        let weak_at = if closely { WEAK_CLOSELY } else { WEAK };
        let far = |place: &usize| !self.is_weak(*place, &evaluations[*place], weak_at);
        let (far, little): (Vec<usize>, Vec<usize>) = moved.devices().partition(far);
        let mut weak = Vec::new();
        for place in &little {
            self.jacobian_change(*place, &evaluations[*place], &mut |row, column, change| {
                weak.push((row, column, change));
            });
        }
        let moved = Rows::of(self, far, little);
        let (fed, slopes) =
            moved.answered_slopes(self, evaluations, ROWS * weak_at, |row, column, change| {
                weak.push((row, column, change));
            })?;
        Some(Moved {
            fed: fed.iter().map(|place| moved.rows[*place]).collect(),
            rows: moved.rows,
            slopes,
            weak,
        })
    }

    /// Whether what a device's moved slopes do to themselves may be left out.
    fn is_weak(&self, place: usize, now: &Evaluation, weak_at: f64) -> bool {
        let device = &self.devices[place];
        if !same_rows(device, &self.before[place]) {
            return false;
        }
        let tangent = &self.tangents[place];
        let change = |i: usize, j: usize| now.conductance[i][j] - tangent.conductance[i][j];
        let mut ohms = [[0.0; MOST_TERMINALS]; MOST_TERMINALS];
        for (i, row) in device.rows() {
            for (j, column) in device.rows() {
                ohms[i][j] = self.impedances.at(row, column);
            }
        }
        let mut answered = [[0.0; MOST_TERMINALS]; MOST_TERMINALS];
        for (i, _) in device.rows() {
            for (j, _) in device.rows() {
                let each = device.rows();
                answered[i][j] = each.map(|(k, _)| change(i, k) * ohms[k][j]).sum();
            }
        }
        let mut pairs = device
            .rows()
            .flat_map(|(i, _)| device.rows().map(move |(j, _)| (i, j)));
        pairs.all(|(i, j)| {
            let each = device.rows();
            let twice: f64 = each.map(|(k, _)| answered[i][k] * change(k, j)).sum();
            // What is no number is not weak.
            twice * twice * (ohms[i][i] * ohms[j][j]).abs() <= weak_at * weak_at
        })
    }

    /// `λ = (Y + G + B)⁻ᵀt` from `w = Zᵀt`, and whether the determinant of the equations has changed
    /// its sign on the way. None where that is singular.
    pub(crate) fn adjoint(
        &self,
        evaluations: &[Evaluation],
        active: &ActiveDevices,
        linear: &DVector<f64>,
    ) -> Option<(DVector<f64>, bool)> {
        self.adjoint_by(evaluations, active, linear, STRONG)
            .or_else(|| self.adjoint_by(evaluations, active, linear, 0.0))
    }

    /// By sweeps; each solves exactly for the derivatives that have changed by more than `least`.
    fn adjoint_by(
        &self,
        evaluations: &[Evaluation],
        active: &ActiveDevices,
        linear: &DVector<f64>,
        least: f64,
    ) -> Option<(DVector<f64>, bool)> {
        // λ = w − Zᵀ B_wᵀ λ − Zᵀ B_sᵀ λ_s,  (1 + Z_ssᵀ B_sᵀ) λ_s = (w − Zᵀ B_wᵀ λ)_s
        let moved = Rows::moved(self, evaluations, active, least);
        let impedances = moved.impedances(self).transpose();
        let mut return_difference = DMatrix::identity(moved.rows.len(), moved.rows.len());
        moved.jacobian_change(self, evaluations, |row, column, change| {
            let mut own = return_difference.column_mut(row);
            own.axpy(change, &impedances.column(column), 1.0);
        });
        let factors = return_difference.lu();
        let turned = !moved.rows.is_empty() && factors.determinant() < 0.0;
        let enough = TANGENT * largest(linear);
        let mut others = Vec::new();
        for place in moved.others() {
            self.jacobian_change(place, &evaluations[place], &mut |row, column, change| {
                others.push((row, column, change));
            });
        }
        let mut adjoint = linear.clone();
        for _ in 0..MOST_ROUNDS {
            let mut answered = DVector::zeros(linear.len());
            for (row, column, change) in &others {
                answered[*column] += change * adjoint[*row];
            }
            let mut next = linear.clone();
            if !moved.all() {
                next -= self.impedances.turned_times(&answered);
            }
            if !moved.rows.is_empty() {
                let own = factors.solve(&next.select_rows(&moved.rows))?;
                let mut answered: DVector<f64> = DVector::zeros(own.len());
                moved.jacobian_change(self, evaluations, |row, column, change| {
                    answered[column] += change * own[row];
                });
                let mut whole = DVector::zeros(next.len());
                for (row, amperes) in moved.rows.iter().zip(answered.iter()) {
                    whole[*row] = *amperes;
                }
                next -= self.impedances.turned_times(&whole);
            }
            let left = distance(&next, &adjoint);
            adjoint = next;
            // With no other device the first sweep is exact.
            if left <= enough || moved.all() {
                return Some((adjoint, turned));
            }
        }
        None
    }

    /// About how many volts would stand across a device's first two terminals if it carried
    /// nothing, by the tangent at a state.
    pub(crate) fn volts_without(&self, place: usize, volts: &DVector<f64>) -> Option<f64> {
        let size = volts.len();
        let device = self.devices.get(place)?;
        let mut slopes = DMatrix::zeros(size, size);
        for (other, own) in self.devices.iter().enumerate() {
            let now = if other == place {
                Evaluation::NONE
            } else {
                own.at(volts)
            };
            self.jacobian_change(other, &now, &mut |row, column, change| {
                slopes[(row, column)] += change;
            });
        }
        let mut into = DVector::zeros(size);
        for (terminal, row) in device.rows() {
            match terminal {
                0 => into[row] += 1.0,
                1 => into[row] -= 1.0,
                _ => {}
            }
        }
        let mut return_difference = DMatrix::identity(size, size);
        for (column, mut found) in return_difference.column_iter_mut().enumerate() {
            found += self.impedances.times(&slopes.column(column).into_owned());
        }
        let response = return_difference
            .lu()
            .solve(&self.impedances.times(&into))?;
        let ohms = into.dot(&response);
        Some(device.volts_across(volts) + ohms * device.at(volts).current[0])
    }
}
