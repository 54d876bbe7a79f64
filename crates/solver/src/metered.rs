//! A circuit with a meter on one of its ports, as a nonlinear circuit: tubes and semiconductors find a
//! new operating point.
//!
//! Two problems are solved for a metered port: the reading for a given injected current `i`, and the
//! current `i` for a given reading. Either is a change of rank one on the solved
//! circuit, with `R`, `z` and `w` the resistance and the responses of the port there:
//!
//! ```text
//! y = (y_open + R i − wᵀr)/(1 + g R)      q = i − g y
//! q = (V − y_open + wᵀr)/R                i = q + g V
//! δ = z q − Z r(δ)
//! ```
//!
//! so only the deviation `δ` of the devices has to be found ([`crate::deviation`]). Where that
//! does not converge, Newton's method is run on all rows that devices touch.

use std::borrow::Cow;
use std::sync::Arc;

use circuit::Port;
use nalgebra::DVector;

use crate::convergence::{Convergence, Path};
use crate::deviation::{evaluations, ActiveDevices, Arrived, Deviation, Start, ANSWER, FIT, TRIAL};
use crate::error::SolveError;
use crate::impedances::{Driven, Impedances};
use crate::newton::{self, FallBacks};
use crate::port::{Load, Prepared};
use crate::reduced::{Drive, Problem};
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

/// The devices' state with a load on a port.
struct Reached {
    arrived: Arrived,
    load: Load,
    volts: f64,
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
        let drive = Drive::Load {
            siemens: load.siemens,
            amperes: load.amperes,
        };
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
        let drive = Drive::Load {
            siemens: load.siemens,
            amperes: load.amperes,
        };
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

    /// Finds the devices' state with a port driven; none where the iteration does not converge.
    fn settle(
        &self,
        near: &Metered,
        drive: Drive,
        siemens: f64,
        tolerance: f64,
    ) -> Option<Reached> {
        let port = &near.prepared;
        // q = base + give·wᵀr
        let (base, give) = match drive {
            Drive::Load { siemens, amperes } => {
                let return_difference = 1.0 + siemens * port.ohms;
                if return_difference <= 0.0 {
                    return None;
                }
                let base = (amperes - siemens * port.open_volts) / return_difference;
                (base, siemens / return_difference)
            }
            Drive::Volts(volts) => ((volts - port.open_volts) / port.ohms, 1.0 / port.ohms),
        };
        if !(base.is_finite() && give.is_finite()) {
            return None;
        }
        let origin = &port.response * base;
        let start = Start {
            volts: &near.kept,
            remainder: &near.remainder,
        };
        let driven = Driven {
            response: &port.response,
            adjoint_response: &port.adjoint_response,
            give,
            ohms: port.ohms,
        };
        let deviation = self.deviation(&origin, Some(driven));
        let arrived = deviation.settle(start, tolerance)?;
        let answered = port.adjoint_response.dot(&arrived.remainder);
        let current = base + give * answered;
        let (volts, amperes) = match drive {
            Drive::Load { siemens, amperes } => {
                let open = port.open_volts - answered;
                let volts = (open + port.ohms * amperes) / (1.0 + siemens * port.ohms);
                (volts, amperes)
            }
            Drive::Volts(volts) => (volts, current + siemens * volts),
        };
        Some(Reached {
            arrived,
            load: Load { siemens, amperes },
            volts,
        })
    }

    /// The devices of this solution, which would move by `origin` if they were linear.
    pub(crate) fn deviation<'a>(
        &'a self,
        origin: &'a DVector<f64>,
        driven: Option<Driven<'a>>,
    ) -> Deviation<'a> {
        Deviation {
            devices: &self.reduced.devices,
            before: &self.reduced.devices,
            tangents: &self.tangents,
            from: &self.kept,
            origin,
            impedances: Impedances {
                solved: &self.impedances,
                parted: self.parted.as_ref(),
                driven,
                changed: None,
            },
            curvatures: driven.is_some().then(|| self.curvatures()),
        }
    }

    /// Newton's method on all rows that devices touch.
    fn metered_anew(
        &self,
        near: &Metered,
        drive: Drive,
        siemens: f64,
    ) -> Result<Metered, SolveError> {
        let tap = &near.prepared.tap;
        let problem = Problem::new(&self.reduced, Some((tap, drive)));
        let rows = self.kept.len();
        let start = match drive {
            Drive::Load { .. } => near.kept.clone(),
            Drive::Volts(_) => near.kept.clone().push(near.current()),
        };
        let state = newton::solve(&problem, &self.network, &start, FallBacks::Tried)?;
        let kept: DVector<f64> = state.x.rows(0, rows).into_owned();
        let across = tap.volts + tap.shares.dot(&kept);
        let (volts, amperes) = match drive {
            Drive::Load { siemens, amperes } => (
                (across + tap.ohms * amperes) / (1.0 + siemens * tap.ohms),
                amperes,
            ),
            Drive::Volts(volts) => (volts, state.x[rows] + siemens * volts),
        };
        let evaluations = evaluations(&self.reduced.devices, &kept);
        let remainder = self
            .deviation(&near.prepared.response, None)
            .remainder(&kept, &evaluations);
        let reached = Reached {
            arrived: Arrived {
                remainder,
                active: ActiveDevices::all(evaluations.len()),
                evaluations,
                steps: state.convergence.steps,
                volts: kept,
            },
            load: Load { siemens, amperes },
            volts,
        };
        let mut metered = self.metered_at(near, reached)?;
        metered.convergence = state.convergence;
        Ok(metered)
    }

    /// The linearisation at a state that was found.
    fn metered_at(&self, near: &Metered, reached: Reached) -> Result<Metered, SolveError> {
        let Reached {
            arrived,
            load,
            volts,
        } = reached;
        let port = &near.prepared;
        let (adjoint, turned) = self
            .deviation(&port.response, None)
            .adjoint(
                (&arrived.evaluations, &arrived.active),
                &port.adjoint_response,
            )
            .ok_or_else(|| self.singular(port))?;
        let ohms = port.tap.ohms + port.tap.shares.dot(&adjoint);
        let return_difference = 1.0 + load.siemens * ohms;
        if return_difference == 0.0 {
            return Err(self.singular(port));
        }
        Ok(Metered {
            load,
            volts,
            ohms: ohms / return_difference,
            convergence: Convergence {
                steps: arrived.steps,
                residual: 0.0,
                path: Path::Direct,
            },
            beyond_fold: turned != (return_difference < 0.0),
            prepared: Arc::clone(port),
            kept: arrived.volts,
            remainder: arrived.remainder,
            adjoint: adjoint / return_difference,
            return_difference,
        })
    }

    fn singular(&self, port: &Prepared) -> SolveError {
        let row = self.network.places[port.port.plus.0].row;
        SolveError::Singular {
            node: row.map_or_else(String::new, |row| self.network.name_of_row(row)),
        }
    }
}
