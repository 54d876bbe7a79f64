//! What keeps an oscillator going, and what stops it.
//!
//! A circuit in order comes in; the same with oscillators that follow the volts that feed them goes out. An alteration
//! in the making comes in; oscillators that it stops go out: triodes whose plate, and converters whose screen, or whose
//! oscillator anode where they have one, no live supply reaches any more, and those whose grid it joins to the cathode.

use circuit::{Alteration, Characteristic, Circuit, Conditions, NodeId, Part, PartId, PartKind};
use solver::solve;

use super::live::Altered;

/// The name of the terminal of an oscillator anode.
const OSCILLATOR_ANODE: &str = "oscillator-anode";

/// Least volts at which an oscillator is taken to run as it is stated to.
const LEAST_FED: f64 = 5.0;

/// Ohms from its grid to its cathode by which an oscillation is damped away: what an oscillator has to offer at its grid
/// is some kilohms (assumed, no source).
const DAMPS: f64 = 500.0;

/// The circuit with oscillators that follow the volts of the electrode that feeds them: they run as stated in this
/// circuit. One with an oscillator anode of its own is left as it is.
pub(crate) fn fed_as_they_run(circuit: &Circuit) -> Circuit {
    let mut running = running(circuit).peekable();
    if running.peek().is_none() {
        return circuit.clone();
    }
    let Ok(solution) = solve(circuit, &Conditions::default()) else {
        return circuit.clone();
    };
    let mut made = Alteration::none(&Conditions::default());
    for (id, node) in running {
        let part = circuit.part(id);
        let Some([_, cathode]) = grid_and_cathode(part) else {
            continue;
        };
        let volts = solution.node_volts(node) - solution.node_volts(cathode);
        let own = part.nodes.contains(&node) && volts > LEAST_FED;
        if let (true, PartKind::Device(device)) = (own, &mut made.part_mut(circuit, id).kind) {
            for unit in &mut device.units {
                unit.characteristic = unit.characteristic.fed_at(Some(volts));
            }
        }
    }
    circuit.altered(&made)
}

/// The nodes of the grids that oscillate, and of the plates of triodes that do.
pub(crate) fn swinging_nodes(circuit: &Circuit) -> Vec<NodeId> {
    let each = running(circuit).flat_map(|(id, fed)| {
        let part = circuit.part(id);
        let PartKind::Device(device) = &part.kind else {
            return Vec::new();
        };
        let mut units = device.units.iter();
        let triode = units.any(|unit| matches!(unit.characteristic, Characteristic::Oscillator(_)));
        let grid = grid_and_cathode(part).map(|[grid, _]| grid);
        grid.into_iter().chain(triode.then_some(fed)).collect()
    });
    each.collect()
}

/// The nodes of the grid that oscillates, and of the cathode.
fn grid_and_cathode(part: &Part) -> Option<[NodeId; 2]> {
    let PartKind::Device(device) = &part.kind else {
        return None;
    };
    let mut units = device.units.iter();
    let unit = units.find(|unit| unit.characteristic.oscillates())?;
    let grid = match unit.characteristic {
        Characteristic::Oscillator(_) => 1,
        _ => 2,
    };
    let node = |at: &usize| part.nodes.get(*at).copied();
    Some([node(unit.at.get(grid)?)?, node(unit.at.last()?)?])
}

/// Oscillators that run in the drawing, and have no supply as altered or their grid joined to the cathode by few ohms.
pub(super) fn stopped(circuit: &Circuit, made: &Alteration) -> Vec<PartId> {
    let running: Vec<(PartId, NodeId)> = running(circuit).collect();
    if running.is_empty() || made.parts.is_empty() && made.bridges.is_empty() {
        return Vec::new();
    }
    let altered = Altered { circuit, made };
    let nothing = &Alteration::none(&made.conditions);
    let drawn = Altered {
        circuit,
        made: nothing,
    };
    // A plate or screen that is fed in some way not seen here, and so was not live before, says nothing.
    let (live, before) = (altered.live(false), drawn.live(false));
    let starved = |fed: NodeId| !live[fed.0] && before[fed.0];
    let damped = |ends: [NodeId; 2]| {
        altered.is_joined_below(DAMPS, ends) && !drawn.is_joined_below(DAMPS, ends)
    };
    let stops = |(id, fed): &(PartId, NodeId)| {
        starved(*fed) || grid_and_cathode(circuit.part(*id)).is_some_and(damped)
    };
    running
        .into_iter()
        .filter(stops)
        .map(|(id, _)| id)
        .collect()
}

/// Running oscillators and the nodes by which they are fed: a triode's plate, a converter's oscillator anode or its
/// screen.
fn running(circuit: &Circuit) -> impl Iterator<Item = (PartId, NodeId)> + '_ {
    let parts = circuit.parts().iter().enumerate();
    parts.filter_map(|(place, part)| {
        let PartKind::Device(device) = &part.kind else {
            return None;
        };
        let mut units = device.units.iter();
        let unit = units.find(|unit| unit.characteristic.oscillates())?;
        if let (Characteristic::Oscillator(_), [plate, ..]) = (unit.characteristic, &unit.at[..]) {
            return Some((PartId(place), *part.nodes.get(*plate)?));
        }
        let [_, screen, ..] = unit.at[..] else {
            return None;
        };
        let anode = circuit
            .sections_of(PartId(place))
            .into_iter()
            .find_map(|section| anode_of(circuit.part(section)));
        Some((PartId(place), anode.or(part.nodes.get(screen).copied())?))
    })
}

/// The node of an oscillator anode; none where it is not drawn.
fn anode_of(part: &Part) -> Option<NodeId> {
    let PartKind::Device(device) = &part.kind else {
        return None;
    };
    let mut terminals = device.terminals.iter();
    let anode = terminals.position(|terminal| terminal.name == OSCILLATOR_ANODE)?;
    part.nodes.get(anode).copied()
}
