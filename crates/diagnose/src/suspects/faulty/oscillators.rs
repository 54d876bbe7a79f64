//! Converters whose oscillator has nothing left to run on.
//!
//! An alteration in the making comes in; converters whose screen, or whose oscillator anode where they
//! have one, no live supply reaches any more are put at rest. The law of a running converter draws its
//! grid current whatever its screen has, so a set without supply would keep its oscillator's volts. Less volts than usual are not judged here.

use circuit::{Alteration, Characteristic, Circuit, NodeId, Part, PartId, PartKind};

use crate::suspects::hypotheses::sections;

/// Ohms below which a capacitor or a bridge joins two nodes, and above which a part leads nothing
/// (common practice, no source).
const JOINED: f64 = 10.0;
const PARTED: f64 = 1e7;

/// The name of the terminal of an oscillator anode.
const OSCILLATOR_ANODE: &str = "oscillator-anode";

/// Converters that run in the drawing and have no supply as altered.
pub(super) fn starved(circuit: &Circuit, made: &Alteration) -> Vec<PartId> {
    let mut running: Vec<(PartId, NodeId)> = running(circuit).collect();
    if running.is_empty() || made.parts.is_empty() && made.bridges.is_empty() {
        return Vec::new();
    }
    let live = Altered { circuit, made }.live();
    running.retain(|(_, screen)| !live[screen.0]);
    if !running.is_empty() {
        // A screen that is fed in some way not seen here, and so was not live before, says nothing.
        let made = &Alteration::none(&made.conditions);
        let before = Altered { circuit, made }.live();
        running.retain(|(_, screen)| before[screen.0]);
    }
    running.into_iter().map(|(id, _)| id).collect()
}

/// Running converters and the nodes by which their oscillators are fed: the anode of its own that some have, or
/// the screen.
fn running(circuit: &Circuit) -> impl Iterator<Item = (PartId, NodeId)> + '_ {
    let parts = circuit.parts().iter().enumerate();
    parts.filter_map(|(place, part)| {
        let PartKind::Device(device) = &part.kind else {
            return None;
        };
        let unit = device.units.iter().find(|unit| {
            matches!(&unit.characteristic, Characteristic::Pentagrid(tube) if tube.oscillates)
        })?;
        let [_, screen, ..] = unit.at[..] else {
            return None;
        };
        let anode = sections(circuit, PartId(place))
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

struct Altered<'a> {
    circuit: &'a Circuit,
    made: &'a Alteration,
}

impl<'a> Altered<'a> {
    fn parts(&self) -> impl Iterator<Item = (PartId, &'a Part)> + '_ {
        let drawn = self.circuit.parts().iter().enumerate();
        drawn.map(|(place, part)| {
            let mut changed = self.made.parts.iter();
            let own = changed.find(|(id, _)| id.0 == place);
            (PartId(place), own.map_or(part, |(_, part)| part))
        })
    }

    /// Whether each node is reached from a live end of a supply, not through a node that is joined
    /// to a reference.
    fn live(&self) -> Vec<bool> {
        let dead = self.joined_to_reference();
        let mut live = vec![false; self.circuit.nodes().len()];
        for (_, part) in self.parts() {
            if let PartKind::Supply(supply) = &part.kind {
                if supply.volts != 0.0 && supply.source < PARTED {
                    part.nodes.iter().for_each(|node| live[node.0] = true);
                }
            }
        }
        let mut links: Vec<(usize, usize)> = Vec::new();
        for (id, part) in self.parts() {
            for (a, b) in self.leads(id, part) {
                if let (Some(a), Some(b)) = (part.nodes.get(a), part.nodes.get(b)) {
                    links.push((a.0, b.0));
                }
            }
        }
        let bridges = self.made.bridges.iter();
        let bridges = bridges.filter(|bridge| bridge.ohms < PARTED);
        links.extend(bridges.map(|bridge| (bridge.plus.0, bridge.minus.0)));
        for (node, live) in live.iter_mut().enumerate() {
            *live &= !dead[node];
        }
        spread(&mut live, &links, |node| !dead[node]);
        live
    }

    /// References and the nodes that a short joins to one.
    fn joined_to_reference(&self) -> Vec<bool> {
        let nodes = self.circuit.nodes().iter();
        let mut joined: Vec<bool> = nodes.map(|node| node.is_reference).collect();
        let altered = |id: PartId| self.made.parts.iter().any(|(own, _)| *own == id);
        let shorts = self.parts().filter_map(|(id, part)| {
            let shorted = match &part.kind {
                PartKind::Capacitor(capacitor) => capacitor.leak? <= JOINED,
                // One of so few ohms as drawn leads to what it feeds.
                PartKind::Resistor(resistor) => resistor.ohms <= JOINED && altered(id),
                _ => false,
            };
            shorted.then(|| (part.nodes[0].0, part.nodes[1].0))
        });
        let bridges = self.made.bridges.iter();
        let bridges = bridges.filter(|bridge| bridge.ohms <= JOINED);
        let links: Vec<(usize, usize)> = shorts
            .chain(bridges.map(|bridge| (bridge.plus.0, bridge.minus.0)))
            .collect();
        spread(&mut joined, &links, |_| true);
        joined
    }

    /// Pairs of a part's terminals between which direct current is led.
    fn leads(&self, id: PartId, part: &Part) -> Vec<(usize, usize)> {
        let some = |led: bool, pairs: &[(usize, usize)]| match led {
            true => pairs.to_vec(),
            false => Vec::new(),
        };
        let ends = [(0, 1)];
        match &part.kind {
            PartKind::Resistor(resistor) => some(resistor.ohms < PARTED, &ends),
            PartKind::Inductor(coil) => some(coil.ohms < PARTED, &ends),
            PartKind::Transformer(windings) => {
                let mut both = some(windings.primary_ohms < PARTED, &ends);
                both.extend(some(windings.secondary_ohms < PARTED, &[(2, 3)]));
                both
            }
            PartKind::Potentiometer(_) => vec![(0, 1), (1, 2)],
            PartKind::Lamp(_) => ends.to_vec(),
            // A setting of the row, or the drawing.
            PartKind::Contact(contact) => {
                let set = self.made.conditions.of(id).is_some();
                some(contact.closed || set, &ends)
            }
            // What regulates or rectifies may lead to a supply behind it.
            PartKind::Device(device) => match device.terminals.len() {
                2 => ends.to_vec(),
                _ => Vec::new(),
            },
            PartKind::Capacitor(capacitor) => {
                some(capacitor.leak.is_some_and(|leak| leak <= JOINED), &ends)
            }
            PartKind::Supply(supply) => some(supply.source < PARTED, &ends),
            PartKind::Generator(source) => some(source.source < PARTED, &ends),
        }
    }
}

/// Spreads a mark along links, to nodes that may have it.
fn spread(marked: &mut [bool], links: &[(usize, usize)], may: impl Fn(usize) -> bool) {
    loop {
        let mut more = false;
        for (a, b) in links {
            for (from, to) in [(*a, *b), (*b, *a)] {
                if marked[from] && !marked[to] && may(to) {
                    marked[to] = true;
                    more = true;
                }
            }
        }
        if !more {
            return;
        }
    }
}
