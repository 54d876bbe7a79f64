//! The solved circuit: node voltages, and one factorization kept for everything after.

use std::sync::Arc;

use circuit::{Circuit, Conditions, NodeId, PartId, Port};
use nalgebra::DVector;

use crate::convergence::{Convergence, Path};
use crate::equations::Equations;
use crate::error::SolveError;
use crate::factor::Factor;
use crate::newton;
use crate::problem::Problem;

/// A circuit under given conditions, solved with no meter on it.
#[derive(Clone, Debug)]
pub struct Solution {
    pub(crate) equations: Equations,
    pub(crate) factor: Arc<Factor>,
    pub(crate) x: DVector<f64>,
    convergence: Convergence,
}

/// Solves a circuit under given conditions.
///
/// # Errors
/// [`SolveError`] where the circuit has no trustworthy solution.
pub fn solve(circuit: &Circuit, conditions: &Conditions) -> Result<Solution, SolveError> {
    let equations = Equations::new(circuit, conditions)?;
    if equations.devices.is_empty() {
        linear(equations)
    } else {
        let start = DVector::zeros(equations.size());
        operating_point(equations, start)
    }
}

pub(crate) fn linear(equations: Equations) -> Result<Solution, SolveError> {
    let factor = Arc::new(Factor::new(&equations.matrix));
    let x = factor
        .solve(&equations.right)
        .map_err(|miss| miss.into_error(&equations))?;
    Ok(Solution {
        convergence: Convergence {
            steps: 1,
            residual: 0.0,
            path: Path::Linear,
        },
        equations,
        factor,
        x,
    })
}

/// Newton's method, and round it the glow discharges that strike or go out on the way. Each may
/// change its mind once; one that never rests is a relaxation oscillator.
pub(crate) fn operating_point(
    mut equations: Equations,
    start: DVector<f64>,
) -> Result<Solution, SolveError> {
    let mut start = start;
    let mut restless = String::new();
    for _ in 0..=2 * equations.devices.len() {
        let state = newton::solve(&Problem::new(&equations, None), &start)?;
        let mut changed = false;
        for device in &mut equations.devices {
            // One at a time: the first to strike may keep the next from doing so.
            if !changed && device.settle_glow(&state.x) {
                changed = true;
                restless.clone_from(&device.designator);
            }
        }
        if !changed {
            return Ok(Solution {
                equations,
                factor: Arc::new(state.factor),
                x: state.x,
                convergence: state.convergence,
            });
        }
        start = state.x;
    }
    Err(SolveError::Restless { device: restless })
}

impl Solution {
    /// Volts of a node above the reference of its island.
    pub fn node_volts(&self, node: NodeId) -> f64 {
        self.equations.node_rows[node.0].map_or(0.0, |row| self.x[row])
    }

    /// Volts across a port with no meter on it.
    pub fn port_volts(&self, port: Port) -> f64 {
        self.node_volts(port.plus) - self.node_volts(port.minus)
    }

    /// Whether no direct current can reach one of a port's nodes.
    pub fn floats(&self, port: Port) -> bool {
        self.equations.floats(port.plus) || self.equations.floats(port.minus)
    }

    /// Whether the circuit holds neither tube nor semiconductor.
    pub fn is_linear(&self) -> bool {
        self.equations.devices.is_empty()
    }

    /// How the solution was reached.
    pub fn convergence(&self) -> Convergence {
        self.convergence
    }

    /// Amperes that flow inside a part from its plus or first to its minus or second end, through
    /// the first of its branches; none if the part has no current unknown of its own.
    pub fn branch_amperes(&self, part: PartId) -> Option<f64> {
        let mut row = self.equations.nodes;
        for element in &self.equations.elements {
            if matches!(element.kind, crate::ElementKind::Branch { .. }) {
                if element.part == part {
                    return Some(self.x[row]);
                }
                row += 1;
            }
        }
        None
    }

    /// Amperes into each terminal of each unit of a device, in the order of its units and of
    /// their characteristics' terminals.
    pub fn device_amperes(&self, part: PartId) -> Vec<Vec<f64>> {
        self.equations
            .devices
            .iter()
            .filter(|device| device.part == part)
            .map(|device| {
                let count = device.characteristic.terminals();
                device.at(&self.x).current[..count].to_vec()
            })
            .collect()
    }

    /// Number of unknowns.
    pub fn size(&self) -> usize {
        self.equations.size()
    }
}
