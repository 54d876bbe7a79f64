//! The operating point of a circuit with tubes and semiconductors, by Newton's method.
//!
//! Each step solves the circuit with every device replaced by its tangent. No row moves by more than
//! 100 V and no junction by more than its limiter allows; a step that then fails the natural test, with
//! the simplified correction `−J⁻¹F(x + k·Δ)`, is halved ([`crate::damping`]).
//!
//! The iteration ends when a step is negligible beside the volts, or when no equation has a larger
//! residual than the rounding of its own terms: a node behind 10¹² Ω cannot be found to the same
//! volts as one behind 1 Ω.
//!
//! If that fails, a conductance from every row to its reference is added and removed in steps; if
//! that fails too, the sources are raised from zero in steps, and at last the circuit is followed in time
//! ([`crate::pseudo_transient`]).

use nalgebra::DVector;

use crate::convergence::{Convergence, Path};
use crate::damping::{limited_share, passes, share_within, LARGEST_STEP};
use crate::error::SolveError;
use crate::factors::Factors;
use crate::network::Network;
use crate::pseudo_transient;
use crate::reduced::Problem;
use crate::unlimited::{short_circuit, within_reason};

/// Steps after which a start is given up.
const MOST_STEPS: usize = 200;

/// Steps of an attempt from where a search in time has come to: close to rest a dozen are enough.
const MOST_STEPS_TO_REST: usize = 40;

/// Halvings after which a step is given up: 2⁻³⁰ of a step changes nothing any more.
const MOST_HALVINGS: usize = 30;

/// A step of less than this share of the largest volts, plus [`SETTLED_VOLTS`], is the last: one
/// more would be lost in rounding.
const SETTLED_SHARE: f64 = 1e-11;

/// See [`SETTLED_SHARE`].
const SETTLED_VOLTS: f64 = 1e-12;

/// A step longer than this share of the one before makes no progress.
const SHORTER: f64 = 0.5;

/// After so many steps in a row that make no progress, only rounding of the corrections is left …
const MOST_IDLE: usize = 5;

/// … if they are shorter than this share of a volt and of the largest volts, which no meter shows.
const IDLE_SHARE: f64 = 1e-10;

/// Conductances of the first fall-back in siemens, then nothing.
const STEPPING: [f64; 8] = [1e-2, 1e-3, 1e-4, 1e-5, 1e-6, 1e-8, 1e-10, 0.0];

/// Shares of the sources in the second fall-back.
const RAISING: [f64; 20] = [
    0.01, 0.02, 0.04, 0.07, 0.1, 0.15, 0.2, 0.25, 0.3, 0.36, 0.42, 0.5, 0.58, 0.66, 0.74, 0.82,
    0.88, 0.94, 0.97, 1.0,
];

/// Steps in a row, each cut to [`LARGEST_STEP`], after which a start that cannot arrive in the steps that
/// are left is given up where fall-backs are left out. A stage that is cut off everywhere has more of them,
/// and arrives.
const MOST_CUT: usize = 10;

/// What is done where Newton's method fails from its start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FallBacks {
    /// Easier problems are solved first.
    Tried,
    /// Nothing: the caller knows a better start, or a circuit that is easier.
    LeftOut,
}

/// A state that satisfies the equations.
pub(crate) struct State {
    pub(crate) x: DVector<f64>,
    pub(crate) convergence: Convergence,
}

/// Why a start failed.
struct Stuck {
    steps: usize,
    x: DVector<f64>,
}

/// Solves from a start, or from zero volts where that fails.
///
/// # Errors
/// [`SolveError::NoConvergence`] naming the worst node and device, [`SolveError::Unlimited`] naming the
/// ends between which nothing limits the current.
pub(crate) fn solve(
    problem: &Problem<'_>,
    network: &Network,
    start: &DVector<f64>,
    fall_backs: FallBacks,
) -> Result<State, SolveError> {
    let patient = fall_backs == FallBacks::Tried;
    let limits = Limits {
        patient,
        ..Limits::FULL
    };
    let first = match descend(problem, start, Path::Direct, limits) {
        Ok(state) => {
            within_reason(&problem.reduced.devices, network, &state.x)?;
            return Ok(state);
        }
        Err(stuck) => stuck,
    };
    let unsolved = || {
        let (row, device, amperes) = problem.worst(&first.x);
        SolveError::NoConvergence {
            node: network.name_of_row(network.kept.get(row).copied().unwrap_or(row)),
            device,
            amperes,
            steps: first.steps,
        }
    };
    if !patient {
        return Err(unsolved());
    }
    let stepping = STEPPING.map(|stray| Problem { stray, ..*problem });
    let raising = || {
        let eased = RAISING.map(|share| problem.reduced.with_sources(share));
        let rungs: Vec<Problem<'_>> = eased
            .iter()
            .map(|reduced| Problem {
                reduced,
                ..*problem
            })
            .collect();
        climb(&rungs, Path::SourceStepping)
    };
    let in_time = || {
        pseudo_transient::follow(problem, |near, steps| {
            let limits = Limits {
                steps: MOST_STEPS_TO_REST,
                patient: false,
            };
            let mut state = descend(problem, near, Path::PseudoTransient, limits).ok()?;
            state.convergence.steps += steps;
            Some(state)
        })
    };
    let climbed = climb(&stepping, Path::ConductanceStepping).or_else(raising);
    match climbed.or_else(in_time) {
        Some(state) => {
            within_reason(&problem.reduced.devices, network, &state.x)?;
            Ok(state)
        }
        None => Err(short_circuit(problem.reduced, network).unwrap_or_else(unsolved)),
    }
}

/// Solves a chain of easier problems, each from the answer of the one before.
fn climb(ladder: &[Problem<'_>], path: Path) -> Option<State> {
    let mut state: Option<State> = None;
    let mut steps = 0;
    for rung in ladder {
        let start = match &state {
            Some(state) => state.x.clone(),
            None => DVector::zeros(rung.size()),
        };
        let mut found = descend(rung, &start, path, Limits::FULL).ok()?;
        steps += found.convergence.steps;
        found.convergence.steps = steps;
        state = Some(found);
    }
    state
}

/// How long a start is followed.
#[derive(Clone, Copy)]
struct Limits {
    steps: usize,
    /// Whether it is followed to the last step, also where it cannot arrive.
    patient: bool,
}

impl Limits {
    const FULL: Limits = Limits {
        steps: MOST_STEPS,
        patient: true,
    };
}

/// Newton's method from one start.
fn descend(
    problem: &Problem<'_>,
    start: &DVector<f64>,
    path: Path,
    limits: Limits,
) -> Result<State, Stuck> {
    let mut x = start.clone();
    let mut before = f64::INFINITY;
    let mut cut = 0;
    let mut idle = 0;
    for steps in 1..=limits.steps {
        let balance = problem.balance(&x);
        let factors = Factors::new(&balance.jacobian);
        let stuck = |x: DVector<f64>| Stuck { steps, x };
        let Some(step) = factors.solve(&-&balance.residual) else {
            return Err(stuck(x));
        };
        let length = problem.norm(&step);
        if !length.is_finite() {
            return Err(stuck(x));
        }
        // A floating electrode that loses a constant current falls without end.
        cut = if length > LARGEST_STEP { cut + 1 } else { 0 };
        let within = LARGEST_STEP * (limits.steps - steps) as f64;
        if !limits.patient && cut > MOST_CUT && length > within {
            return Err(stuck(x));
        }
        let settled = length <= SETTLED_SHARE * problem.largest_volts(&x) + SETTLED_VOLTS;
        // Where only rounding is left, steps go on as long as they become shorter: rounding of a
        // strong conductance hides what a weak one has still to balance.
        let shorter = length <= SHORTER * std::mem::replace(&mut before, length);
        idle = if shorter { 0 } else { idle + 1 };
        let idles = idle > MOST_IDLE && length <= IDLE_SHARE * (1.0 + problem.largest_volts(&x));
        if settled || (balance.is_met() && !shorter) || idles {
            x += &step;
            let balance = problem.balance(&x);
            return Ok(State {
                convergence: Convergence {
                    steps,
                    residual: problem.norm(&balance.residual),
                    path,
                },
                x,
            });
        }
        match accept(problem, &factors, &x, &step) {
            Some(next) => x = next,
            None => return Err(stuck(x)),
        }
    }
    Err(Stuck {
        steps: limits.steps,
        x,
    })
}

/// The longest share of a step that the tests allow.
fn accept(
    problem: &Problem<'_>,
    factors: &Factors,
    x: &DVector<f64>,
    step: &DVector<f64>,
) -> Option<DVector<f64>> {
    let length = problem.norm(step);
    let mut share = limited_share(problem, x, step);
    for _ in 0..MOST_HALVINGS {
        let next = x + step * share;
        let simplified = factors.solve(&-problem.residual(&next))?;
        if passes(problem.norm(&simplified), share, length) {
            return Some(next);
        }
        share /= 2.0;
    }
    // Rounding alone can keep the test from passing right at the solution.
    let close = length <= 1e-6 * problem.largest_volts(x) + 1e-9;
    if close {
        return Some(x + step);
    }
    // Where rounding spoils the corrections themselves, less imbalance is progress too.
    let imbalance = |at: &DVector<f64>| problem.residual(at).amax();
    let before = imbalance(x);
    let mut share = share_within(length);
    for _ in 0..MOST_HALVINGS {
        let next = x + step * share;
        if imbalance(&next) < before {
            return Some(next);
        }
        share /= 2.0;
    }
    None
}
