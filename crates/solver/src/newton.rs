//! The operating point of a circuit with tubes and semiconductors, by Newton's method.
//!
//! Each step solves the circuit with every device replaced by its tangent. A step is taken in
//! full unless that would be rash:
//!
//! - no node moves by more than 100 V, and no junction by more than its limiter allows;
//! - the simplified correction `−J⁻¹F(x + k·Δ)` must be shorter than `(1 − k/4)` times the step
//!   `Δ`, else `k` is halved. This natural test does not depend on how the currents are scaled
//!   (P. Deuflhard, "Newton Methods for Nonlinear Problems", 2004, section 2.1; from memory).
//!
//! If that fails, a conductance from every node to its reference is added and taken away in
//! steps; if that fails too, the sources are raised from zero in steps.

use nalgebra::DVector;

use crate::convergence::{Convergence, Path};
use crate::error::SolveError;
use crate::factor::Factor;
use crate::problem::Problem;

/// Steps after which a start is given up.
const MOST_STEPS: usize = 200;

/// Largest change of a node in one step, in volts.
const LARGEST_STEP: f64 = 100.0;

/// Halvings after which a step is given up: 2⁻³⁰ of a step changes nothing any more.
const MOST_HALVINGS: usize = 30;

/// A step of less than this share of the largest node voltage, plus [`SETTLED_VOLTS`], is the
/// last: one more would be lost in rounding.
const SETTLED_SHARE: f64 = 1e-11;

/// See [`SETTLED_SHARE`].
const SETTLED_VOLTS: f64 = 1e-12;

/// Conductances of the first fall-back in siemens, then nothing.
const STEPPING: [f64; 8] = [1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-8, 1e-10, 0.0];

/// Shares of the sources in the second fall-back.
const RAISING: [f64; 20] = [
    0.01, 0.02, 0.04, 0.07, 0.1, 0.15, 0.2, 0.25, 0.3, 0.36, 0.42, 0.5, 0.58, 0.66, 0.74, 0.82,
    0.88, 0.94, 0.97, 1.0,
];

/// A state that meets the equations, with the Jacobian factored there.
pub(crate) struct State {
    pub(crate) x: DVector<f64>,
    pub(crate) factor: Factor,
    pub(crate) convergence: Convergence,
}

/// Why a start led nowhere.
struct Stuck {
    steps: usize,
    x: DVector<f64>,
}

/// Solves from a start, or from zero volts where that fails.
///
/// # Errors
/// [`SolveError::NoConvergence`] naming the worst node and device, [`SolveError::Singular`].
pub(crate) fn solve(problem: &Problem, start: &DVector<f64>) -> Result<State, SolveError> {
    let first = match descend(problem, start, Path::Direct)? {
        Ok(state) => return Ok(state),
        Err(stuck) => stuck,
    };
    for (path, ladder) in [
        (Path::ConductanceStepping, rungs_of_conductance(problem)),
        (Path::SourceStepping, rungs_of_source(problem)),
    ] {
        if let Some(state) = climb(&ladder, path)? {
            return Ok(state);
        }
    }
    let (node, device, amperes) = problem.worst(&first.x);
    Err(SolveError::NoConvergence {
        node,
        device,
        amperes,
        steps: first.steps,
    })
}

fn rungs_of_conductance<'a>(problem: &Problem<'a>) -> Vec<Problem<'a>> {
    STEPPING
        .iter()
        .map(|siemens| problem.with_tie(*siemens))
        .collect()
}

fn rungs_of_source<'a>(problem: &Problem<'a>) -> Vec<Problem<'a>> {
    RAISING
        .iter()
        .map(|share| problem.with_source_share(*share))
        .collect()
}

/// Solves a chain of easier problems, each from the answer of the one before.
fn climb(ladder: &[Problem], path: Path) -> Result<Option<State>, SolveError> {
    let mut state: Option<State> = None;
    let mut steps = 0;
    for rung in ladder {
        let start = match &state {
            Some(state) => state.x.clone(),
            None => DVector::zeros(rung.size()),
        };
        match descend(rung, &start, path)? {
            Ok(mut found) => {
                steps += found.convergence.steps;
                found.convergence.steps = steps;
                state = Some(found);
            }
            Err(_) => return Ok(None),
        }
    }
    Ok(state)
}

/// Newton's method from one start.
fn descend(
    problem: &Problem,
    start: &DVector<f64>,
    path: Path,
) -> Result<Result<State, Stuck>, SolveError> {
    let mut x = start.clone();
    for steps in 1..=MOST_STEPS {
        let (residual, jacobian) = problem.evaluate(&x);
        let factor = Factor::new(&jacobian);
        let Some(step) = factor.rough(&-&residual) else {
            return Ok(Err(Stuck { steps, x }));
        };
        let settled =
            problem.node_norm(&step) <= SETTLED_SHARE * problem.node_norm(&x) + SETTLED_VOLTS;
        if settled {
            x += &step;
            let (residual, jacobian) = problem.evaluate(&x);
            return Ok(Ok(State {
                factor: Factor::new(&jacobian),
                convergence: Convergence {
                    steps,
                    residual: problem.node_norm(&residual),
                    path,
                },
                x,
            }));
        }
        match accept(problem, &factor, &x, &step) {
            Some(next) => x = next,
            None => return Ok(Err(Stuck { steps, x })),
        }
    }
    Ok(Err(Stuck {
        steps: MOST_STEPS,
        x,
    }))
}

/// The longest part of a step that the tests allow.
fn accept(
    problem: &Problem,
    factor: &Factor,
    x: &DVector<f64>,
    step: &DVector<f64>,
) -> Option<DVector<f64>> {
    let length = problem.node_norm(step);
    let mut share = (LARGEST_STEP / length).min(1.0);
    share = share.min(problem.junction_share(x, &(step * share)) * share);
    for _ in 0..MOST_HALVINGS {
        let next = x + step * share;
        let simplified = factor.rough(&-problem.residual(&next))?;
        if problem.node_norm(&simplified) <= (1.0 - share / 4.0) * length {
            return Some(next);
        }
        share /= 2.0;
    }
    // Rounding alone can keep the test from passing right at the solution.
    let close = length <= 1e-6 * problem.node_norm(x) + 1e-9;
    close.then(|| x + step)
}
