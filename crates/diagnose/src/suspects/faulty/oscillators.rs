//! Oscillators with nothing left to run on.
//!
//! An alteration in the making comes in; triodes that oscillate whose plate, and converters whose screen, or whose
//! oscillator anode where they have one, no live supply reaches any more are put at rest. The law of a running
//! oscillator draws its grid current whatever its supply, so a set without supply would keep its oscillator's volts.
//! Less volts than usual are not judged here.

use circuit::{Alteration, Characteristic, Circuit, NodeId, Part, PartId, PartKind};

use super::live::Altered;

/// The name of the terminal of an oscillator anode.
const OSCILLATOR_ANODE: &str = "oscillator-anode";

/// Oscillators that run in the drawing and have no supply as altered.
pub(super) fn starved(circuit: &Circuit, made: &Alteration) -> Vec<PartId> {
    let mut running: Vec<(PartId, NodeId)> = running(circuit).collect();
    if running.is_empty() || made.parts.is_empty() && made.bridges.is_empty() {
        return Vec::new();
    }
    let live = Altered { circuit, made }.live(false);
    running.retain(|(_, fed)| !live[fed.0]);
    if !running.is_empty() {
        // A plate or screen that is fed in some way not seen here, and so was not live before, says nothing.
        let made = &Alteration::none(&made.conditions);
        let before = Altered { circuit, made }.live(false);
        running.retain(|(_, fed)| before[fed.0]);
    }
    running.into_iter().map(|(id, _)| id).collect()
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
