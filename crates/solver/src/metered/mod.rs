//! A circuit with a meter on one of its ports, as a nonlinear circuit: tubes and semiconductors find a
//! new operating point.
//!
//! A solved circuit, a port and a load or a reading come in; the state with the meter on goes out, or its reading
//! alone where a trial needs no more. How the state is found is not known here ([`settle`]).

mod settle;

use std::borrow::Cow;
use std::sync::Arc;

use circuit::Port;
use nalgebra::DVector;

use crate::convergence::Convergence;
use crate::deviation::{ANSWER, FIT, TRIAL};
use crate::error::SolveError;
use crate::port::{Load, Prepared};
use crate::reduced::Drive;
use crate::solution::Solution;

/// A solved circuit with a meter on a port.
#[derive(Clone, Debug)]
pub struct Metered {
    /// Meter and injected current.
    pub load: Load,
    /// Volts across the port, which the meter reads.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it: `cᵀJ⁻¹c`.
    pub ohms: f64,
    /// How the state was reached.
    pub convergence: Convergence,
    /// Whether the path from the state without a meter passes a fold, so that a real set could not
    /// reach this state.
    pub beyond_fold: bool,
    pub(crate) prepared: Arc<Prepared>,
    /// Volts of the rows that devices touch.
    pub(crate) kept: DVector<f64>,
    /// `r`: the devices' currents less their tangents at the unloaded state, one entry for each row
    /// that devices touch.
    remainder: DVector<f64>,
    /// `λ` at those rows.
    pub(crate) adjoint: DVector<f64>,
    /// `1 + gR` with the derivatives of this state: the return difference of the meter's load.
    pub(crate) return_difference: f64,
}

impl Metered {
    /// The port.
    pub fn port(&self) -> Port {
        self.prepared.port
    }

    /// `q`: the current in amperes into the circuit at the port.
    pub(crate) fn current(&self) -> f64 {
        self.load.amperes - self.load.siemens * self.volts
    }
}

impl Solution {
    /// The state with no load on a port, to start from.
    pub fn unloaded(&self, port: Port) -> Metered {
        let prepared = self.prepare(port);
        Metered {
            load: Load::default(),
            volts: prepared.open_volts,
            ohms: prepared.ohms,
            convergence: self.convergence(),
            beyond_fold: false,
            kept: self.kept.clone(),
            remainder: DVector::zeros(self.kept.len()),
            adjoint: prepared.adjoint_response.clone(),
            return_difference: 1.0,
            prepared,
        }
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
        self.metered_within(&self.or_unloaded(port, near), load, ANSWER)
    }

    /// The same as closely as a fit of measured values needs it, starting from the unloaded state.
    ///
    /// # Errors
    /// As [`Solution::metered`].
    pub fn metered_to_fit(&self, port: Port, load: Load) -> Result<Metered, SolveError> {
        self.metered_within(&self.unloaded(port), load, FIT)
    }

    fn metered_within(
        &self,
        near: &Metered,
        load: Load,
        tolerance: f64,
    ) -> Result<Metered, SolveError> {
        let drive = load.drive();
        match self.settle(near, drive, load.siemens, tolerance) {
            Some(reached) => self.metered_at(near, reached),
            None => self.metered_anew(near, drive, load.siemens),
        }
    }

    /// What a load reads on a port, without its state and to the accuracy that a trial needs.
    ///
    /// # Errors
    /// As [`Solution::metered`].
    pub fn reading(&self, load: Load, near: &Metered) -> Result<f64, SolveError> {
        let near = &self.or_unloaded(near.port(), Some(near));
        let drive = load.drive();
        match self.settle(near, drive, load.siemens, TRIAL) {
            Some(reached) => Ok(reached.volts),
            None => Ok(self.metered_anew(near, drive, load.siemens)?.volts),
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
        let near = self.or_unloaded(port, near);
        let drive = Drive::Volts(volts);
        match self.settle(&near, drive, siemens, ANSWER) {
            Some(reached) => self.metered_at(&near, reached),
            None => self.metered_anew(&near, drive, siemens),
        }
    }

    /// The current in amperes with which a meter of this conductance in siemens reads these volts,
    /// to the accuracy that a trial needs, and a start for the next reading of the port.
    ///
    /// # Errors
    /// As [`Solution::anchored`].
    pub fn amperes_for(
        &self,
        siemens: f64,
        volts: f64,
        near: &Metered,
    ) -> Result<(f64, Metered), SolveError> {
        let near = &self.or_unloaded(near.port(), Some(near));
        let drive = Drive::Volts(volts);
        match self.settle(near, drive, siemens, TRIAL) {
            Some(reached) => {
                let mut state = near.clone().into_owned();
                state.kept = reached.arrived.volts;
                state.remainder = reached.arrived.remainder;
                Ok((reached.load.amperes, state))
            }
            None => {
                let state = self.metered_anew(near, drive, siemens)?;
                Ok((state.load.amperes, state))
            }
        }
    }

    /// A state to start from: `near` if it is one of this port and solution, else the unloaded one.
    fn or_unloaded<'a>(&self, port: Port, near: Option<&'a Metered>) -> Cow<'a, Metered> {
        let own = |near: &&Metered| {
            near.port() == port && Arc::ptr_eq(&near.prepared.identity, &self.identity)
        };
        match near.filter(own) {
            Some(near) => Cow::Borrowed(near),
            None => Cow::Owned(self.unloaded(port)),
        }
    }
}
