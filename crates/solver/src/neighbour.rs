//! The operating point of a circuit similar to a solved one, with the solved state as the start.
//!
//! A broken part often adds a node or a resistor, and another set has other numbers. Nodes that both
//! circuits have start from the volts of the solved one, a node inside a device from that device's
//! own volts, and new nodes from zero. Which parts differ is not known here.

use circuit::{Circuit, Conditions};
use nalgebra::DVector;

use crate::equations::{solved_from, Equations};
use crate::error::SolveError;
use crate::network::Network;
use crate::newton::FallBacks;
use crate::solution::Solution;

/// Solves a circuit whose first nodes and parts are those of a solved one, starting from its
/// state. Nodes and parts may have been appended, and parts may have changed their kind.
///
/// # Errors
/// As [`crate::solve`].
pub fn solve_near(
    circuit: &Circuit,
    conditions: &Conditions,
    near: &Solution,
) -> Result<Solution, SolveError> {
    let network = Network::new(circuit, conditions)?;
    let equations = Equations::new(network, Some(near))?;
    let start = carried(&equations, circuit.nodes().len(), near);
    solved_from(equations, start, FallBacks::Tried)
}

/// Solves a circuit that differs from a solved one in numbers only, starting from its state. Glow
/// discharges start lit or dark as in the solved circuit.
///
/// # Errors
/// As [`crate::solve`].
pub fn solve_varied(
    circuit: &Circuit,
    conditions: &Conditions,
    near: &Solution,
) -> Result<Solution, SolveError> {
    varied(circuit, conditions, near, FallBacks::Tried)
}

/// The same by Newton's method from that state alone, which costs little where there is no state.
///
/// # Errors
/// As [`crate::solve`].
pub fn solve_varied_directly(
    circuit: &Circuit,
    conditions: &Conditions,
    near: &Solution,
) -> Result<Solution, SolveError> {
    varied(circuit, conditions, near, FallBacks::LeftOut)
}

fn varied(
    circuit: &Circuit,
    conditions: &Conditions,
    near: &Solution,
    fall_backs: FallBacks,
) -> Result<Solution, SolveError> {
    let network = Network::varied(circuit, conditions, &near.network)?;
    let mut equations = Equations::new(network, Some(near))?;
    let start = carried(&equations, circuit.nodes().len(), near);
    let known = near.reduced.devices.iter();
    for (device, known) in equations.reduced.devices.iter_mut().zip(known) {
        device.keep_glow_of(known);
    }
    solved_from(equations, start, fall_backs)
}

/// The state of `near` for the rows that devices of other equations touch.
fn carried(equations: &Equations, nodes: usize, near: &Solution) -> DVector<f64> {
    let network = &equations.network;
    let shared = nodes.min(near.network.places.len() - near.network.series.len());
    let mut start = network.at_zero();
    for node in 0..shared {
        let place = network.terminal(node);
        if let Some(row) = place.row {
            start[row] = near.network.node_volts(&near.rows, node) - place.volts;
        }
    }
    for series in &network.series {
        let place = network.terminal(series.inner);
        let same = |other: &&crate::device::Series| other.part == series.part;
        let known = near.network.series.iter().find(same);
        let volts = known.map(|known| near.network.node_volts(&near.rows, known.inner));
        if let (Some(row), Some(volts)) = (place.row, volts) {
            start[row] = volts - place.volts;
        }
    }
    start
}
