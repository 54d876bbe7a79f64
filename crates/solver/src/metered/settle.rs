//! How the state of a metered circuit is found.
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
//! does not converge, Newton's method is run on all rows that devices touch. What a caller wants of the state is
//! not known here.

use std::sync::Arc;

use nalgebra::DVector;

use super::Metered;
use crate::convergence::{Convergence, Path};
use crate::deviation::{evaluations, ActiveDevices, Arrived, Deviation, Start};
use crate::error::SolveError;
use crate::impedances::{Driven, Impedances};
use crate::newton::{self, FallBacks};
use crate::port::{Load, Prepared};
use crate::reduced::{Drive, Problem};
use crate::solution::Solution;

/// The devices' state with a load on a port.
pub(super) struct Reached {
    pub(super) arrived: Arrived,
    pub(super) load: Load,
    pub(super) volts: f64,
}

impl Load {
    /// How it drives a port.
    pub(super) fn drive(self) -> Drive {
        Drive::Load {
            siemens: self.siemens,
            amperes: self.amperes,
        }
    }
}

impl Solution {
    /// Finds the devices' state with a port driven; none where the iteration does not converge.
    pub(super) fn settle(
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
                behind: None,
            },
            curvatures: driven.is_some().then(|| self.curvatures()),
        }
    }

    /// Newton's method on all rows that devices touch.
    pub(super) fn metered_anew(
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
    pub(super) fn metered_at(
        &self,
        near: &Metered,
        reached: Reached,
    ) -> Result<Metered, SolveError> {
        let Reached {
            arrived,
            load,
            volts,
        } = reached;
        let port = &near.prepared;
        let (adjoint, turned) = self
            .deviation(&port.response, None)
            .adjoint(
                &arrived.evaluations,
                &arrived.active,
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
