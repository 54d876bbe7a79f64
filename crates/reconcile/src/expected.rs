//! What a meter shows in the reconciled circuit.
//!
//! A port, conditions and a meter come in; its reading goes out, with the state of the circuit. What the drawing lacks
//! at the port is put on it. How well the reading is known is not known here ([`crate::posterior_reading`]).

use circuit::{Conditions, Port};
use solver::{Load, Metered, SolveError};

use crate::reconciled::Reconciled;

/// A state of the reconciled circuit with a meter on a port.
#[derive(Clone, Debug)]
pub struct Expected {
    /// Volts that the meter reads.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it.
    pub ohms: f64,
    pub(crate) state: Metered,
}

impl Reconciled {
    /// What a meter of this conductance in siemens shows at a port under given conditions; `near` is
    /// the same port with another meter, to start from.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no state.
    pub fn expected(
        &self,
        port: Port,
        conditions: &Conditions,
        siemens: f64,
        near: Option<&Expected>,
    ) -> Result<Expected, SolveError> {
        let solution = self.states.at(conditions)?;
        let load = self.load_at(port, siemens);
        let state = solution.metered(port, load, near.map(|near| &near.state))?;
        Ok(Expected {
            volts: state.volts + self.series_volts(port),
            ohms: state.ohms,
            state,
        })
    }

    /// The same reading without its state, to the accuracy that a trial needs.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no state.
    pub fn shown(
        &self,
        conditions: &Conditions,
        siemens: f64,
        near: &Expected,
    ) -> Result<f64, SolveError> {
        let solution = self.states.at(conditions)?;
        let port = near.state.port();
        let load = self.load_at(port, siemens);
        Ok(solution.reading(load, &near.state)? + self.series_volts(port))
    }

    /// A meter's load, with the current that the drawing lacks at its port.
    fn load_at(&self, port: Port, siemens: f64) -> Load {
        let discrepancy = self.discrepancy_at(port);
        Load {
            siemens,
            amperes: discrepancy.map_or(0.0, |(_, own)| own.amperes()),
        }
    }

    /// The volts that the drawing lacks in series with a port.
    fn series_volts(&self, port: Port) -> f64 {
        let discrepancy = self.discrepancy_at(port);
        discrepancy.map_or(0.0, |(_, own)| own.volts())
    }
}
