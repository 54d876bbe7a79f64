//! Other ports at which a value may have been read, or for which it was intended.
//!
//! The place of an entry comes in; the other terminals of the same part or socket go out, and the
//! places of the manual's other entries.

use std::collections::HashSet;

use circuit::{socket, Circuit, Job, Part, PartKind, Port};

/// Every other place that an entry's value might belong to, each once.
pub(crate) fn other_places(job: &Job, entry: usize, port: Port) -> Vec<Port> {
    let own = port;
    let neighbours = terminals(&job.circuit, &job.manual[entry].at, own)
        .into_iter()
        .map(|plus| Port {
            plus,
            minus: own.minus,
        });
    let entries = job.manual.iter().filter_map(|other| other.port);
    let mut places: Vec<Port> = Vec::new();
    let mut known = HashSet::new();
    for place in neighbours.chain(entries) {
        let turned = Port {
            plus: own.minus,
            minus: own.plus,
        };
        let elsewhere = place != own && place != turned && place.plus != place.minus;
        if elsewhere && known.insert(place) {
            places.push(place);
        }
    }
    places
}

/// Nodes of the part that the words name and of the tubes and semiconductors at the place, with
/// all sections of their sockets.
fn terminals(circuit: &Circuit, at: &str, port: Port) -> Vec<circuit::NodeId> {
    let word = at.split_whitespace().next().unwrap_or("");
    let socket_of = |part: &Part| {
        socket(&part.designator)
            .unwrap_or(&part.designator)
            .to_owned()
    };
    let named = |part: &Part| {
        part.designator.eq_ignore_ascii_case(word) || socket_of(part).eq_ignore_ascii_case(word)
    };
    let touched =
        |part: &Part| matches!(part.kind, PartKind::Device(_)) && part.nodes.contains(&port.plus);
    let sockets: Vec<String> = circuit
        .parts()
        .iter()
        .filter(|part| named(part) || touched(part))
        .map(socket_of)
        .collect();
    let mut nodes: Vec<circuit::NodeId> = circuit
        .parts()
        .iter()
        .filter(|part| part.nodes.len() > 2 && sockets.contains(&socket_of(part)))
        .flat_map(|part| part.nodes.iter().copied())
        .filter(|node| *node != port.plus && *node != port.minus)
        .collect();
    nodes.sort_unstable();
    nodes.dedup();
    nodes
}
