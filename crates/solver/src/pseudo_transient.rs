//! A rest found by following the circuit in time, where Newton's method and its easier problems fail.
//!
//! Two transistors that feed each other may have a fold between zero volts and their state: the solution of
//! the easier problems ends there, and Newton's method stays where its Jacobian is nearly singular. Time
//! passes folds. With some capacitance at every row, `D dv/dt = −F(v)`, implicit steps
//!
//! ```text
//! (J + ρ D) Δ = −F(v)
//! ```
//!
//! are taken: longer ones, with a smaller rate `ρ`, after each that the step's own equations bear out, and
//! shorter ones after others (C. T. Kelley, D. E. Keyes, "Convergence analysis of pseudo-transient
//! continuation", SIAM J. Numerical Analysis 35, 1998, pp. 508-523; from memory). `D` is the diagonal of
//! the Jacobian, so that every row by itself moves at the same pace. A state that is found so is a stable one.

use nalgebra::{DMatrix, DVector};

use crate::damping::{limited_share, passes};
use crate::factors::Factors;
use crate::reduced::Problem;

/// Rate of the first step: a row by itself goes half of its way.
const FIRST_RATE: f64 = 1.0;

/// Factor by which the rate falls after a step that is borne out …
const EASED: f64 = 0.5;

/// … rises after one that a limiter has cut …
const CUT: f64 = 2.0;

/// … and after one that is not borne out.
const TIGHTENED: f64 = 8.0;

/// With a higher rate nothing moves any more.
const HIGHEST_RATE: f64 = 1e12;

/// Steps after which it is given up.
const MOST_STEPS: usize = 160;

/// Steps between two attempts of Newton's method from where the circuit has come to.
const ATTEMPT_EVERY: usize = 10;

/// Follows a circuit from zero volts, and gives `arrived` each place where it may be close to rest, until that
/// returns a state.
pub(crate) fn follow<S>(
    problem: &Problem<'_>,
    mut arrived: impl FnMut(&DVector<f64>, usize) -> Option<S>,
) -> Option<S> {
    let mut x = DVector::zeros(problem.size());
    let mut rate = FIRST_RATE;
    for steps in 1..=MOST_STEPS {
        let balance = problem.balance(&x);
        let storage = balance.jacobian.diagonal() * rate;
        let jacobian = balance.jacobian + DMatrix::from_diagonal(&storage);
        let factors = Factors::new(&jacobian);
        let step = factors.solve(&-balance.residual)?;
        let length = problem.norm(&step);
        if !length.is_finite() {
            return None;
        }
        let share = limited_share(problem, &x, &step);
        let next = &x + &step * share;
        // What is left of the step's own equations.
        let left = problem.residual(&next) + storage.component_mul(&(&next - &x));
        let left = problem.norm(&factors.solve(&-left)?);
        if passes(left, share, length) {
            x = next;
            // A step that had to be cut was too long.
            rate *= if share < 1.0 { CUT } else { EASED };
        } else {
            rate *= TIGHTENED;
        }
        if rate > HIGHEST_RATE {
            return None;
        }
        if steps % ATTEMPT_EVERY == 0 {
            if let Some(state) = arrived(&x, steps) {
                return Some(state);
            }
        }
    }
    None
}
