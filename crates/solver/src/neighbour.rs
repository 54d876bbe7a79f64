//! The operating point of a circuit that resembles a solved one, starting from there.
//!
//! Other values leave the numbering of the unknowns as it was. A broken part is often one more node
//! or one more resistor: they are then numbered anew, but most of them mean what they meant before.
//! What is shared is carried over by what it stands for; what is new starts at zero. What broke is
//! not known here.

use circuit::{Circuit, Conditions};
use nalgebra::DVector;

use crate::element::ElementKind;
use crate::equations::Equations;
use crate::error::SolveError;
use crate::solution::{linear, operating_point, Solution};

/// Solves a circuit whose first nodes and parts are those of a solved one, starting from its
/// state. Nodes and parts may have been added behind them, and parts may have changed their kind.
///
/// # Errors
/// As [`crate::solve`].
pub fn solve_near(
    circuit: &Circuit,
    conditions: &Conditions,
    near: &Solution,
) -> Result<Solution, SolveError> {
    let equations = Equations::new(circuit, conditions)?;
    if equations.devices.is_empty() {
        return linear(equations);
    }
    let start = carried(&equations, near);
    operating_point(equations, start)
}

/// The state of `near` in the numbering of other equations.
fn carried(equations: &Equations, near: &Solution) -> DVector<f64> {
    let mut start = DVector::zeros(equations.size());
    let known = &near.equations;
    for (to, from) in equations.node_rows.iter().zip(&known.node_rows) {
        if let (Some(to), Some(from)) = (to, from) {
            start[*to] = near.x[*from];
        }
    }
    for series in &equations.series {
        let same = |other: &&crate::device::Series| other.part == series.part;
        let outer = series.outer.map_or(0.0, |row| start[row]);
        let inner = known.series.iter().find(same).map(|old| near.x[old.inner]);
        start[series.inner] = inner.unwrap_or(outer);
    }
    let branches = |of: &Equations| -> Vec<(circuit::PartId, usize)> {
        of.elements
            .iter()
            .filter(|element| matches!(element.kind, ElementKind::Branch { .. }))
            .map(|element| (element.part, element.piece))
            .collect()
    };
    let old = branches(known);
    for (row, branch) in branches(equations).iter().enumerate() {
        if let Some(place) = old.iter().position(|other| other == branch) {
            start[equations.nodes + row] = near.x[known.nodes + place];
        }
    }
    start
}
