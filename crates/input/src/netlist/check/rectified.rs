//! Rectifiers between alternating volts and a rail that no source of direct volts feeds.
//!
//! A heater supply drawn with its winding and its bridge looks complete beside a drawn high-voltage
//! supply. A rectifier is not followed through its cycle: the rail behind it is near zero, and what
//! the manual prints there is doubted for that alone.

use circuit::{islands, Circuit, Groups, Part, PartId, PartKind};

use units::Unit;

use super::supplies::{line_of, rectifies, NOT_FOLLOWED};
use crate::netlist::draft::NetlistDraft;
use crate::netlist::findings::Findings;

/// The highest frequency of a line in hertz; a generator above it is a signal.
const LINE_HERTZ: f64 = 60.0;

/// Warns of rectifiers behind which no source of direct volts is drawn, one line each.
pub(super) fn check(sheet: &NetlistDraft<'_>, findings: &mut Findings) {
    let circuit = sheet.builder.peek();
    if !sheet.is_whole() {
        return;
    }
    let mut fed = Fed::new(circuit);
    let mut told = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        let Some(rail) = ends(part)
            .into_iter()
            .find_map(|(anode, cathode)| fed.unfed(anode, cathode))
        else {
            continue;
        };
        let Some(stated) = line_of(sheet, PartId(index)) else {
            continue;
        };
        // The four diodes of a bridge are one line.
        if told.contains(&stated.bytes) {
            continue;
        }
        told.push(stated.bytes.clone());
        let name = sheet.text.get(stated.bytes.clone()).unwrap_or_default();
        let message = format!("no source of direct volts is drawn behind {name}");
        let pieces = islands(circuit);
        let piece = pieces
            .iter()
            .find(|piece| piece.nodes.iter().any(|node| node.0 == rail.node));
        let reference = piece.and_then(|piece| piece.references.first());
        let reference = reference.map_or("chassis", |node| circuit.node_name(*node));
        let node = circuit.nodes()[rail.node].name.as_str();
        let (plus, minus) = match rail.positive {
            true => (node, reference),
            false => (reference, node),
        };
        let help = format!(
            "draw what it gives as a source of the volts that the manual prints there, such as \
             `PS9: {} line, plus={plus}, minus={minus}`; without one the volts there are near zero",
            units::exact(rail.alternating_volts, Unit::Volt).replace(' ', "")
        );
        findings.doubt(&stated.bytes, message, NOT_FOLLOWED, help);
    }
}

/// A node that a rectifier feeds.
struct Rail {
    node: usize,
    positive: bool,
    /// Volts, root mean square, of the generator before it; what the rail has is not far from them.
    alternating_volts: f64,
}

/// Anode and cathode of each diode of a part that is nothing but diodes.
fn ends(part: &Part) -> Vec<(usize, usize)> {
    let PartKind::Device(device) = &part.kind else {
        return Vec::new();
    };
    if !rectifies(part) {
        return Vec::new();
    }
    let names = part.kind.terminals();
    let is_cathode = |at: &usize| {
        let name = names.get(*at).copied().unwrap_or_default();
        name.starts_with("cathode") || name.starts_with("filament")
    };
    let units = device.units.iter().filter_map(|unit| {
        let cathode = unit.at.iter().find(|at| is_cathode(at))?;
        let anode = unit.at.iter().find(|at| !is_cathode(at))?;
        Some((part.nodes.get(*anode)?.0, part.nodes.get(*cathode)?.0))
    });
    units.collect()
}

/// Which nodes are joined to a line generator, and which to a supply, through whatever carries
/// both kinds of current; the references join nothing.
struct Fed<'a> {
    circuit: &'a Circuit,
    groups: Groups,
    /// Each with the generator's volts.
    alternating: Vec<(usize, f64)>,
    direct: Vec<usize>,
}

impl<'a> Fed<'a> {
    fn new(circuit: &'a Circuit) -> Self {
        let mut groups = Groups::new(circuit.nodes().len());
        let live = |node: usize| !circuit.nodes()[node].is_reference;
        let (mut alternating, mut direct) = (Vec::new(), Vec::new());
        for part in circuit.parts() {
            let nodes = part.nodes.iter().map(|node| node.0);
            let nodes: Vec<usize> = nodes.filter(|node| live(*node)).collect();
            match &part.kind {
                PartKind::Generator(generator) if generator.hertz <= LINE_HERTZ => {
                    alternating.extend(nodes.into_iter().map(|node| (node, generator.volts)));
                }
                PartKind::Supply(_) => direct.extend(nodes),
                PartKind::Resistor(_)
                | PartKind::Potentiometer(_)
                | PartKind::Inductor(_)
                | PartKind::Transformer(_)
                | PartKind::Lamp(_)
                | PartKind::Contact(_) => {
                    for pair in nodes.windows(2) {
                        groups.join(pair[0], pair[1]);
                    }
                }
                PartKind::Generator(_) | PartKind::Capacitor(_) | PartKind::Device(_) => {}
            }
        }
        for (node, _) in &mut alternating {
            *node = groups.root(*node);
        }
        for node in &mut direct {
            *node = groups.root(*node);
        }
        Fed {
            circuit,
            groups,
            alternating,
            direct,
        }
    }

    /// The end of a diode that should be a rail and has no source.
    fn unfed(&mut self, anode: usize, cathode: usize) -> Option<Rail> {
        let is_reference = |node: usize| self.circuit.nodes()[node].is_reference;
        let (grounded_anode, grounded_cathode) = (is_reference(anode), is_reference(cathode));
        let (a, c) = (self.groups.root(anode), self.groups.root(cathode));
        let alternating = |root: usize| {
            let mut fed = self.alternating.iter();
            fed.find_map(|(node, volts)| (*node == root).then_some(*volts))
        };
        let direct = |root: &usize| self.direct.contains(root);
        let rail = |node, positive, volts| Rail {
            node,
            positive,
            alternating_volts: volts,
        };
        match (alternating(a), alternating(c)) {
            (Some(volts), _) if a != c && !grounded_cathode && !direct(&c) => {
                Some(rail(cathode, true, volts))
            }
            (None, Some(volts)) if !grounded_anode && !direct(&a) => {
                Some(rail(anode, false, volts))
            }
            _ => None,
        }
    }
}
