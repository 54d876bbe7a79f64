//! The equations of a circuit before its operating point is known.
//!
//! A network comes in; its rows that no device touches are eliminated, and Newton's method finds the volts
//! of the others. A [`Solution`] goes out, or why there is none. Which of several states is stable is not
//! known here.

use std::sync::{Arc, OnceLock};

use nalgebra::DVector;

use crate::convergence::{Convergence, Path};
use crate::deviation::evaluations;
use crate::error::SolveError;
use crate::factors::Factors;
use crate::impedances::parted;
use crate::network::Network;
use crate::newton::{self, FallBacks};
use crate::reduced::{Problem, Reduced};
use crate::solution::Solution;
use crate::star_mesh::StarMesh;

/// Equations of a circuit before its operating point is known.
#[derive(Clone, Debug)]
pub(crate) struct Equations {
    pub(crate) network: Network,
    pub(crate) eliminated: StarMesh,
    pub(crate) sources: DVector<f64>,
    pub(crate) reduced: Reduced,
}

impl Equations {
    /// Assembles them and eliminates all rows that no device touches, in the order of another circuit
    /// of the same topology where there is one.
    pub(crate) fn new(mut network: Network, like: Option<&Solution>) -> Result<Self, SolveError> {
        let mesh = network.mesh();
        let same_shape = |known: &&Solution| {
            known.network.rows == network.rows && known.network.touched == network.touched
        };
        let eliminated = match like.filter(same_shape) {
            Some(known) => known.eliminated.like(&mesh),
            None => StarMesh::new(&mesh, &network.touched),
        };
        let eliminated = eliminated.map_err(|loose| SolveError::Singular {
            node: network.name_of_row(loose.0),
        })?;
        if eliminated.kept() != network.kept {
            network.keep(eliminated.kept().to_vec());
        }
        let sources = eliminated.forward_whole(network.sources());
        let reduced = Reduced {
            mesh: eliminated.mesh.clone(),
            ground: eliminated.ground.clone(),
            sources: eliminated.at_kept(&sources),
            devices: network.devices.clone(),
        };
        Ok(Equations {
            network,
            eliminated,
            sources,
            reduced,
        })
    }

    /// The operating point, from a start for the rows that devices touch.
    ///
    /// Glow discharges strike or go out in a loop round Newton's method. Each may change its state
    /// once; one that changes it without end is a relaxation oscillator.
    fn operating_point(
        mut self,
        mut start: DVector<f64>,
        fall_backs: FallBacks,
    ) -> Result<Solution, SolveError> {
        let mut restless = String::new();
        for _ in 0..=2 * self.reduced.devices.len() {
            let problem = Problem::new(&self.reduced, None);
            let state = newton::solve(&problem, &self.network, &start, fall_backs)?;
            let mut changed = false;
            for device in &mut self.reduced.devices {
                // One at a time: the first to strike may keep the next from doing so.
                if !changed && device.settle_glow(&state.x) {
                    changed = true;
                    restless = device.designator.to_string();
                }
            }
            if !changed {
                return self.at(state.x, state.convergence);
            }
            start = state.x;
        }
        Err(SolveError::Restless { device: restless })
    }

    /// The solution at a state that satisfies the equations.
    pub(crate) fn at(
        self,
        kept: DVector<f64>,
        convergence: Convergence,
    ) -> Result<Solution, SolveError> {
        let balance = Problem::new(&self.reduced, None).balance(&kept);
        let impedances =
            Factors::new(&balance.jacobian)
                .inverse()
                .ok_or_else(|| SolveError::Singular {
                    node: self.network.name_of_row(self.network.kept[0]),
                })?;
        Ok(Solution {
            parted: parted(&impedances),
            rows: self.eliminated.backward(&self.sources, &kept),
            network: self.network,
            eliminated: self.eliminated,
            sources: self.sources,
            tangents: evaluations(&self.reduced.devices, &kept),
            reduced: self.reduced,
            kept,
            impedances,
            terms: OnceLock::new(),
            curvatures: OnceLock::new(),
            identity: Arc::new(()),
            other: None,
            convergence,
        })
    }
}

/// The operating point of some equations, from a start for the rows that devices touch.
pub(crate) fn solved_from(
    equations: Equations,
    start: DVector<f64>,
    fall_backs: FallBacks,
) -> Result<Solution, SolveError> {
    if equations.reduced.devices.is_empty() {
        let convergence = Convergence {
            steps: 1,
            residual: 0.0,
            path: Path::Linear,
        };
        return equations.at(DVector::zeros(0), convergence);
    }
    equations.operating_point(start, fall_backs)
}
