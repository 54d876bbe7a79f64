//! In which order the points are probed, and what the stages are called.
//!
//! A job comes in; groups of entries go out: resistances with the power off first, then the
//! supply rails, then stage by stage. Makers number their tubes from the input on (common
//! practice, no source), so without an order of the job's own the highest number comes first:
//! from the output to the input.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use circuit::{socket, DeviceClass, Job, ManualEntry, NodeId, Part, PartKind, Quantity};

/// A filter section has a capacitor of at least this, in farads; less couples or bypasses
/// (common practice, no source).
const FILTER_FARADS: f64 = 1e-6;

/// Points that are probed together.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stage {
    /// The group's heading.
    pub heading: String,
    /// Entries of the manual, in its order.
    pub entries: Vec<usize>,
}

/// Where a point belongs.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Place {
    PowerOff,
    Rails,
    /// At this device, by the designator of its part or socket.
    At(String),
    Undetermined,
}

/// The groups of a job, none of them empty.
pub(crate) fn stages(job: &Job) -> Vec<Stage> {
    let drawing = Drawing::of(job);
    let mut found: Vec<(Place, Vec<usize>)> = Vec::new();
    for (index, entry) in job.manual.iter().enumerate() {
        let place = drawing.place(entry);
        match found.iter_mut().find(|(known, _)| *known == place) {
            Some((_, entries)) => entries.push(index),
            None => found.push((place, vec![index])),
        }
    }
    found.sort_by_cached_key(|(place, _)| rank(place, &job.stage_order));
    let alone = found.len() == 1;
    found
        .into_iter()
        .map(|(place, entries)| Stage {
            heading: heading(job, &place, alone),
            entries,
        })
        .collect()
}

/// Sorts by the job's order where it names the place, else behind all that it names. Resistances
/// come first unless the job says otherwise: they are read before the set is switched on.
fn rank(place: &Place, order: &[String]) -> (usize, usize, Reverse<u64>, String) {
    let word = match place {
        Place::PowerOff => "power-off",
        Place::Rails => "rails",
        Place::At(designator) => designator,
        Place::Undetermined => "",
    };
    let named = order.iter().position(|stage| stage == word);
    let (kind, number) = match place {
        Place::PowerOff => (0, 0),
        Place::Rails => (1, 0),
        Place::At(designator) => (2, number(designator)),
        Place::Undetermined => (3, 0),
    };
    let by_order = match (named, place) {
        (Some(at), _) => at + 1,
        (None, Place::PowerOff) => 0,
        (None, _) => usize::MAX,
    };
    (by_order, kind, Reverse(number), word.to_owned())
}

/// The number in a designator; 0 without one.
fn number(designator: &str) -> u64 {
    let digits: String = designator
        .chars()
        .skip_while(|c| !c.is_ascii_digit())
        .take_while(char::is_ascii_digit)
        .collect();
    digits.parse().unwrap_or(0)
}

fn heading(job: &Job, place: &Place, alone: bool) -> String {
    match place {
        Place::PowerOff => "Power off: resistances".to_owned(),
        Place::Rails => "Supply rails".to_owned(),
        Place::At(designator) => match type_of(job, designator) {
            Some(name) => format!("{designator}: {name}"),
            None => designator.clone(),
        },
        Place::Undetermined if alone => "All points".to_owned(),
        Place::Undetermined => "Other points".to_owned(),
    }
}

fn type_of<'a>(job: &'a Job, designator: &str) -> Option<&'a str> {
    let here = |part: &&Part| is_at(part, designator);
    match &job.circuit.parts().iter().find(here)?.kind {
        PartKind::Device(device) => Some(&device.type_name),
        _ => None,
    }
}

fn is_at(part: &Part, designator: &str) -> bool {
    part.designator == designator || socket(&part.designator) == Some(designator)
}

/// What of a drawn circuit tells where a point belongs.
struct Drawing<'a> {
    job: &'a Job,
    /// For each node, whether it is a supply rail.
    rail: Vec<bool>,
}

impl<'a> Drawing<'a> {
    fn of(job: &'a Job) -> Self {
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
            let passes = matches!(
                part.kind,
                PartKind::Resistor(_) | PartKind::Inductor(_) | PartKind::Contact(_)
            );
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
        self.job
            .circuit
            .nodes()
            .get(node.0)
            .is_some_and(|node| node.is_reference)
    }

    fn place(&self, entry: &ManualEntry) -> Place {
        if entry.quantity == Quantity::Ohms {
            return Place::PowerOff;
        }
        let Some(port) = entry.port else {
            return named(&entry.at).map_or(Place::Undetermined, |designator| {
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
        if self.names_regulator(entry) {
            return Place::Rails;
        }
        if let Some(part) = self.named_part(entry) {
            return Place::At(self.stage_name(&part.designator));
        }
        let start: Vec<NodeId> = ends.into_iter().filter(|node| !self.rail[node.0]).collect();
        match self.nearest(&start) {
            Some(part) => Place::At(self.stage_name(&part.designator)),
            None => named(&entry.at).map_or(Place::Undetermined, |designator| {
                Place::At(self.stage_name(&designator))
            }),
        }
    }

    /// The device that the words of a place name, at the section that its node belongs to.
    fn named_part(&self, entry: &ManualEntry) -> Option<&'a Part> {
        let name = named(&entry.at)?;
        let port = entry.port?;
        let parts = || self.job.circuit.parts().iter();
        let of_name = |part: &&Part| stage_device(part) && is_at(part, &name);
        parts()
            .filter(of_name)
            .find(|part| part.nodes.contains(&port.plus))
            .or_else(|| parts().find(of_name))
    }

    /// Whether the words of a place name a pin of a regulator: all its pins are looked at together
    /// with the rail that it holds.
    fn names_regulator(&self, entry: &ManualEntry) -> bool {
        let Some(name) = named(&entry.at) else {
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

    /// The device next to any of the nodes, through as few parts as can be; rails and references
    /// are not walked through, for they lead everywhere.
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

#[cfg(test)]
mod tests {
    use super::*;

    fn sorted(order: &[&str]) -> Vec<Place> {
        let order: Vec<String> = order.iter().map(|stage| (*stage).to_owned()).collect();
        let at = |name: &str| Place::At(name.to_owned());
        let mut places = vec![
            Place::Undetermined,
            at("V2"),
            at("V10"),
            Place::Rails,
            at("V1"),
            Place::PowerOff,
        ];
        places.sort_by_cached_key(|place| rank(place, &order));
        places
    }

    #[test]
    fn without_an_order_the_output_comes_before_the_input() {
        let at = |name: &str| Place::At(name.to_owned());
        let want = [
            Place::PowerOff,
            Place::Rails,
            at("V10"),
            at("V2"),
            at("V1"),
            Place::Undetermined,
        ];
        assert_eq!(sorted(&[]), want);
    }

    #[test]
    fn the_order_of_the_job_comes_first_and_keeps_the_rest() {
        let at = |name: &str| Place::At(name.to_owned());
        let want = [
            Place::PowerOff,
            at("V1"),
            Place::Rails,
            at("V10"),
            at("V2"),
            Place::Undetermined,
        ];
        assert_eq!(sorted(&["V1", "rails"]), want);
        assert_eq!(sorted(&["rails", "power-off"])[1], Place::PowerOff);
    }

    #[test]
    fn a_place_is_named_by_a_designator_and_a_terminal() {
        assert_eq!(named("V7 pin 3").as_deref(), Some("V7"));
        for at in ["plate1", "line lamp", "repeater plate", "V7"] {
            assert_eq!(named(at), None, "{at}");
        }
    }
}
