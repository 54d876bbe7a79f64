//! Where a point belongs, as far as the drawn circuit tells.
//!
//! A job comes in; for each row of its manual the supply rails, or the tube or transistor next to
//! it, goes out. In which order places are probed is not known here.

use std::collections::BTreeSet;

use circuit::{socket, DeviceClass, Job, ManualRow, NodeId, Part, PartKind, Quantity};

/// A filter section has a capacitor of at least this, in farads; less couples or bypasses
/// (common practice, no source).
const FILTER_FARADS: f64 = 1e-6;

/// Where a point belongs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Place {
    PowerOff,
    Rails,
    /// At this device, by the designator of its part or socket.
    At(String),
    Undetermined,
    /// Read with a part out of the circuit, wherever the probes go: each part is taken out once.
    PartOut,
}

/// What of a drawn circuit tells where a point belongs.
pub(crate) struct Drawing<'a> {
    job: &'a Job,
    /// For each node, whether it is a supply rail.
    rail: Vec<bool>,
}

impl<'a> Drawing<'a> {
    pub(crate) fn of(job: &'a Job) -> Self {
        let mut drawing = Drawing {
            job,
            rail: vec![false; job.circuit.nodes().len()],
        };
        for part in job.circuit.parts() {
            let feeds = match &part.kind {
                PartKind::Supply(_) => true,
                PartKind::Device(device) => device.class == DeviceClass::Regulator,
                _ => false,
            };
            if feeds {
                drawing.mark(&part.nodes);
            }
        }
        while drawing.spread() {}
        drawing
    }

    fn mark(&mut self, nodes: &[NodeId]) -> bool {
        let mut new = false;
        for node in nodes {
            if !self.is_reference(*node) && !self.rail[node.0] {
                self.rail[node.0] = true;
                new = true;
            }
        }
        new
    }

    /// Carries the rails on through chokes and filter sections; whether any was new.
    fn spread(&mut self) -> bool {
        let mut new = Vec::new();
        for part in self.job.circuit.parts() {
            let [a, b] = part.nodes[..] else { continue };
            let passes = match part.kind {
                PartKind::Resistor(_) | PartKind::Inductor(_) | PartKind::Contact(_) => true,
                PartKind::Potentiometer(_)
                | PartKind::Capacitor(_)
                | PartKind::Transformer(_)
                | PartKind::Supply(_)
                | PartKind::Generator(_)
                | PartKind::Lamp(_)
                | PartKind::Device(_) => false,
            };
            for (from, to) in [(a, b), (b, a)] {
                if passes && self.rail[from.0] && !self.rail[to.0] && self.is_filtered(to) {
                    new.push(to);
                }
            }
        }
        self.mark(&new)
    }

    /// Whether a node holds a large capacitor and no device.
    fn is_filtered(&self, node: NodeId) -> bool {
        let here = |part: &&Part| part.nodes.contains(&node);
        let parts = || self.job.circuit.parts().iter().filter(here);
        let filtered = parts().any(|part| match &part.kind {
            PartKind::Capacitor(capacitor) => capacitor.farads >= FILTER_FARADS,
            _ => false,
        });
        filtered && !parts().any(stage_device)
    }

    fn is_reference(&self, node: NodeId) -> bool {
        self.job.circuit.nodes()[node.0].is_reference
    }

    /// Where a row's point belongs.
    pub(crate) fn place(&self, row: ManualRow<'_>) -> Place {
        if row.quantity == Quantity::Ohms {
            return Place::PowerOff;
        }
        let Some(port) = row.port else {
            return named(row.at).map_or(Place::Undetermined, |designator| {
                Place::At(self.stage_name(&designator))
            });
        };
        let ends: Vec<NodeId> = [port.plus, port.minus]
            .into_iter()
            .filter(|node| !self.is_reference(*node))
            .collect();
        if !ends.is_empty() && ends.iter().all(|node| self.rail[node.0]) {
            return Place::Rails;
        }
        if self.names_regulator(row) {
            return Place::Rails;
        }
        if let Some(part) = self.named_part(row) {
            return Place::At(self.stage_name(&part.designator));
        }
        let start: Vec<NodeId> = ends.into_iter().filter(|node| !self.rail[node.0]).collect();
        match self.nearest(&start) {
            Some(part) => Place::At(self.stage_name(&part.designator)),
            None => named(row.at).map_or(Place::Undetermined, |designator| {
                Place::At(self.stage_name(&designator))
            }),
        }
    }

    /// The device that the words of a place name, at the section that its node belongs to.
    fn named_part(&self, row: ManualRow<'_>) -> Option<&'a Part> {
        let name = named(row.at)?;
        let port = row.port?;
        let parts = || self.job.circuit.parts().iter();
        let of_name = |part: &&Part| stage_device(part) && is_at(part, &name);
        parts()
            .filter(of_name)
            .find(|part| part.nodes.contains(&port.plus))
            .or_else(|| parts().find(of_name))
    }

    /// Whether the words of a place name a pin of a regulator: all its pins are looked at together
    /// with the rail that it holds.
    fn names_regulator(&self, row: ManualRow<'_>) -> bool {
        let Some(name) = named(row.at) else {
            return false;
        };
        let mut parts = self.job.circuit.parts().iter();
        parts.any(|part| match &part.kind {
            PartKind::Device(device) => {
                device.class == DeviceClass::Regulator && is_at(part, &name)
            }
            _ => false,
        })
    }

    /// The device next to any of the nodes, through as few parts as can be; the search stops at
    /// rails and references, which lead to every stage.
    fn nearest(&self, start: &[NodeId]) -> Option<&'a Part> {
        let mut seen: BTreeSet<NodeId> = start.iter().copied().collect();
        let mut edge: Vec<NodeId> = start.to_vec();
        while !edge.is_empty() {
            let touching: Vec<&'a Part> = self
                .job
                .circuit
                .parts()
                .iter()
                .filter(|part| part.nodes.iter().any(|node| edge.contains(node)))
                .collect();
            if let Some(device) = touching.iter().find(|part| stage_device(part)) {
                return Some(device);
            }
            edge = touching
                .iter()
                .flat_map(|part| &part.nodes)
                .copied()
                .filter(|node| !self.is_reference(*node) && !self.rail[node.0])
                .filter(|node| seen.insert(*node))
                .collect();
        }
        None
    }

    /// The socket of a section, unless the job's order names the section itself.
    fn stage_name(&self, designator: &str) -> String {
        let of_its_own = self.job.stage_order.iter().any(|stage| stage == designator);
        match socket(designator) {
            Some(socket) if !of_its_own => socket.to_owned(),
            _ => designator.to_owned(),
        }
    }
}

/// Whether a part is what a stage is built round.
fn stage_device(part: &Part) -> bool {
    match &part.kind {
        PartKind::Device(device) => matches!(
            device.class,
            DeviceClass::Tube | DeviceClass::Transistor | DeviceClass::FieldEffect
        ),
        _ => false,
    }
}

/// The designator in a place such as `V7 pin 3`.
fn named(at: &str) -> Option<String> {
    let (first, _) = at.trim().split_once(char::is_whitespace)?;
    let like_one = first.starts_with(|c: char| c.is_ascii_alphabetic())
        && first.contains(|c: char| c.is_ascii_digit());
    like_one.then(|| first.to_owned())
}

pub(crate) fn is_at(part: &Part, designator: &str) -> bool {
    part.designator == designator || socket(&part.designator) == Some(designator)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_named_by_a_designator_and_a_terminal() {
        assert_eq!(named("V7 pin 3").as_deref(), Some("V7"));
        for at in ["plate1", "line lamp", "repeater plate", "V7"] {
            assert_eq!(named(at), None, "{at}");
        }
    }
}
