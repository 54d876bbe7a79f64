//! Loops of branches without resistance.
//!
//! A loop of closed contacts and bare wires only is common (two contacts in parallel) and
//! harmless: one of them is dropped, for no voltage depends on it and which of them carries the
//! current cannot be told. A loop that holds a source contradicts itself and is an error.

use circuit::{Circuit, Groups, NodeId};

use crate::element::{Element, ElementKind};
use crate::error::SolveError;

/// The elements less the wires that close a loop of wires.
///
/// # Errors
/// [`SolveError::SourceLoop`] with the parts of a loop that holds a source.
pub(crate) fn without_loops(
    circuit: &Circuit,
    elements: Vec<Element>,
) -> Result<Vec<Element>, SolveError> {
    let mut joined = Groups::new(circuit.nodes().len());
    let references: Vec<NodeId> = circuit.references().collect();
    for pair in references.windows(2) {
        joined.join(pair[0].0, pair[1].0);
    }
    let mut kept: Vec<Element> = Vec::with_capacity(elements.len());
    for element in &elements {
        let drops = element.is_wire() && !joined.join(element.plus.0, element.minus.0);
        if !drops {
            kept.push(*element);
        }
    }
    for element in kept.iter().filter(|element| is_ideal_source(element)) {
        if !joined.join(element.plus.0, element.minus.0) {
            return Err(SolveError::SourceLoop {
                parts: loop_parts(circuit, &kept, element),
            });
        }
    }
    Ok(kept)
}

impl Element {
    /// Whether another element joins the same nodes in the same way: both are wires, both ideal sources, or
    /// both have a resistance.
    pub(crate) fn joins_as(&self, other: &Element) -> bool {
        (self.part, self.piece, self.plus, self.minus)
            == (other.part, other.piece, other.plus, other.minus)
            && self.is_wire() == other.is_wire()
            && is_ideal_source(self) == is_ideal_source(other)
    }

    /// Whether it is a closed contact or a winding without resistance.
    pub(crate) fn is_wire(&self) -> bool {
        matches!(self.kind, ElementKind::Branch { volts, ohms } if volts == 0.0 && ohms == 0.0)
    }
}

fn is_ideal_source(element: &Element) -> bool {
    matches!(element.kind, ElementKind::Branch { volts, ohms } if volts != 0.0 && ohms == 0.0)
}

/// Designators round the loop that `closing` closes, by a breadth-first walk from its minus to
/// its plus end over the other branches without resistance. All references count as one node.
fn loop_parts(circuit: &Circuit, elements: &[Element], closing: &Element) -> Vec<String> {
    let key = |node: NodeId| (!circuit.nodes()[node.0].is_reference).then_some(node.0);
    let name = |element: &Element| circuit.part(element.part).designator.clone();
    let goal = key(closing.plus);
    let mut reached = vec![(key(closing.minus), vec![name(closing)])];
    let mut next = 0;
    while let Some((here, path)) = reached.get(next).cloned() {
        if here == goal {
            return path;
        }
        next += 1;
        for element in elements {
            if element == closing || !(element.is_wire() || is_ideal_source(element)) {
                continue;
            }
            let (plus, minus) = (key(element.plus), key(element.minus));
            for (from, to) in [(plus, minus), (minus, plus)] {
                if from == here && reached.iter().all(|(seen, _)| *seen != to) {
                    let mut longer = path.clone();
                    longer.push(name(element));
                    reached.push((to, longer));
                }
            }
        }
    }
    vec![name(closing)]
}
