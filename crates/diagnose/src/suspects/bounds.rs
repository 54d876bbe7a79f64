//! Within which bounds a fault with a size may lie in a part, by the rule of the table.
//!
//! A part and a rule come in, sizes go out. Which faults a part may have is not known here.

use circuit::{Characteristic, Circuit, Device, NodeId, Part, PartId, PartKind, PartParameter};

use crate::suspects::fault::{Fault, SizeUnit, Sizes};
use crate::suspects::fault_mode::{SizeOf, SizeRule};
use crate::suspects::hypothesis::Hypothesis;

/// Ion current that charges a control grid which has lost its connection, from that of a hard tube
/// to that of a gassy one: where the grid floats to hangs on it (common practice, no source).
const IONS: Sizes = Sizes {
    from: None,
    least: 0.1e-9,
    most: 1e-6,
    near: None,
    unit: SizeUnit::Amperes,
};

/// A leak this share of the drawn one is no longer the same capacitor.
const LEAK_SHARE: f64 = 0.3;

/// Sources without own resistance are taken to have this many ohms where they become weak.
const LEAST_SOURCE: f64 = 1.0;

/// Sizes of a fault that leaves a control grid without a path for its current: those of the ion
/// current that it then floats by.
pub(crate) fn floating_grid(circuit: &Circuit, hypothesis: &Hypothesis) -> Option<Sizes> {
    floating_tubes(circuit, hypothesis).map(|_| IONS)
}

/// The tubes whose control grids a fault leaves without a path: the tube itself where its grid has
/// lost its connection, or those that hang on a part that is open.
pub(crate) fn floating_tubes(circuit: &Circuit, hypothesis: &Hypothesis) -> Option<Vec<PartId>> {
    let id = hypothesis.part()?;
    let part = circuit.part(id);
    match (&part.kind, hypothesis.fault()?) {
        (PartKind::Device(device), Fault::ElectrodeOpen) => {
            let terminal = *device.units.first()?.at.get(grid(device)?)?;
            (hypothesis.terminal() == Some(terminal)).then(|| vec![id])
        }
        (PartKind::Resistor(_), Fault::Open) => {
            let mut ends = part.nodes.iter().copied();
            ends.find_map(|end| hung_on(circuit, id, end))
        }
        (
            PartKind::Resistor(_)
            | PartKind::Potentiometer(_)
            | PartKind::Capacitor(_)
            | PartKind::Inductor(_)
            | PartKind::Transformer(_)
            | PartKind::Supply(_)
            | PartKind::Generator(_)
            | PartKind::Lamp(_)
            | PartKind::Contact(_)
            | PartKind::Device(_),
            _,
        ) => None,
    }
}

/// The tubes with a control grid at a node that only grids, cathodes, capacitors and this part touch. A
/// cathode feeds current into such a node and takes none out, so that ions still charge it.
fn hung_on(circuit: &Circuit, id: PartId, node: NodeId) -> Option<Vec<PartId>> {
    if circuit.nodes()[node.0].is_reference {
        return None;
    }
    let mut tubes = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        if PartId(index) == id || !part.nodes.contains(&node) {
            continue;
        }
        match &part.kind {
            PartKind::Capacitor(_) => {}
            PartKind::Device(device) if touches_by(part, node, grid(device)) => {
                tubes.push(PartId(index));
            }
            PartKind::Device(device) if touches_by(part, node, cathode(device)) => {}
            _ => return None,
        }
    }
    (!tubes.is_empty()).then_some(tubes)
}

/// Whether a part of one unit touches a node by this terminal of it and no other.
fn touches_by(part: &Part, node: NodeId, terminal: Option<usize>) -> bool {
    let PartKind::Device(device) = &part.kind else {
        return false;
    };
    let unit = device.units.first().filter(|_| device.units.len() == 1);
    let wanted = unit.zip(terminal).and_then(|(unit, at)| unit.at.get(at));
    let mut each = part.nodes.iter().enumerate();
    wanted.is_some_and(|wanted| each.all(|(place, own)| (*own == node) == (place == *wanted)))
}

/// The cathode of a tube with a control grid, among the terminals of its law.
fn cathode(device: &Device) -> Option<usize> {
    grid(device)?;
    device.units.first()?.at.len().checked_sub(1)
}

/// Sizes of a fault in a part by its rule.
pub(crate) fn sizes(circuit: &Circuit, id: PartId, fault: Fault, rule: &SizeRule) -> Option<Sizes> {
    let part = circuit.part(id);
    let (number, unit) = match (&part.kind, fault) {
        (PartKind::Supply(_), Fault::WeakSource) => {
            (PartParameter::SourceResistance, SizeUnit::Ohms)
        }
        (PartKind::Supply(_), _) => (PartParameter::Volts, SizeUnit::Volts),
        (PartKind::Transformer(_), _) => (PartParameter::PrimaryResistance, SizeUnit::Ohms),
        (PartKind::Device(_), _) => (
            PartParameter::Device(circuit::DeviceParameter::Leakage),
            SizeUnit::Amperes,
        ),
        (
            PartKind::Resistor(_)
            | PartKind::Potentiometer(_)
            | PartKind::Capacitor(_)
            | PartKind::Inductor(_)
            | PartKind::Generator(_)
            | PartKind::Lamp(_)
            | PartKind::Contact(_),
            _,
        ) => (PartParameter::Resistance, SizeUnit::Ohms),
    };
    let sound = sound_number(part, fault);
    let half = circuit::spread_of(part, number).half_width;
    let made = |from, least, most, unit| Sizes {
        from,
        least,
        most,
        near: rule.near.map(|scale| {
            let rises = rule.of != SizeOf::TimesBelow;
            (scale, rises)
        }),
        unit,
    };
    Some(match rule.of {
        SizeOf::Ohms => {
            let drawn = match &part.kind {
                PartKind::Capacitor(capacitor) => capacitor.leak,
                _ => None,
            };
            let most = drawn.map_or(rule.most, |leak| rule.most.min(LEAK_SHARE * leak));
            made(drawn, rule.least, most, SizeUnit::Ohms)
        }
        SizeOf::Amperes => made(None, rule.least, rule.most, SizeUnit::Amperes),
        SizeOf::Share => made(Some(1.0), rule.least, rule.most, SizeUnit::Share),
        SizeOf::TimesAbove => {
            let sound = sound?;
            made(Some(sound), sound + half, rule.most * sound, unit)
        }
        SizeOf::TimesBelow => {
            let sound = sound?;
            made(Some(sound), rule.least * sound, sound - half, unit)
        }
        SizeOf::Times if fault == Fault::WeakSource => {
            let sound = sound?;
            let counted = sound.max(LEAST_SOURCE);
            let most = rule.most * sound.max(10.0 * LEAST_SOURCE);
            made(Some(sound), rule.least * counted, most, unit)
        }
        SizeOf::Times => {
            let sound = sound?;
            made(Some(sound), rule.least * sound, rule.most * sound, unit)
        }
    })
}

/// The number of a part in order that a fault changes.
fn sound_number(part: &Part, fault: Fault) -> Option<f64> {
    match &part.kind {
        PartKind::Resistor(resistor) => Some(resistor.ohms),
        PartKind::Potentiometer(pot) => Some(pot.ohms),
        PartKind::Inductor(coil) => Some(coil.ohms),
        PartKind::Transformer(two) => Some(two.primary_ohms),
        PartKind::Supply(supply) if fault == Fault::WeakSource => Some(supply.source),
        PartKind::Supply(supply) => Some(supply.volts.abs()),
        PartKind::Device(device) => {
            let mut units = device.units.iter();
            units.find_map(|unit| match unit.characteristic {
                circuit::Characteristic::Bipolar(transistor) => {
                    Some(transistor.leakage).filter(|amperes| *amperes > 0.0)
                }
                _ => None,
            })
        }
        // A fault of these is of a size of its own.
        PartKind::Capacitor(_)
        | PartKind::Generator(_)
        | PartKind::Lamp(_)
        | PartKind::Contact(_) => None,
    }
}

/// The place of the control grid among a tube's terminals.
pub(crate) fn grid(device: &Device) -> Option<usize> {
    match device.units.first()?.characteristic {
        Characteristic::Triode(_) => Some(1),
        Characteristic::Pentode(_) => Some(2),
        Characteristic::Pentagrid(_) => Some(3),
        _ => None,
    }
}
