//! The stable states of a circuit whose operating point is unstable.
//!
//! A flip-flop has three operating points. Newton's method from zero volts finds the symmetric one,
//! and no real set stays there: with some capacitance at every row, `D dv/dt = −F(v)`, any disturbance
//! grows. Such a state is recognised by the determinant of its Jacobian, which is negative where an
//! odd number of disturbances grow. The fastest of them is followed in both directions to a stable
//! state.
//!
//! Where the state found first is stable, nothing in it shows that there are others. If one is asked
//! for, each device in turn is kept without current, and the circuit is solved from there: in the
//! other state of a flip-flop or trigger the device that conducts is cut off.

use circuit::PartId;
use nalgebra::{DMatrix, DVector};

use crate::equations::Equations;
use crate::factors::Factors;
use crate::newton::{self, FallBacks};
use crate::reduced::Problem;
use crate::solution::Solution;

/// The disturbance at first, in volts at the row that it moves most.
const NUDGE: f64 = 0.2;

/// Length of a step in time, over that in which the fastest disturbance grows by e.
const TIME_STEP: f64 = 0.5;

/// Squarings of one step in time: after 2¹² steps only the fastest disturbance is left.
const SQUARINGS: usize = 12;

/// Steps in time after which the disturbance is given up, and after how many each a rest is sought.
const MOST_STEPS: usize = 3000;

/// See [`MOST_STEPS`].
const LOOK_EVERY: usize = 25;

/// Conductance in siemens that holds a row which no other part holds.
const STRAY: f64 = 1e-12;

/// States whose rows differ by less than this many volts are one.
const ALIKE: f64 = 1e-3;

/// Whether an odd number of disturbances grow.
pub(crate) fn is_unstable(equations: &Equations, kept: &DVector<f64>) -> bool {
    let balance = Problem::new(&equations.reduced, None).balance(kept);
    Factors::new(&balance.jacobian).is_negative()
}

/// The stable states that the fastest disturbance of an unstable one leads to: two, one or none.
pub(crate) fn stable_states(equations: &Equations, unstable: &DVector<f64>) -> Vec<Solution> {
    let mut found: Vec<Solution> = Vec::new();
    let Some((mode, rates)) = fastest(equations, unstable) else {
        return found;
    };
    for sign in [1.0, -1.0] {
        let start = unstable + &mode * (sign * NUDGE);
        let mut each = rates.iter();
        let rest = each.find_map(|rate| follow(equations, (unstable, *rate), start.clone()));
        if let Some(state) = rest {
            if found.iter().all(|known| differ(&known.kept, &state.kept)) {
                found.push(state);
            }
        }
    }
    found
}

/// Adds the stable states that Newton's method finds from the circuit with one device without current.
pub(crate) fn add_silent_states(equations: &Equations, known: &mut Vec<Solution>) {
    let mut parts: Vec<PartId> = Vec::new();
    for device in &equations.reduced.devices {
        if !parts.contains(&device.part) {
            parts.push(device.part);
        }
    }
    let problem = Problem::new(&equations.reduced, None);
    let at_zero = equations.network.at_zero();
    for part in parts {
        let mut silent = equations.reduced.clone();
        silent.devices.retain(|device| device.part != part);
        // A row that only the device joins to others is held by this.
        let silent = Problem {
            stray: STRAY,
            ..Problem::new(&silent, None)
        };
        let from = |problem: &Problem<'_>, start: &DVector<f64>| {
            newton::solve(problem, &equations.network, start, FallBacks::Tried).ok()
        };
        let rest = from(&silent, &at_zero).and_then(|start| from(&problem, &start.x));
        let rest = rest.filter(|rest| {
            let is_new = |known: &Solution| differ(&known.kept, &rest.x);
            known.iter().all(is_new) && !is_unstable(equations, &rest.x)
        });
        known.extend(rest.and_then(|rest| equations.clone().at(rest.x, rest.convergence).ok()));
    }
}

fn differ(a: &DVector<f64>, b: &DVector<f64>) -> bool {
    (a - b).amax() > ALIKE
}

/// The disturbance that grows fastest, one volt at the row it moves most, and the most
/// that any could grow by, what this one does, and a rate between them, in units of what a row does by itself. On the
/// way another may grow faster, so steps of the first are the safe ones and steps of the last the
/// fewer.
fn fastest(equations: &Equations, at: &DVector<f64>) -> Option<(DVector<f64>, [f64; 3])> {
    let jacobian = Problem::new(&equations.reduced, None).balance(at).jacobian;
    let most = (0..jacobian.nrows())
        .map(|row| jacobian.row(row).abs().sum() / jacobian[(row, row)])
        .fold(1.0, f64::max);
    let storage = DMatrix::from_diagonal(&(jacobian.diagonal() * (most / TIME_STEP)));
    // One implicit step, v ← (D/τ + J)⁻¹ (D/τ) v, squared again and again.
    let mut step = Factors::new(&(&jacobian + &storage)).inverse()? * storage;
    for _ in 0..SQUARINGS {
        step = &step * &step;
        let size = step.amax();
        if !(size > 0.0 && size.is_finite()) {
            return None;
        }
        step /= size;
    }
    let column = (0..step.ncols()).max_by(|a, b| {
        let size = |column: &usize| step.column(*column).amax();
        size(a).total_cmp(&size(b))
    })?;
    let mode = step.column(column).into_owned();
    let mode = &mode / mode.amax();
    // J v = λ D v, λ below zero
    let own = jacobian.diagonal().component_mul(&mode).dot(&mode);
    let rate = -(&jacobian * &mode).dot(&mode) / own;
    (rate > 0.0 && rate.is_finite()).then_some((mode, [most, (most * rate).sqrt(), rate]))
}

/// Follows a disturbed state in time to a state at rest.
fn follow(
    equations: &Equations,
    (from, rate): (&DVector<f64>, f64),
    start: DVector<f64>,
) -> Option<Solution> {
    let problem = Problem::new(&equations.reduced, None);
    let mut x = start;
    for step in 1..=MOST_STEPS {
        let balance = problem.balance(&x);
        let storage = DMatrix::from_diagonal(&(balance.jacobian.diagonal() * (rate / TIME_STEP)));
        let moved = Factors::new(&(balance.jacobian + storage)).solve(&-balance.residual)?;
        if !moved.amax().is_finite() {
            return None;
        }
        x += moved;
        if step % LOOK_EVERY == 0 {
            let rest = newton::solve(&problem, &equations.network, &x, FallBacks::Tried).ok();
            let rest = rest.filter(|rest| {
                // Close by, or it may be a state that the disturbance does not lead to.
                differ(&rest.x, from)
                    && !is_unstable(equations, &rest.x)
                    && (&rest.x - &x).amax() < 0.1 * (1.0 + (&rest.x - from).amax())
            });
            if let Some(rest) = rest {
                return equations.clone().at(rest.x, rest.convergence).ok();
            }
        }
    }
    None
}
