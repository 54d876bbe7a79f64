//! Within which bounds a fault with a size may lie in a part, by the rule of the table.
//!
//! A part and a rule come in, sizes go out. Which faults a part may have is not known here.

use circuit::{
    Characteristic, Circuit, Device, DeviceParameter as D, NodeId, Part, PartId, PartKind,
    PartParameter, Potentiometer,
};

use crate::suspects::fault::Fault;
use crate::suspects::fault_mode::{SizeOf, SizeRule};
use crate::suspects::fault_size::{SizeUnit, Sizes};
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

/// Amperes that the collector junction of any transistor may leak at least when it fails: those of a small germanium
/// one at a hundred times its cut-off current (common practice, no source).
const LEAKS_TO: f64 = 0.2e-3;

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
        (PartKind::Resistor(_) | PartKind::Inductor(_), Fault::Open) => hung_on(circuit, id, true),
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

/// The tubes with a control grid behind an end of a part from which resistors and windings lead to nothing but grids,
/// capacitors, cathodes and plates of vacuum diodes once this part is open: a grid behind its stopper, or all grids
/// of an AVC line. A cathode feeds current into such a node and takes none out, and the plate of a diode takes
/// none out that is negative, so that ions still charge it.
fn hung_on(circuit: &Circuit, id: PartId, fed: bool) -> Option<Vec<PartId>> {
    let mut ends = circuit.part(id).nodes.iter().copied();
    ends.find_map(|end| hung_behind(circuit, id, end, fed))
}

/// Whether nothing but control grids and plates of vacuum diodes hangs on one end of a part, so that no ammeter shows
/// its current.
pub(crate) fn hangs_grids_only(circuit: &Circuit, id: PartId) -> bool {
    hung_on(circuit, id, false).is_some()
}

/// [`hung_on`] for one end of the part.
fn hung_behind(circuit: &Circuit, id: PartId, end: NodeId, fed: bool) -> Option<Vec<PartId>> {
    let mut tubes = Vec::new();
    let mut reached = vec![false; circuit.nodes().len()];
    let mut open = vec![end];
    while let Some(node) = open.pop() {
        if circuit.nodes()[node.0].is_reference {
            return None;
        }
        if std::mem::replace(&mut reached[node.0], true) {
            continue;
        }
        let parts = circuit.parts().iter().enumerate();
        let here = parts.filter(|(own, part)| PartId(*own) != id && part.nodes.contains(&node));
        for (own, part) in here {
            match &part.kind {
                PartKind::Capacitor(_) => {}
                PartKind::Resistor(_)
                | PartKind::Potentiometer(_)
                | PartKind::Inductor(_)
                | PartKind::Transformer(_) => {
                    for joined in part.kind.joined_terminals() {
                        let ends = || joined.iter().map(|end| part.nodes[*end]);
                        if ends().any(|end| end == node) {
                            open.extend(ends());
                        }
                    }
                }
                PartKind::Device(device) => {
                    let mut here = (0..part.nodes.len()).filter(|place| part.nodes[*place] == node);
                    if here.clone().eq(terminal(device, grid(device))) {
                        tubes.push(PartId(own));
                    } else if !here.all(|place| takes_none_out(device, place, fed)) {
                        return None;
                    }
                }
                PartKind::Supply(_)
                | PartKind::Generator(_)
                | PartKind::Lamp(_)
                | PartKind::Contact(_) => return None,
            }
        }
    }
    (!tubes.is_empty()).then_some(tubes)
}

/// The terminal of a place of the first unit.
fn terminal(device: &Device, place: Option<usize>) -> Option<usize> {
    device.units.first()?.at.get(place?).copied()
}

/// Whether a terminal is the plate of a vacuum diode or, where a node may be fed, the cathode of a tube with a
/// control grid.
fn takes_none_out(device: &Device, own: usize, fed: bool) -> bool {
    let cathode = grid(device).and_then(|_| device.units.first()?.at.last());
    let mut units = device.units.iter();
    (fed && cathode == Some(&own))
        || units.any(|unit| {
            let diode = matches!(unit.characteristic, Characteristic::VacuumDiode(_));
            diode && unit.at.first() == Some(&own)
        })
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
        (PartKind::Device(_), Fault::VoltsHigh | Fault::VoltsLow) => {
            (PartParameter::Device(D::KneeVolts), SizeUnit::Volts)
        }
        (PartKind::Device(_), Fault::Aged) => {
            (PartParameter::Device(D::SlopeResistance), SizeUnit::Ohms)
        }
        (PartKind::Device(_), _) => (PartParameter::Device(D::Leakage), SizeUnit::Amperes),
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
            let rises = !matches!(rule.of, SizeOf::TimesBelow | SizeOf::TravelBelow);
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
        SizeOf::TravelAbove | SizeOf::TravelBelow => {
            let PartKind::Potentiometer(pot) = &part.kind else {
                return None;
            };
            let (below, above) = pot.beside(pot.setting).filter(|_| pot.is_stated)?;
            let at = |share: f64| below + (above - below) * share;
            let (from, unit) = (Some(pot.setting), SizeUnit::Share);
            // Nearer than this a hand sets it.
            let by = circuit::spread_of(part, PartParameter::WiperPosition).half_width;
            let moved = |offset| {
                Potentiometer {
                    offset,
                    ..pot.clone()
                }
                .moved(None)
            };
            match rule.of {
                SizeOf::TravelAbove => made(from, moved(by), at(rule.most), unit),
                _ => made(from, at(rule.least), moved(-by), unit),
            }
        }
        SizeOf::Times if fault == Fault::WeakSource => {
            let sound = sound?;
            let counted = sound.max(LEAST_SOURCE);
            let most = rule.most * sound.max(10.0 * LEAST_SOURCE);
            made(Some(sound), rule.least * counted, most, unit)
        }
        SizeOf::Times => {
            let sound = sound?;
            // Of a junction that lets next to nothing through when sound, as of silicon, a multiple is no bound.
            let at_least = match unit {
                SizeUnit::Amperes => LEAKS_TO,
                _ => 0.0,
            };
            let most = (rule.most * sound).max(at_least);
            made(Some(sound), rule.least * sound, most, unit)
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
            units.find_map(|unit| match (unit.characteristic, fault) {
                (Characteristic::Bipolar(transistor), _) => {
                    Some(transistor.leakage).filter(|amperes| *amperes > 0.0)
                }
                (Characteristic::SoftKnee(knee), Fault::Aged) => Some(knee.slope_ohms),
                (Characteristic::SoftKnee(knee), _) => Some(knee.knee_volts),
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
        Characteristic::Triode(_) | Characteristic::Oscillator(_) => Some(1),
        Characteristic::Pentode(_) | Characteristic::Heptode(_) => Some(2),
        Characteristic::Pentagrid(_) => Some(3),
        _ => None,
    }
}
