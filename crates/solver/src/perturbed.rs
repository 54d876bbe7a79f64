//! A circuit whose numbers differ a little from those of a solved one.
//!
//! Trials draw the numbers of a circuit thousands of times and ask each time what a few meters
//! read. A solved circuit comes in as a neighbour; what a meter reads, and which current makes it
//! read given volts, go out. The circuit is solved and factored once; each port then gets by on
//! those factors ([`crate::chord`]), unless they do not lead there.

use circuit::{Circuit, Conditions, Port};
use nalgebra::DVector;

use crate::chord;
use crate::equations::Equations;
use crate::error::SolveError;
use crate::metered::Metered;
use crate::newton;
use crate::port::Load;
use crate::problem::{Drive, Problem};
use crate::solution::{solve_near, Solution};

/// The last step may be this share of the largest node voltage: a third of a millivolt in 300 V,
/// and what is left after it is smaller still. That is far below what scatters from trial to trial.
const SETTLED_SHARE: f64 = 1e-6;

/// A circuit near a solved one.
#[derive(Clone, Debug)]
pub struct Perturbed {
    solution: Solution,
}

/// A port of it, and the state that was last asked for.
#[derive(Clone, Debug)]
pub struct PerturbedPort<'a> {
    equations: &'a Equations,
    state: Metered,
}

impl Perturbed {
    /// Solves a circuit that differs from a solved one in numbers only.
    ///
    /// # Errors
    /// As [`solve_near`].
    pub fn new(
        circuit: &Circuit,
        conditions: &Conditions,
        near: &Solution,
    ) -> Result<Self, SolveError> {
        let solution = solve_near(circuit, conditions, near)?;
        Ok(Perturbed { solution })
    }

    /// The circuit with no meter on it.
    pub fn solution(&self) -> &Solution {
        &self.solution
    }

    /// A port, to put meters on.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if the response to a current into the port cannot be trusted.
    pub fn port(&self, port: Port) -> Result<PerturbedPort<'_>, SolveError> {
        Ok(PerturbedPort {
            equations: &self.solution.equations,
            state: self.solution.unloaded(port)?,
        })
    }
}

impl PerturbedPort<'_> {
    /// The current in amperes with which a meter of this conductance in siemens reads these volts.
    ///
    /// # Errors
    /// [`SolveError`] where no such state is found.
    pub fn amperes_for(&mut self, siemens: f64, volts: f64) -> Result<f64, SolveError> {
        self.go(siemens, Drive::Volts(volts))?;
        Ok(self.state.load.amperes)
    }

    /// Volts that a load reads.
    ///
    /// # Errors
    /// [`SolveError`] where no operating point is found.
    pub fn reading(&mut self, load: Load) -> Result<f64, SolveError> {
        self.go(load.siemens, Drive::Amperes(load.amperes))?;
        Ok(self.equations.port_vector(self.state.port).dot(&self.state.x))
    }

    /// Moves the state, on the factors of the unloaded circuit as long as they lead there.
    fn go(&mut self, siemens: f64, drive: Drive) -> Result<(), SolveError> {
        let near = &mut self.state;
        let settled = chord::settle_to(SETTLED_SHARE, self.equations, near, (siemens, drive));
        if let Some(reached) = settled {
            near.x = reached.x;
            near.load.amperes = reached.amperes;
            return Ok(());
        }
        let problem = Problem::on_port(self.equations, near.port, siemens, drive);
        let n = near.x.len();
        let start: DVector<f64> = match drive {
            Drive::Amperes(_) => near.x.clone(),
            Drive::Volts(_) => near.x.clone().push(near.load.amperes),
        };
        let x = newton::solve(&problem, &start)?.x;
        near.load.amperes = match drive {
            Drive::Amperes(amperes) => amperes,
            Drive::Volts(_) => x[n],
        };
        near.x = x.rows(0, n).into_owned();
        Ok(())
    }
}
