//! A circuit with a meter on one of its ports, in full: tubes and semiconductors settle anew.
//!
//! Two questions are asked of a metered port. What does it read, given the current `i` pushed
//! into it? And which `i` makes it read given volts? The second adds `i` to the unknowns and the
//! reading to the equations, so one run of Newton's method answers it.

use circuit::Port;
use nalgebra::DVector;

use crate::convergence::Convergence;
use crate::error::SolveError;
use crate::factor::Factor;
use crate::newton;
use crate::port::Load;
use crate::problem::{Drive, Probe, Problem};
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
    pub(crate) factor: Factor,
}

impl Solution {
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
        let problem = Problem::new(&self.equations, Some(self.probe(port, load)));
        let start = near.map_or(&self.x, |near| &near.x);
        let state = newton::solve(&problem, start)?;
        self.finish(port, load, state.x, state.factor, state.convergence)
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
        let mut probe = self.probe(
            port,
            Load {
                siemens,
                amperes: 0.0,
            },
        );
        probe.drive = Drive::Volts(volts);
        let problem = Problem::new(&self.equations, Some(probe));
        let mut start = near.map_or(&self.x, |near| &near.x).clone();
        let n = start.len();
        start = start.push(near.map_or(0.0, |near| near.load.amperes));
        let state = newton::solve(&problem, &start)?;
        let load = Load {
            siemens,
            amperes: state.x[n],
        };
        let x = state.x.rows(0, n).into_owned();
        let free = Problem::new(&self.equations, Some(self.probe(port, load)));
        let (_, jacobian) = free.evaluate(&x);
        self.finish(port, load, x, Factor::new(jacobian), state.convergence)
    }

    fn probe(&self, port: Port, load: Load) -> Probe {
        Probe {
            plus: self.equations.node_rows[port.plus.0],
            minus: self.equations.node_rows[port.minus.0],
            siemens: load.siemens,
            drive: Drive::Amperes(load.amperes),
        }
    }

    fn finish(
        &self,
        port: Port,
        load: Load,
        x: DVector<f64>,
        factor: Factor,
        convergence: Convergence,
    ) -> Result<Metered, SolveError> {
        let c = self.equations.port_vector(port);
        let z = factor
            .solve(&c)
            .map_err(|miss| miss.into_error(&self.equations))?;
        Ok(Metered {
            port,
            load,
            volts: c.dot(&x),
            ohms: c.dot(&z),
            convergence,
            x,
            factor,
        })
    }
}
