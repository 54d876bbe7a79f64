//! The solved circuit: node voltages, and one factorization kept for everything after.

use circuit::{Circuit, Conditions, NodeId, PartId, Port};
use nalgebra::DVector;

use crate::equations::Equations;
use crate::error::SolveError;
use crate::factor::Factor;

/// A circuit under given conditions, solved with no meter on it.
#[derive(Clone, Debug)]
pub struct Solution {
    pub(crate) equations: Equations,
    pub(crate) factor: Factor,
    pub(crate) x: DVector<f64>,
}

/// Solves a circuit under given conditions.
///
/// # Errors
/// [`SolveError`] where the circuit has no trustworthy solution.
pub fn solve(circuit: &Circuit, conditions: &Conditions) -> Result<Solution, SolveError> {
    let equations = Equations::new(circuit, conditions)?;
    let factor = Factor::new(equations.matrix.clone());
    let x = factor
        .solve(&equations.right)
        .map_err(|miss| miss.into_error(&equations.node_rows, &equations.node_names))?;
    Ok(Solution {
        equations,
        factor,
        x,
    })
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

    /// Amperes that flow inside a part from its plus or first to its minus or second end, through
    /// the first of its branches; none if the part has no current unknown of its own.
    pub fn branch_amperes(&self, part: PartId) -> Option<f64> {
        let mut row = self.equations.node_rows.iter().flatten().count();
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

    /// Number of unknowns.
    pub fn size(&self) -> usize {
        self.equations.size()
    }
}
