//! A circuit with a meter on one of its ports, in full: tubes and semiconductors settle anew.
//!
//! Two questions are asked of a metered port. What does it read, given the current `i` pushed
//! into it? And which `i` makes it read given volts? The second adds `i` to the unknowns and the
//! reading to the equations. Both start from a neighbouring state and first try to get by on its
//! factors ([`crate::chord`]); only then is Newton's method run in full.

use std::sync::Arc;

use circuit::Port;
use nalgebra::DVector;

use crate::chord::{self, Reached};
use crate::convergence::{Convergence, Path};
use crate::error::SolveError;
use crate::factor::Factor;
use crate::newton;
use crate::port::Load;
use crate::problem::{Drive, Problem};
use crate::solution::Solution;

/// A solved circuit with a meter on a port.
#[derive(Clone, Debug)]
pub struct Metered {
    /// The port.
    pub port: Port,
    /// Meter and injected current.
    pub load: Load,
    /// Volts across the port, which the meter reads.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it: `cᵀJ⁻¹c`.
    pub ohms: f64,
    /// How the state was reached.
    pub convergence: Convergence,
    pub(crate) x: DVector<f64>,
    pub(crate) factor: Arc<Factor>,
    /// `J⁻¹c`
    pub(crate) response: DVector<f64>,
}

impl Solution {
    /// The state with no load on a port, to start from.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if the response to a current into the port cannot be trusted.
    pub fn unloaded(&self, port: Port) -> Result<Metered, SolveError> {
        self.state(
            port,
            Load::default(),
            self.x.clone(),
            Arc::clone(&self.factor),
            self.convergence(),
        )
    }

    /// The state with a load across a port, starting from `near` or else from the unloaded state.
    ///
    /// # Errors
    /// [`SolveError`] where no operating point is found.
    pub fn metered(
        &self,
        port: Port,
        load: Load,
        near: Option<&Metered>,
    ) -> Result<Metered, SolveError> {
        let near = self.or_unloaded(port, near)?;
        let drive = Drive::Amperes(load.amperes);
        match chord::settle(&self.equations, &near, load.siemens, drive) {
            Some(reached) => self.on_fresh_factors(port, load, reached),
            None => {
                let problem = Problem::on_port(&self.equations, port, load.siemens, drive);
                let state = newton::solve(&problem, &near.x)?;
                let factor = Arc::new(state.factor);
                self.state(port, load, state.x, factor, state.convergence)
            }
        }
    }

    /// What a load reads on a port, without the state behind it.
    ///
    /// # Errors
    /// As [`Solution::metered`].
    pub fn reading(&self, load: Load, near: &Metered) -> Result<f64, SolveError> {
        let drive = Drive::Amperes(load.amperes);
        match chord::settle(&self.equations, near, load.siemens, drive) {
            Some(reached) => Ok(self.equations.port_vector(near.port).dot(&reached.x)),
            None => Ok(self.metered(near.port, load, Some(near))?.volts),
        }
    }

    /// The state in which a meter of this conductance in siemens reads these volts, and the
    /// current that makes it so.
    ///
    /// # Errors
    /// [`SolveError`] where no such state is found; a port held by an ideal source has none.
    pub fn anchored(
        &self,
        port: Port,
        siemens: f64,
        volts: f64,
        near: Option<&Metered>,
    ) -> Result<Metered, SolveError> {
        let near = self.or_unloaded(port, near)?;
        let drive = Drive::Volts(volts);
        let reached = match chord::settle(&self.equations, &near, siemens, drive) {
            Some(reached) => reached,
            None => {
                let problem = Problem::on_port(&self.equations, port, siemens, drive);
                let n = near.x.len();
                let state = newton::solve(&problem, &near.x.clone().push(near.load.amperes))?;
                Reached {
                    amperes: state.x[n],
                    x: state.x.rows(0, n).into_owned(),
                    steps: state.convergence.steps,
                }
            }
        };
        let load = Load {
            siemens,
            amperes: reached.amperes,
        };
        self.on_fresh_factors(port, load, reached)
    }

    fn or_unloaded(&self, port: Port, near: Option<&Metered>) -> Result<Metered, SolveError> {
        match near {
            Some(near) if near.port == port => Ok(near.clone()),
            _ => self.unloaded(port),
        }
    }

    /// A reached state with the Jacobian factored there.
    fn on_fresh_factors(
        &self,
        port: Port,
        load: Load,
        reached: Reached,
    ) -> Result<Metered, SolveError> {
        let drive = Drive::Amperes(load.amperes);
        let problem = Problem::on_port(&self.equations, port, load.siemens, drive);
        let (residual, jacobian) = problem.evaluate(&reached.x);
        let convergence = Convergence {
            steps: reached.steps,
            residual: problem.node_norm(&residual),
            path: Path::Direct,
        };
        let factor = Arc::new(Factor::new(&jacobian));
        self.state(port, load, reached.x, factor, convergence)
    }

    fn state(
        &self,
        port: Port,
        load: Load,
        x: DVector<f64>,
        factor: Arc<Factor>,
        convergence: Convergence,
    ) -> Result<Metered, SolveError> {
        let c = self.equations.port_vector(port);
        let response = factor
            .solve(&c)
            .map_err(|miss| miss.into_error(&self.equations))?;
        Ok(Metered {
            port,
            load,
            volts: c.dot(&x),
            ohms: c.dot(&response),
            convergence,
            x,
            factor,
            response,
        })
    }
}
