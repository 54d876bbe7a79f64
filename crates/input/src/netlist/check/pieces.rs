//! Pieces of the drawing and their references: each needs one, and only one.

use std::collections::HashSet;

use circuit::{islands, Circuit, Island, NodeId};

use super::names::Grounds;
use crate::nearest::nearest;
use crate::netlist::draft::{NetlistDraft, Stated};
use crate::netlist::findings::Findings;

/// Names shown before "and so on".
const SHOWN: usize = 6;

/// Names that reference nodes usually have; common practice, no source.
const USUAL: [&str; 6] = ["chassis", "ground", "gnd", "common", "earth", "0"];

/// Reports pieces without a reference or with two. Gives the nodes of the pieces reported to be
/// adrift: that some of them are lonely need not be said as well.
pub(super) fn check(
    sheet: &NetlistDraft<'_>,
    grounds: &Grounds,
    findings: &mut Findings,
) -> HashSet<NodeId> {
    let circuit = sheet.builder.peek();
    let pieces = islands(circuit);
    for piece in &pieces {
        two_references(circuit, piece, grounds, findings);
    }
    // A line that could not be read may be what joins a piece to the rest, or its reference.
    let unread: HashSet<NodeId> = sheet
        .stated
        .iter()
        .filter(|stated| !stated.connected)
        .flat_map(|stated| stated.mentions.iter().map(|(node, _)| *node))
        .collect();
    let adrift: Vec<&Island> = pieces
        .iter()
        .filter(|piece| piece.references.is_empty() && !grounds.lost)
        .filter(|piece| !piece.nodes.iter().any(|node| unread.contains(node)))
        .collect();
    let none = grounds.stated.is_empty();
    let main = adrift
        .iter()
        .max_by_key(|piece| piece.nodes.len())
        .filter(|_| none);
    let mut reported = HashSet::new();
    for piece in &adrift {
        let is_main = main.is_some_and(|main| std::ptr::eq(*main, *piece));
        if is_main {
            no_reference(sheet, piece, findings);
        } else {
            without_reference(sheet, piece, findings);
            reported.extend(piece.nodes.iter().copied());
        }
    }
    reported
}

fn two_references(circuit: &Circuit, piece: &Island, grounds: &Grounds, findings: &mut Findings) {
    let places = grounds
        .stated
        .iter()
        .filter(|(node, _)| piece.references.contains(node) && !grounds.guessed.contains(node));
    let mut first = None;
    for (node, bytes) in places {
        let Some((other, place)) = first else {
            first = Some((node, bytes));
            continue;
        };
        let names = (circuit.node_name(*node), circuit.node_name(*other));
        let message = format!(
            "'{}' and '{}' are both the reference of one piece",
            names.0, names.1
        );
        findings.refuse_beside(
            bytes,
            message,
            "a second reference",
            "parts join these two nodes: keep the one that the manual measures against",
            (place, "the first reference"),
        );
    }
}

fn first_line<'s>(sheet: &'s NetlistDraft<'_>, piece: &Island) -> Option<&'s Stated> {
    let within = |stated: &&Stated| {
        stated
            .mentions
            .iter()
            .any(|(node, _)| piece.nodes.contains(node))
    };
    sheet
        .stated
        .iter()
        .filter(within)
        .min_by_key(|stated| stated.bytes.start)
}

/// The whole drawing lacks a reference.
fn no_reference(sheet: &NetlistDraft<'_>, piece: &Island, findings: &mut Findings) {
    let circuit = sheet.builder.peek();
    let usual = piece.nodes.iter().find(|node| {
        USUAL
            .iter()
            .any(|usual| circuit.node_name(**node).eq_ignore_ascii_case(usual))
    });
    let help = match usual {
        Some(node) => format!("add a line `ground {}`", circuit.node_name(*node)),
        None => {
            "add a line `ground NODE` with the node that the manual measures against".to_owned()
        }
    };
    let Some(stated) = first_line(sheet, piece) else {
        return;
    };
    findings.refuse(
        &stated.bytes,
        "no node is the reference",
        "this and what joins it",
        help,
    );
}

/// One piece of several lacks a reference.
fn without_reference(sheet: &NetlistDraft<'_>, piece: &Island, findings: &mut Findings) {
    let circuit = sheet.builder.peek();
    let nodes = piece.nodes.iter().map(|node| circuit.node_name(*node));
    let parts = piece
        .parts
        .iter()
        .map(|part| circuit.part(*part).designator.as_str());
    let message = format!(
        "no reference for nodes {} with {}",
        listed(nodes),
        listed(parts)
    );
    let outside: Vec<&str> = circuit
        .nodes()
        .iter()
        .enumerate()
        .filter(|(index, _)| !piece.nodes.contains(&NodeId(*index)))
        .map(|(_, node)| node.name.as_str())
        .collect();
    // A misspelt name tears a piece off; a transformer does so on purpose.
    let torn = piece.nodes.iter().find_map(|node| {
        let name = circuit.node_name(*node);
        let like = nearest(name, outside.iter().copied())?;
        Some(format!("did you mean '{like}' for '{name}'? If not, "))
    });
    let some = piece
        .nodes
        .first()
        .map_or("NODE", |node| circuit.node_name(*node));
    let help = format!(
        "{}join it to the rest, or add a line such as `ground {some}`",
        torn.unwrap_or_default()
    );
    let Some(stated) = first_line(sheet, piece) else {
        return;
    };
    findings.refuse(
        &stated.bytes,
        message,
        "joined to nothing that has a reference",
        help,
    );
}

fn listed<'a>(names: impl Iterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.collect();
    let mut shown = names
        .get(..SHOWN.min(names.len()))
        .unwrap_or(&[])
        .join(", ");
    if names.len() > SHOWN {
        shown.push_str(&format!(" and {} more", names.len() - SHOWN));
    }
    shown
}
