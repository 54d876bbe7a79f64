//! Grids to which only capacitors lead.
//!
//! Nothing drawn decides the volts of such a grid, and those of its tube follow them. Most often the line of
//! the grid leak was left out.

use std::collections::HashSet;

use circuit::{conductive_groups, Conditions, NodeId, PartId, PartKind, Through};

use super::supplies::line_of;
use crate::netlist::draft::NetlistDraft;
use crate::netlist::findings::Findings;

/// Warns of each tube whose grid no direct current reaches, however the contacts stand. A node that only one
/// part mentions is warned of as such.
pub(super) fn check(sheet: &NetlistDraft<'_>, lonely: &[NodeId], findings: &mut Findings) {
    let circuit = sheet.builder.peek();
    // A line that could not be read may be the grid leak.
    if !sheet.is_whole() {
        return;
    }
    let mut groups = conductive_groups(circuit, &Conditions::default(), Through::Linear);
    for part in circuit.parts() {
        if let (PartKind::Contact(_), [from, to]) = (&part.kind, &part.nodes[..]) {
            groups.join(from.0, to.0);
        }
    }
    // A grid that is joined to a plate or a cathode hangs on that.
    let others = circuit.parts().iter().flat_map(|part| {
        let of_device = matches!(part.kind, PartKind::Device(_));
        let at = part.kind.terminals().into_iter().zip(&part.nodes);
        at.filter_map(move |(name, node)| (of_device && !name.starts_with("grid")).then_some(*node))
    });
    let held: HashSet<usize> = circuit
        .references()
        .chain(others)
        .map(|node| groups.root(node.0))
        .collect();
    for (index, part) in circuit.parts().iter().enumerate() {
        let mut grids = part.grids();
        let hangs = |grid: &NodeId| !held.contains(&groups.root(grid.0)) && !lonely.contains(grid);
        let Some(grid) = grids.find(hangs) else {
            continue;
        };
        let Some(stated) = line_of(sheet, PartId(index)) else {
            continue;
        };
        let mut mentions = stated.mentions.iter();
        let bytes = mentions.find(|(node, _)| *node == grid);
        let (name, node) = (&part.designator, circuit.node_name(grid));
        findings.doubt(
            bytes.map_or(&stated.bytes, |(_, bytes)| bytes),
            format!("no direct current reaches the grid of {name}"),
            "only capacitors lead here",
            format!(
                "draw what holds it, such as a grid resistor from {node}; without that the volts of {name} \
                 are open"
            ),
        );
    }
}
