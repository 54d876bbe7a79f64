//! Tubes and transistors of a drawing that nothing feeds.
//!
//! Who copies a schematic draws the power transformer and the rectifier, and expects direct volts
//! behind them. A rectifier is not followed through its cycle: without a source every direct voltage
//! is near zero, and each printed value contradicts that.

use circuit::{islands, Circuit, DeviceClass, Part, PartId, PartKind};

use crate::netlist::draft::{NetlistDraft, Stated};
use crate::netlist::findings::Findings;

/// Names shown before "and so on".
const SHOWN: usize = 4;

/// Without a rectifier so many parts are taken as a set; fewer are a try at how a line is written.
const LEAST_PARTS: usize = 5;

/// What is to be said beside the line of a rectifier.
pub(super) const NOT_FOLLOWED: &str = "a rectifier is not followed through its cycle";

/// Warns of a piece with tubes or transistors in which no supply and no battery is drawn; whether
/// there is one.
pub(super) fn check(sheet: &NetlistDraft<'_>, findings: &mut Findings) -> bool {
    let circuit = sheet.builder.peek();
    // A line that could not be read may be the supply.
    if !sheet.is_whole() {
        return false;
    }
    let mut warned = false;
    for piece in islands(circuit) {
        let part = |id: &PartId| circuit.part(*id);
        let is_source = |part: &Part| matches!(part.kind, PartKind::Supply(_));
        if piece.parts.iter().map(part).any(is_source) {
            continue;
        }
        let of = |wanted: fn(&Part) -> bool| {
            let ids = piece.parts.iter().copied();
            ids.filter(move |id| wanted(circuit.part(*id)))
        };
        // Of a winding that only heats a tube nothing is fed.
        let stands_here = |id: &PartId| {
            let part = circuit.part(*id);
            let at = part.kind.joined_terminals().into_iter().flatten();
            let mut nodes = at.filter_map(|at| part.nodes.get(at));
            nodes.any(|node| piece.nodes.binary_search(node).is_ok())
        };
        let fed: Vec<PartId> = of(needs_feeding).filter(stands_here).collect();
        if fed.is_empty() {
            continue;
        }
        // Of a doubler the one from which no other goes on: behind the first there is only half of it.
        let rectifiers: Vec<PartId> = of(rectifies).collect();
        let goes_on = |id: &PartId| {
            let mut others = rectifiers.iter().filter(|other| *other != id);
            cathode(circuit, *id).is_some_and(|from| {
                others.any(|other| node_at(circuit, *other, &["anode", "plate"]) == Some(from))
            })
        };
        let last = rectifiers.iter().find(|id| !goes_on(id)).copied();
        let rectifier = last.or(rectifiers.first().copied());
        if rectifier.is_none() && piece.parts.len() < LEAST_PARTS {
            continue;
        }
        let Some(stated) = line_of(sheet, rectifier.unwrap_or(fed[0])) else {
            continue;
        };
        let mut names: Vec<&str> = fed
            .iter()
            .take(SHOWN)
            .map(|id| part(id).designator.as_str())
            .collect();
        if fed.len() > SHOWN {
            names.push("others");
        }
        let message = format!(
            "no source of direct volts is drawn for {}",
            names.join(", ")
        );
        let reference = piece.references.first();
        let reference = reference.map_or("chassis", |node| circuit.node_name(*node));
        let (label, plus) = match rectifier {
            Some(id) => (NOT_FOLLOWED, cathode(circuit, id).unwrap_or("raw")),
            None => ("nothing feeds this", "bplus"),
        };
        let help = format!(
            "draw what the rectifier gives as a source, such as `PS1: 300V source=500R line, \
             plus={plus}, minus={reference}`, or the battery; without one all volts are near zero"
        );
        findings.doubt(&stated.bytes, message, label, help);
        warned = true;
    }
    warned
}

/// The line of a part; of a section that of its socket, of a diode that of its bridge.
pub(super) fn line_of<'s>(sheet: &'s NetlistDraft<'_>, id: PartId) -> Option<&'s Stated> {
    let designator = &sheet.builder.peek().part(id).designator;
    let section = designator.strip_suffix(|letter: char| letter.is_ascii_uppercase());
    let bridge = designator.split_once('.').map(|(bridge, _)| bridge);
    let names = |stated: &&Stated| {
        let name = sheet.text.get(stated.bytes.clone()).unwrap_or_default();
        stated.part == Some(id) || section == Some(name) || bridge == Some(name)
    };
    sheet.stated.iter().find(names)
}

/// Whether a part amplifies: a tube with a grid, or a transistor.
fn needs_feeding(part: &Part) -> bool {
    let PartKind::Device(device) = &part.kind else {
        return false;
    };
    match device.class {
        DeviceClass::Tube => device.units.iter().any(|unit| unit.at.len() > 2),
        DeviceClass::Transistor | DeviceClass::FieldEffect => true,
        DeviceClass::Diode | DeviceClass::Regulator | DeviceClass::NeonLamp => false,
    }
}

/// Whether a part is a rectifier: a tube of diodes alone, or a diode.
pub(super) fn rectifies(part: &Part) -> bool {
    let PartKind::Device(device) = &part.kind else {
        return false;
    };
    match device.class {
        DeviceClass::Tube => device.units.iter().all(|unit| unit.at.len() == 2),
        DeviceClass::Diode => true,
        DeviceClass::Transistor
        | DeviceClass::FieldEffect
        | DeviceClass::Regulator
        | DeviceClass::NeonLamp => false,
    }
}

/// The node that a rectifier feeds.
fn cathode(circuit: &Circuit, id: PartId) -> Option<&str> {
    node_at(circuit, id, &["cathode", "filament"])
}

/// The node at a terminal of one of these names.
fn node_at<'c>(circuit: &'c Circuit, id: PartId, names: &[&str]) -> Option<&'c str> {
    let part = circuit.part(id);
    let at = part.kind.terminals();
    let at = at.iter().position(|name| names.contains(name))?;
    Some(circuit.node_name(*part.nodes.get(at)?))
}
