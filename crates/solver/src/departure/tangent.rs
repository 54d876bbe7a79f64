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

use super::{largest, Departure};
use crate::impedances::Impedances;
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
    /// Whether the determinant of the equations has changed its sign.
    pub(crate) turned: bool,
}

impl Moved {
    /// `v − Z_sᵀNᵀv_s`
    fn answer(&self, impedances: &Impedances<'_>, vector: &mut DVector<f64>) {
        if self.rows.is_empty() {
            return;
        }
        let answer = self.slopes.tr_mul(&vector.select_rows(self.rows.iter()));
        for column in 0..vector.len() {
            let each = self.rows.iter().zip(answer.iter());
            vector[column] -= each
                .map(|(row, amperes)| amperes * impedances.at(*row, column))
                .sum::<f64>();
        }
    }
}

impl Departure<'_> {
    /// What the slopes do that have moved from `G`.
    pub(crate) fn moved(&self, evaluations: &[Evaluation]) -> Option<Moved> {
        self.exactly(evaluations, CLOSELY)
    }

    fn exactly(&self, evaluations: &[Evaluation], least: f64) -> Option<Moved> {
        let each = evaluations.iter().enumerate();
        let moved: Vec<_> = each
            .filter(|(place, now)| self.has_moved(*place, now, least))
            .collect();
        let mut places = vec![None; self.from.len()];
        let mut rows = Vec::new();
        for (place, now) in &moved {
            self.bend(*place, now, &mut |row, _, _| {
                if places[row].is_none() {
                    places[row] = Some(rows.len());
                    rows.push(row);
                }
            });
        }
        let count = rows.len();
        let mut slopes = DMatrix::zeros(count, count);
        if count == 0 {
            return Some(Moved {
                slopes,
                rows,
                turned: false,
            });
        }
        for (place, now) in &moved {
            self.bend(*place, now, &mut |row, column, change| {
                if let (Some(row), Some(column)) = (places[row], places[column]) {
                    slopes[(row, column)] += change;
                }
            });
        }
        let own = DMatrix::from_fn(count, count, |i, j| self.impedances.at(rows[i], rows[j]));
        let factors = (DMatrix::identity(count, count) + own * &slopes).lu();
        Some(Moved {
            turned: factors.determinant() < 0.0,
            slopes: slopes * factors.try_inverse()?,
            rows,
        })
    }

    /// `λ = (Y + G + B)⁻ᵀt` from `w = Zᵀt`, and whether the determinant of the equations has changed
    /// its sign on the way. None where that is singular.
    pub(crate) fn adjoint(
        &self,
        evaluations: &[Evaluation],
        straight: &DVector<f64>,
    ) -> Option<(DVector<f64>, bool)> {
        // λ = w − Zᵀ Bᵀ λ, the strong entries of B met exactly in every round.
        let strong = self.exactly(evaluations, self.least())?;
        let enough = TANGENT * largest(straight);
        let mut adjoint = straight.clone();
        for _ in 0..MOST_ROUNDS {
            let answered = self.bent(evaluations, &adjoint);
            let mut miss = straight - &adjoint - self.impedances.turned_times(&answered);
            strong.answer(&self.impedances, &mut miss);
            adjoint += &miss;
            if largest(&miss) <= enough {
                return Some((adjoint, strong.turned));
            }
        }
        let all = self.exactly(evaluations, 0.0)?;
        let mut adjoint = straight.clone();
        all.answer(&self.impedances, &mut adjoint);
        Some((adjoint, all.turned))
    }

    /// `Bᵀλ`
    fn bent(&self, evaluations: &[Evaluation], adjoint: &DVector<f64>) -> DVector<f64> {
        let mut answered = DVector::zeros(adjoint.len());
        for (place, now) in evaluations.iter().enumerate() {
            self.bend(place, now, &mut |row, column, change| {
                answered[column] += change * adjoint[row];
            });
        }
        answered
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
            self.bend(other, &now, &mut |row, column, change| {
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
        let mut yielding = DMatrix::identity(size, size);
        for (column, mut found) in yielding.column_iter_mut().enumerate() {
            found += self.impedances.times(&slopes.column(column).into_owned());
        }
        let response = yielding.lu().solve(&self.impedances.times(&into))?;
        let ohms = into.dot(&response);
        Some(device.volts_across(volts) + ohms * device.at(volts).current[0])
    }
}
