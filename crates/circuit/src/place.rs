//! Places that a probe can touch, as users write them: `plate1`, `TP3`, `R7`, `V1 pin 6`,
//! `Q1 collector`.
//!
//! Words come in, nodes go out. The row that contains the words is not known here.

use thiserror::Error;

use crate::circuit::{Circuit, NodeId, PartId, Port};
use crate::part::{Part, PartKind};
use crate::topology::islands;

/// Why words name no place of the circuit.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum PlaceError {
    /// No node, test point or part has this name.
    #[error("no node, test point or part is called '{name}'")]
    Unknown {
        /// The name.
        name: String,
    },
    /// The part has no terminal of this name.
    #[error("{designator} has no terminal '{word}'")]
    NoTerminal {
        /// The part.
        designator: String,
        /// The word.
        word: String,
        /// The terminals it has.
        terminals: Vec<String>,
    },
    /// Several sections of the tube have a terminal of this name.
    #[error("{designator} has several terminals '{word}': name the section")]
    SeveralTerminals {
        /// The socket.
        designator: String,
        /// The word.
        word: String,
        /// The sections drawn.
        sections: Vec<String>,
    },
    /// A part with more than two terminals needs one of them named.
    #[error("{designator} has more than two terminals: say which one")]
    NotAcross {
        /// The part.
        designator: String,
        /// The terminals it has.
        terminals: Vec<String>,
    },
}

/// What the words of a place name: a node, or the two ends of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Spot {
    Node(NodeId),
    Across(Port),
}

/// For every node, the node that it is measured against if nothing else is stated.
#[derive(Clone, Debug, Default)]
pub struct Commons(Vec<NodeId>);

impl Commons {
    /// The job's `reference` if it is in the node's island, else the island's own reference, else
    /// the node itself.
    pub fn of(circuit: &Circuit, reference: Option<NodeId>) -> Self {
        let mut commons: Vec<NodeId> = (0..circuit.nodes().len()).map(NodeId).collect();
        for island in islands(circuit) {
            let wanted = reference.filter(|wanted| island.nodes.contains(wanted));
            if let Some(common) = wanted.or(island.references.first().copied()) {
                for node in island.nodes {
                    commons[node.0] = common;
                }
            }
        }
        Commons(commons)
    }

    /// The node that a node is measured against.
    fn of_node(&self, node: NodeId) -> NodeId {
        self.0.get(node.0).copied().unwrap_or(node)
    }
}

/// The port between `at` and `against`. If `against` is empty, the other side is the other end of
/// the part that `at` names, or else the node that `commons` states.
///
/// # Errors
/// [`PlaceError`] if either does not name a place of the circuit, with `true` if that was
/// `against`.
pub fn resolve(
    circuit: &Circuit,
    at: &str,
    against: &str,
    commons: &Commons,
) -> Result<Port, (PlaceError, bool)> {
    let other = match against.trim() {
        "" => None,
        words => match spot(circuit, words).map_err(|error| (error, true))? {
            Spot::Node(node) => Some(node),
            Spot::Across(port) => Some(port.plus),
        },
    };
    match spot(circuit, at.trim()).map_err(|error| (error, false))? {
        Spot::Across(port) => Ok(Port {
            plus: port.plus,
            minus: other.unwrap_or(port.minus),
        }),
        Spot::Node(plus) => Ok(Port {
            plus,
            minus: other.unwrap_or_else(|| commons.of_node(plus)),
        }),
    }
}

fn spot(circuit: &Circuit, words: &str) -> Result<Spot, PlaceError> {
    // A part that is called exactly so, `L1`, comes before a node `l1` that is so called but for its capitals.
    let is_part = || {
        let id = circuit.part_named(words);
        id.is_some_and(|id| circuit.part(id).designator == words)
    };
    let named = || circuit.node(words).or_else(|| circuit.test_point(words));
    let node = match circuit.node_exactly(words) {
        None if is_part() => None,
        exactly => exactly.or_else(named).or_else(|| circuit.lead(words)),
    };
    if let Some(node) = node {
        return Ok(Spot::Node(node));
    }
    // `T1 primary` is the part `T1.primary`.
    let piece = words.split_whitespace().collect::<Vec<_>>().join(".");
    let part = circuit
        .part_named(words)
        .or_else(|| circuit.part_named(&piece));
    if let Some(id) = part {
        let part = circuit.part(id);
        return match part.nodes.as_slice() {
            [plus, minus] => Ok(Spot::Across(Port {
                plus: *plus,
                minus: *minus,
            })),
            _ => Err(PlaceError::NotAcross {
                designator: part.designator.clone(),
                terminals: terminals(std::iter::once(part)),
            }),
        };
    }
    if let Some((name, rest)) = words.split_once(char::is_whitespace) {
        let parts = circuit.parts_of(name);
        // `T1 primary` of a transformer of two windings is the volts across it.
        if let [part] = parts.as_slice() {
            if let Some(port) = across_winding(circuit.part(*part), rest.trim()) {
                return Ok(Spot::Across(port));
            }
        }
        if !parts.is_empty() {
            return terminal(circuit, name, &parts, rest.trim());
        }
        if let Some(unknown) = no_lead(circuit, name, rest.trim()) {
            return Err(unknown);
        }
    }
    Err(PlaceError::Unknown {
        name: words.to_owned(),
    })
}

/// The ends of a winding of this name.
fn across_winding(part: &Part, word: &str) -> Option<Port> {
    let PartKind::Transformer(_) = part.kind else {
        return None;
    };
    let windings = ["primary", "secondary"];
    let at = windings
        .iter()
        .position(|known| known.eq_ignore_ascii_case(word))?;
    Some(Port {
        plus: *part.nodes.get(2 * at)?,
        minus: *part.nodes.get(2 * at + 1)?,
    })
}

/// The error for a terminal that a line of several parts does not have; none if there is no such
/// line.
fn no_lead(circuit: &Circuit, name: &str, word: &str) -> Option<PlaceError> {
    let own = |lead: &str| {
        let (line, terminal) = lead.split_once(' ')?;
        line.eq_ignore_ascii_case(name).then(|| terminal.to_owned())
    };
    let leads = circuit.leads().iter();
    let terminals: Vec<String> = leads.filter_map(|(lead, _)| own(lead)).collect();
    (!terminals.is_empty()).then(|| PlaceError::NoTerminal {
        designator: name.to_owned(),
        word: word.to_owned(),
        terminals,
    })
}

/// `V1` of `V1A`; none for a designator that does not end in a section letter.
pub fn socket(designator: &str) -> Option<&str> {
    let stem = designator.strip_suffix(|letter: char| letter.is_ascii_alphabetic())?;
    stem.ends_with(|digit: char| digit.is_ascii_digit())
        .then_some(stem)
}

fn terminal(
    circuit: &Circuit,
    name: &str,
    parts: &[PartId],
    word: &str,
) -> Result<Spot, PlaceError> {
    let found = circuit.terminals_at(parts, word).into_iter();
    let mut found: Vec<NodeId> = found.map(|(id, at)| circuit.part(id).nodes[at]).collect();
    found.sort();
    found.dedup();
    let each = || parts.iter().map(|id| circuit.part(*id));
    match found.as_slice() {
        [node] => Ok(Spot::Node(*node)),
        [] => Err(PlaceError::NoTerminal {
            designator: name.to_owned(),
            word: word.to_owned(),
            terminals: terminals(each()),
        }),
        _ => Err(PlaceError::SeveralTerminals {
            designator: name.to_owned(),
            word: word.to_owned(),
            sections: each().map(|part| part.designator.clone()).collect(),
        }),
    }
}

/// The names of terminals, each once: sections of a tube have the same.
fn terminals<'c>(parts: impl Iterator<Item = &'c Part>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for name in parts.flat_map(|part| part.kind.terminals()) {
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

#[cfg(test)]
#[path = "place_tests.rs"]
mod tests;
