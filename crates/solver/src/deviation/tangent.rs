//! What the moved slopes of a few devices make of a circuit's tangent.
//!
//! With `B = ∂f/∂u − G`, which is next to nothing but for a few terminals `s`,
//!
//! ```text
//! (1 + ZB)⁻¹ = 1 − Z_s N,   N = B_s (1 + Z_ss B_s)⁻¹
//! ```
//!
//! needs no more than a matrix of their number.

use nalgebra::{DMatrix, DVector};

use super::rows::Rows;
use super::{distance, largest, ActiveDevices, Deviation, STRONG};
use crate::law::Evaluation;

/// A slope that has moved by less than this counts as where it was in the tangent of an altered
/// circuit.
const CLOSELY: f64 = 1e-5;

/// Rounds of iteration for a tangent, and how closely it is met, as a share.
const MOST_ROUNDS: usize = 40;

/// See [`MOST_ROUNDS`].
const TANGENT: f64 = 1e-9;

/// What the devices' moved slopes do.
pub(crate) struct Moved {
    /// Terminals `s` whose slopes have moved, as rows.
    pub(crate) rows: Vec<usize>,
    /// `N`
    pub(crate) slopes: DMatrix<f64>,
}

impl Deviation<'_> {
    /// What the slopes do that have moved from `G`.
    pub(crate) fn moved(&self, evaluations: &[Evaluation]) -> Option<Moved> {
        let moved = Rows::moved(
            self,
            evaluations,
            &ActiveDevices::all(evaluations.len()),
            CLOSELY,
        );
        let count = moved.rows.len();
        let mut slopes = DMatrix::zeros(count, count);
        moved.jacobian_change(self, evaluations, |row, column, change| {
            slopes[(row, column)] += change;
        });
        if count > 0 {
            let return_difference =
                moved.return_difference(self, evaluations, &moved.impedances(self));
            slopes *= return_difference.lu().try_inverse()?;
        }
        Some(Moved {
            rows: moved.rows,
            slopes,
        })
    }

    /// `λ = (Y + G + B)⁻ᵀt` from `w = Zᵀt`, and whether the determinant of the equations has changed
    /// its sign on the way. None where that is singular.
    pub(crate) fn adjoint(
        &self,
        now: (&[Evaluation], &ActiveDevices),
        linear: &DVector<f64>,
    ) -> Option<(DVector<f64>, bool)> {
        self.adjoint_by(now, linear, STRONG)
            .or_else(|| self.adjoint_by(now, linear, 0.0))
    }

    /// By sweeps, in each of which the slopes that have moved by more than `least` are met exactly.
    fn adjoint_by(
        &self,
        (evaluations, active): (&[Evaluation], &ActiveDevices),
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
        let mut adjoint = linear.clone();
        for _ in 0..MOST_ROUNDS {
            let mut answered = DVector::zeros(linear.len());
            for place in moved.others() {
                self.jacobian_change(place, &evaluations[place], &mut |row, column, change| {
                    answered[column] += change * adjoint[row];
                });
            }
            let mut next = linear.clone();
            if moved.others().next().is_some() {
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
