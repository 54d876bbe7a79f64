//! The drawing as a whole: names that no part mentions, parts that join nothing, pieces without
//! a reference, and loops of ideal sources.
//!
//! All lines have been read; what they say together comes in, the finished circuit and the faults
//! of the drawing go out. How a single line is written is not known here.

mod feeds;
mod grids;
mod heater_faults;
mod heaters;
mod loops;
mod names;
mod pieces;
mod rectified;
mod supplies;

use circuit::{Circuit, DeviceClass, PartKind};

use super::draft::NetlistDraft;
use super::findings::Findings;

/// Checks the drawing and finishes the circuit.
pub(super) fn drawing(mut sheet: NetlistDraft<'_>, findings: &mut Findings) -> Circuit {
    if sheet.stated.is_empty() {
        empty(&sheet, findings);
        return sheet.builder.finish();
    }
    let grounds = names::grounds(&mut sheet, findings);
    names::test_points(&mut sheet, findings);
    shorted(&sheet, findings);
    feeds::feeds(&mut sheet, findings);
    let adrift = pieces::check(&sheet, &grounds, findings);
    let lonely = names::lonely(&sheet, &adrift, findings);
    grids::check(&sheet, &lonely, findings);
    names::alike(&sheet, findings);
    loops::check(&sheet, findings);
    // Where nothing at all feeds the tubes, that is said of the same rectifier.
    if !supplies::check(&sheet, findings) {
        rectified::check(&sheet, findings);
    }
    heaters::strings(&mut sheet, findings);
    sheet.builder.finish()
}

fn empty(sheet: &NetlistDraft<'_>, findings: &mut Findings) {
    if findings.is_empty() {
        let end = sheet.text.trim_end().len();
        findings.refuse(
            &(end..end),
            "the netlist has no parts",
            "nothing is drawn",
            "write one part a line, such as `R1: 220k, a to b`",
        );
    }
}

/// Parts that begin and end on one node. A wiper tied to an end makes a rheostat and is right.
fn shorted(sheet: &NetlistDraft<'_>, findings: &mut Findings) {
    let circuit = sheet.builder.peek();
    for stated in sheet.stated.iter().filter(|stated| stated.connected) {
        let Some(id) = stated.part else { continue };
        let part = circuit.part(id);
        let ends: &[(usize, usize)] = match part.kind {
            PartKind::Potentiometer(_) => &[(0, 2)],
            PartKind::Transformer(_) => &[(0, 1), (2, 3)],
            // A triode as a diode, an unused section, a transistor as a diode: all are right.
            PartKind::Device(ref device)
                if device.class == DeviceClass::Tube || device.terminals.len() != 2 =>
            {
                &[]
            }
            PartKind::Resistor(_)
            | PartKind::Capacitor(_)
            | PartKind::Inductor(_)
            | PartKind::Supply(_)
            | PartKind::Generator(_)
            | PartKind::Lamp(_)
            | PartKind::Contact(_)
            | PartKind::Device(_) => &[(0, 1)],
        };
        for (from, to) in ends {
            let same = part.nodes.get(*from) == part.nodes.get(*to);
            let (Some(first), Some(second), true) =
                (stated.mentions.get(*from), stated.mentions.get(*to), same)
            else {
                continue;
            };
            let (name, node) = (&part.designator, circuit.node_name(second.0));
            findings.refuse_beside(
                &second.1,
                format!("both ends of {name} are on node '{node}'"),
                "the same node again",
                format!("name another node here, or leave {name} out"),
                (&first.1, "one end"),
            );
            break;
        }
    }
}
