//! Loops of ideal sources and closed contacts: they state one voltage twice, or short a source.
//!
//! Branches without resistance come in; a loop with at least one source in it is reported. A loop
//! of contacts and windings alone carries no current and is right.

use circuit::{Circuit, Groups, Part, PartId, PartKind};

use crate::netlist::draft::NetlistDraft;
use crate::netlist::findings::Findings;

/// A connection without resistance between two nodes.
#[derive(Clone, Copy, Debug)]
struct Branch {
    part: PartId,
    from: usize,
    to: usize,
}

/// Reports each ideal source that closes a loop.
pub(super) fn check(sheet: &NetlistDraft<'_>, findings: &mut Findings) {
    let circuit = sheet.builder.peek();
    let mut wires = Vec::new();
    let mut sources = Vec::new();
    for stated in sheet
        .stated
        .iter()
        .filter(|stated| stated.connected && stated.valued)
    {
        let Some(id) = stated.part else { continue };
        let part = circuit.part(id);
        let place = if part.kind.is_source() {
            &mut sources
        } else {
            &mut wires
        };
        for (from, to) in without_resistance(part) {
            if let (Some(from), Some(to)) = (part.nodes.get(*from), part.nodes.get(*to)) {
                let (from, to) = (from.0, to.0);
                place.push((Branch { part: id, from, to }, &stated.bytes));
            }
        }
    }
    let mut groups = Groups::new(circuit.nodes().len());
    let mut tree: Vec<Branch> = Vec::new();
    for (wire, _) in wires {
        if groups.join(wire.from, wire.to) {
            tree.push(wire);
        }
    }
    // Wires first: a loop is then closed by a source, and every source of a loop but one is in the
    // tree.
    for (source, bytes) in sources {
        // A source on one node has been reported as such.
        if source.from == source.to {
            continue;
        }
        if groups.join(source.from, source.to) {
            tree.push(source);
            continue;
        }
        let path = path(&tree, circuit.nodes().len(), source);
        let message = match path.as_slice() {
            [] => continue,
            others => format!(
                "{} form a loop without any resistance",
                names(circuit, source, others)
            ),
        };
        let mut found = findings
            .error(bytes, message)
            .label("this source closes the loop")
            .help("give a source its own resistance, such as `source=1R`, or open the loop");
        let other = path.first().and_then(|other| {
            sheet
                .stated
                .iter()
                .find(|stated| stated.part == Some(other.part))
        });
        if let Some(other) = other {
            found = found.related(findings.at(&other.bytes), "part of the loop");
        }
        findings.push(found);
    }
}

/// Pairs of terminals that the part joins without resistance.
fn without_resistance(part: &Part) -> &'static [(usize, usize)] {
    let zero = |ohms: f64| ohms <= 0.0;
    match &part.kind {
        PartKind::Supply(supply) if zero(supply.source) => &[(0, 1)],
        PartKind::Generator(generator) if zero(generator.source) => &[(0, 1)],
        PartKind::Contact(contact) if contact.closed => &[(0, 1)],
        PartKind::Inductor(inductor) if zero(inductor.ohms) => &[(0, 1)],
        PartKind::Transformer(two) => match (zero(two.primary_ohms), zero(two.secondary_ohms)) {
            (true, true) => &[(0, 1), (2, 3)],
            (true, false) => &[(0, 1)],
            (false, true) => &[(2, 3)],
            (false, false) => &[],
        },
        PartKind::Supply(_)
        | PartKind::Generator(_)
        | PartKind::Contact(_)
        | PartKind::Inductor(_)
        | PartKind::Resistor(_)
        | PartKind::Potentiometer(_)
        | PartKind::Capacitor(_)
        | PartKind::Lamp(_)
        | PartKind::Device(_) => &[],
    }
}

/// The branches of the tree that lead from one end of a source to the other.
fn path(tree: &[Branch], nodes: usize, source: Branch) -> Vec<Branch> {
    // The branch by which each node was reached from the source's start.
    let mut reached: Vec<Option<Branch>> = vec![None; nodes];
    let mut queue = vec![source.from];
    while let Some(node) = queue.pop() {
        for branch in tree {
            let next = if branch.from == node {
                branch.to
            } else if branch.to == node {
                branch.from
            } else {
                continue;
            };
            if next != source.from && reached[next].is_none() {
                reached[next] = Some(*branch);
                queue.push(next);
            }
        }
    }
    let mut path = Vec::new();
    let mut node = source.to;
    while node != source.from {
        let Some(branch) = reached[node] else {
            return Vec::new();
        };
        path.push(branch);
        node = if branch.to == node {
            branch.from
        } else {
            branch.to
        };
    }
    path
}

/// `PS1, S1 and BT1`, the closing source first.
fn names(circuit: &Circuit, source: Branch, others: &[Branch]) -> String {
    let name = |branch: &Branch| circuit.part(branch.part).designator.as_str();
    let mut names: Vec<&str> = std::iter::once(name(&source))
        .chain(others.iter().map(name))
        .collect();
    names.dedup();
    let last = names.pop().unwrap_or("");
    format!("{} and {last}", names.join(", "))
}
