//! Grids more negative than anything drawn makes them: a stage that oscillates, or a signal, biases itself.
//!
//! The drawing is at rest, and doubts what the manual prints there. A doubted value comes in, with how it was
//! taken; what may make it, and how that is drawn, goes out.

use circuit::{Characteristic, Circuit, Job, ManualEntry, NodeId, Part, PartKind};
use translate::Carried;

use crate::figures::short;

/// Peak of a grid's swing over the bias that it makes behind a usual leak, some tens of kilohms.
const ABOVE_BIAS: f64 = 1.2;

/// What to say of a doubted value at a control grid; none of any other, and none where a drawn source may
/// have made it. Behind its leak a grid shows a meter less than the oscillation makes, by the load of the manual's
/// meter where it was `taken`: the source to be drawn has the volts without it.
pub(super) fn own_bias(job: &Job, entry: &ManualEntry, taken: Option<&Carried>) -> Option<String> {
    let port = entry.port?;
    let (volts, circuit) = (entry.figure.value, &job.circuit);
    let of_the_stage = volts < 0.0 && is_grid(circuit, port.plus);
    if !of_the_stage || below_reference(circuit) >= -volts {
        return None;
    }
    let unloaded = taken.map_or(volts, |taken| match leak(circuit, port.plus) {
        Some(ohms) => volts * (1.0 + ohms / taken.manual.input_ohms),
        None => taken.unloaded.min(volts),
    });
    let size = short(unloaded.abs(), 2);
    let reference = circuit.node_name(port.minus);
    let oscillates = triode_at(circuit, port.plus).map_or(String::new(), |triode| {
        let swing = short(ABOVE_BIAS * unloaded.abs(), 2);
        let name = &triode.designator;
        // The words of a line that draws several triodes are for all of them.
        let others = circuit
            .parts()
            .iter()
            .filter(|part| part.origin == triode.origin);
        let line = match others.filter(|part| is_triode(part)).count() {
            1 => "in its line".to_owned(),
            _ => format!("in a line for {name} alone"),
        };
        format!(" If {name} oscillates, write `oscillating swing={swing}V` {line}.")
    });
    Some(format!(
        "Nothing drawn makes this grid so negative.{oscillates} If another oscillation or a signal \
         does, the value is right and the drawing lacks what it makes: draw that as a source between \
         the grid leak and {reference}, such as `PS9: {size}V 30% off=0, plus={reference}, \
         minus=leak`. `suspects` then knows of a stage that no longer oscillates."
    ))
}

/// The triode whose grid is on a node.
fn triode_at(circuit: &Circuit, grid: NodeId) -> Option<&Part> {
    let mut parts = circuit.parts().iter();
    parts.find(|part| is_triode(part) && part.grids().any(|own| own == grid))
}

/// Whether a part is a section with a triode that does not oscillate as drawn.
fn is_triode(part: &Part) -> bool {
    let PartKind::Device(device) = &part.kind else {
        return false;
    };
    let mut units = device.units.iter();
    units.any(|unit| matches!(unit.characteristic, Characteristic::Triode(_)))
}

/// The one resistor at a grid, in ohms: biased so far, the tube takes nothing through it.
fn leak(circuit: &Circuit, grid: NodeId) -> Option<f64> {
    let mut leaks = circuit.parts().iter().filter_map(|part| match &part.kind {
        PartKind::Resistor(resistor) if part.nodes.contains(&grid) => Some(resistor.ohms),
        _ => None,
    });
    leaks.next().filter(|_| leaks.next().is_none())
}

/// Whether the control grid of a tube is on a node. Of converters the drawing knows that they oscillate.
fn is_grid(circuit: &Circuit, node: NodeId) -> bool {
    circuit.parts().iter().any(|part| {
        let names = part.kind.terminals();
        let converts = names.contains(&"grid3") || names.contains(&"grid4");
        !converts && part.grids().any(|grid| grid == node)
    })
}

/// Volts of all sources together whose minus end is no reference: rails below it, and bias cells.
fn below_reference(circuit: &Circuit) -> f64 {
    let each = circuit.parts().iter().filter_map(|part| match &part.kind {
        PartKind::Supply(supply) => {
            let minus = part.nodes.get(1)?;
            (!circuit.nodes()[minus.0].is_reference).then_some(supply.volts.abs())
        }
        _ => None,
    });
    each.sum()
}
