//! Ideal sources and wires: the nodes that they join share one unknown, and their currents are computed
//! afterwards.
//!
//! Each node of a group is a known voltage above the group's unknown. The ties of a group are a tree,
//! so the balance of its nodes, taken from the leaves inwards, gives the current of each.

use circuit::Circuit;

use crate::element::{Element, ElementKind};
use crate::potentials::Potentials;

/// The place of a node: so many volts above an unknown, or above the reference.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Place {
    pub(crate) row: Option<usize>,
    pub(crate) volts: f64,
}

/// An ideal source or wire.
#[derive(Clone, Copy, Debug)]
struct Tie {
    /// The end nearer to the root of its group, none for the reference itself.
    parent: Option<usize>,
    child: usize,
    /// The element, and whether `child` is its plus end.
    element: Option<(usize, bool)>,
}

/// All ties of a network, from the roots outwards.
#[derive(Clone, Debug, Default)]
pub(crate) struct Ties(Vec<Tie>);

impl Ties {
    /// The current of every element that is a tie, from plus to minus inside it, given the sum of all
    /// other currents that leave each node.
    pub(crate) fn currents(&self, elements: usize, leaving: &mut [f64]) -> Vec<f64> {
        let mut currents = vec![0.0; elements];
        for tie in self.0.iter().rev() {
            // What does not balance at the child flows on through the tie.
            let through = leaving[tie.child];
            if let Some(parent) = tie.parent {
                leaving[parent] += through;
            }
            if let Some((element, child_is_plus)) = tie.element {
                currents[element] = if child_is_plus { -through } else { through };
            }
        }
        currents
    }
}

fn ideal_volts(element: &Element) -> Option<f64> {
    match element.kind {
        ElementKind::Branch { volts, ohms } if ohms <= 0.0 => Some(volts),
        _ => None,
    }
}

/// The place of each node, and the number of rows. All references are one point.
pub(crate) fn places(circuit: &Circuit, elements: &[Element], whole: usize) -> (Vec<Place>, usize) {
    let reference = whole;
    let mut tied = Potentials::new(whole + 1);
    for node in circuit.references() {
        tied.tie(node.0, reference, 0.0);
    }
    for element in elements {
        if let Some(volts) = ideal_volts(element) {
            tied.tie(element.plus.0, element.minus.0, volts);
        }
    }
    let (ground, ground_volts) = tied.root(reference);
    let mut row_of = vec![None; whole + 1];
    let mut rows = 0;
    let places = (0..whole).map(|node| {
        let (root, volts) = tied.root(node);
        if root == ground {
            return Place {
                row: None,
                volts: volts - ground_volts,
            };
        }
        let row = *row_of[root].get_or_insert_with(|| {
            rows += 1;
            rows - 1
        });
        Place {
            row: Some(row),
            volts,
        }
    });
    (places.collect(), rows)
}

/// The ties as trees, from the roots outwards. A group that holds references has their common
/// point as its root.
pub(crate) fn ties(circuit: &Circuit, elements: &[Element], whole: usize) -> Ties {
    let mut at: Vec<Vec<(usize, usize, bool)>> = vec![Vec::new(); whole];
    for (index, element) in elements.iter().enumerate() {
        if ideal_volts(element).is_some() {
            let (plus, minus) = (element.plus.0, element.minus.0);
            at[plus].push((index, minus, false));
            at[minus].push((index, plus, true));
        }
    }
    let mut ties = Vec::new();
    let mut reached = vec![false; whole];
    for node in circuit.references() {
        reached[node.0] = true;
        ties.push(Tie {
            parent: None,
            child: node.0,
            element: None,
        });
    }
    let mut next = 0;
    let mut roots = 0..whole;
    let mut from: Vec<usize> = circuit.references().map(|node| node.0).collect();
    loop {
        while let Some(parent) = from.get(next).copied() {
            next += 1;
            for (index, child, child_is_plus) in &at[parent] {
                if !reached[*child] {
                    reached[*child] = true;
                    from.push(*child);
                    ties.push(Tie {
                        parent: Some(parent),
                        child: *child,
                        element: Some((*index, *child_is_plus)),
                    });
                }
            }
        }
        match roots.find(|node| !reached[*node] && !at[*node].is_empty()) {
            Some(root) => {
                reached[root] = true;
                from.push(root);
            }
            None => return Ties(ties),
        }
    }
}
