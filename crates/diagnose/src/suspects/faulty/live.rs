//! Which places of an altered circuit a source still reaches.
//!
//! An alteration in the making comes in; a mark for each node goes out. Only ways for current are looked at:
//! less volts than usual are not judged here.

use circuit::{Alteration, Circuit, NodeId, Part, PartId, PartKind};

/// Ohms below which a capacitor or a bridge joins two nodes, and above which a part leads nothing
/// (common practice, no source).
const JOINED: f64 = 10.0;
const PARTED: f64 = 1e7;

/// A circuit with an alteration in the making.
pub(super) struct Altered<'a> {
    pub(super) circuit: &'a Circuit,
    pub(super) made: &'a Alteration,
}

impl<'a> Altered<'a> {
    /// Parts as altered.
    pub(super) fn parts(&self) -> impl Iterator<Item = (PartId, &'a Part)> + '_ {
        let drawn = self.circuit.parts().iter().enumerate();
        drawn.map(|(place, part)| {
            let mut changed = self.made.parts.iter();
            let own = changed.find(|(id, _)| id.0 == place);
            (PartId(place), own.map_or(part, |(_, part)| part))
        })
    }

    /// Whether each node is reached from a live end of a supply, or of a source of alternating volts where
    /// those count too, not through a node that is joined to a reference.
    pub(super) fn live(&self, alternating: bool) -> Vec<bool> {
        let dead = self.joined_to_reference();
        let mut live = vec![false; self.circuit.nodes().len()];
        for (id, part) in self.parts() {
            let (volts, source) = match &part.kind {
                PartKind::Supply(supply) => (supply.volts, supply.source),
                PartKind::Generator(own) if alternating => (own.volts, own.source),
                _ => continue,
            };
            if volts != 0.0 && source < PARTED && self.delivers(id, part) {
                part.nodes.iter().for_each(|node| live[node.0] = true);
            }
        }
        let mut links = self.bridged();
        for (id, part) in self.parts() {
            links.extend(joined(part, &self.leads(id, part)));
        }
        for (node, live) in live.iter_mut().enumerate() {
            *live &= !dead[node];
        }
        spread(&mut live, &links, |node| !dead[node]);
        live
    }

    /// Whether the current of a source has a way from one of its ends to the other outside it, and no short: an open
    /// field coil in the negative lead leaves a rectifier that works and feeds nothing. No way leads through a control
    /// grid.
    fn delivers(&self, source: PartId, own: &Part) -> bool {
        let [from, .., to] = own.nodes[..] else {
            return false;
        };
        let mut links = self.bridged();
        for (id, part) in self.parts().filter(|(id, _)| *id != source) {
            let leads = match &part.kind {
                PartKind::Device(device) => {
                    let terminals = device.terminals.iter().enumerate();
                    let carries = terminals.filter(|(_, one)| !one.name.starts_with("grid"));
                    let carries: Vec<usize> = carries.map(|(place, _)| place).collect();
                    carries.windows(2).map(|two| (two[0], two[1])).collect()
                }
                _ => self.leads(id, part),
            };
            links.extend(joined(part, &leads));
        }
        let nodes = self.circuit.nodes().iter().enumerate();
        let mut grounds = nodes.filter(|(_, node)| node.is_reference);
        if let Some((first, _)) = grounds.next() {
            links.extend(grounds.map(|(other, _)| (first, other)));
        }
        let leads = |links: &[(usize, usize)]| {
            let mut reached = vec![false; self.circuit.nodes().len()];
            reached[from.0] = true;
            spread(&mut reached, links, |_| true);
            reached[to.0]
        };
        leads(&links) && !leads(&self.shorts())
    }

    /// Whether two nodes are joined by parts and bridges of at most so many ohms each.
    pub(super) fn is_joined_below(&self, most: f64, [from, to]: [NodeId; 2]) -> bool {
        let few = |part: &&Part| match &part.kind {
            PartKind::Resistor(resistor) => resistor.ohms <= most,
            PartKind::Inductor(coil) => coil.ohms <= most,
            PartKind::Capacitor(capacitor) => capacitor.leak.is_some_and(|leak| leak <= most),
            _ => false,
        };
        let parts = self.parts().map(|(_, part)| part).filter(few);
        let mut links: Vec<(usize, usize)> = parts
            .map(|part| (part.nodes[0].0, part.nodes[1].0))
            .collect();
        let bridges = self.made.bridges.iter().filter(|own| own.ohms <= most);
        links.extend(bridges.map(|bridge| (bridge.plus.0, bridge.minus.0)));
        let mut reached = vec![false; self.circuit.nodes().len()];
        reached[from.0] = true;
        spread(&mut reached, &links, |_| true);
        reached[to.0]
    }

    /// Pairs of nodes that a bridge joins.
    fn bridged(&self) -> Vec<(usize, usize)> {
        let bridges = self.made.bridges.iter();
        let bridges = bridges.filter(|bridge| bridge.ohms < PARTED);
        bridges
            .map(|bridge| (bridge.plus.0, bridge.minus.0))
            .collect()
    }

    /// References and the nodes that a short joins to one.
    fn joined_to_reference(&self) -> Vec<bool> {
        let nodes = self.circuit.nodes().iter();
        let mut joined: Vec<bool> = nodes.map(|node| node.is_reference).collect();
        let links = self.shorts();
        spread(&mut joined, &links, |_| true);
        joined
    }

    /// Pairs of nodes between which there is a short.
    pub(super) fn shorts(&self) -> Vec<(usize, usize)> {
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
        shorts
            .chain(bridges.map(|bridge| (bridge.plus.0, bridge.minus.0)))
            .collect()
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

/// Pairs of nodes for pairs of a part's terminals.
fn joined(part: &Part, leads: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let ends = leads.iter();
    let ends = ends.filter_map(|(a, b)| part.nodes.get(*a).zip(part.nodes.get(*b)));
    ends.map(|(a, b)| (a.0, b.0)).collect()
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
