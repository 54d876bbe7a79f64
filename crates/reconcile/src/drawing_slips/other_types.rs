//! Devices that are drawn as another type: a tube as one with the same base, a transistor as one of the other
//! polarity.
//!
//! A part comes in, replacements to be tried go out.

use circuit::{
    tube_type, Characteristic, Circuit, Device, DeviceUnit, Glow, Part, PartId, PartKind, Polarity,
    TubeType,
};

use super::replacements::Replacement;
use super::DrawingChange;

/// Share of devices that are written as another type (common practice, no source).
const OTHER_TYPE: f64 = 0.01;

/// The device with the other polarity, or as another tube with the same base; all sections in its socket with it.
pub(super) fn other_types(
    circuit: &Circuit,
    id: PartId,
    part: &Part,
    device: &Device,
) -> Vec<Replacement> {
    if let Some((other, name)) = other_polarity(device) {
        let change = DrawingChange::OtherType { part: id, name };
        let other = Part {
            kind: PartKind::Device(other),
            ..part.clone()
        };
        return vec![Replacement::of(change, vec![(id, other)], OTHER_TYPE)];
    }
    let Some(own) = tube_type(&device.type_name) else {
        return Vec::new();
    };
    // A socket is tried once, with its first section.
    let sections = circuit.sections_of(id);
    if sections.first() != Some(&id) {
        return Vec::new();
    }
    let others = own.others_in_socket().into_iter();
    let others = others.filter_map(|(_, other)| {
        let parts = sections.iter().map(|section| {
            let part = circuit.part(*section);
            let PartKind::Device(device) = &part.kind else {
                return None;
            };
            let kind = PartKind::Device(as_type(device, own, other)?);
            let other = Part {
                kind,
                ..part.clone()
            };
            Some((*section, other))
        });
        let name = other.name.as_str();
        let change = DrawingChange::OtherType { part: id, name };
        Some((change, parts.collect::<Option<Vec<_>>>()?))
    });
    let others: Vec<(DrawingChange, Vec<(PartId, Part)>)> = others.collect();
    let share = OTHER_TYPE / others.len().max(1) as f64;
    let others = others
        .into_iter()
        .map(|(change, parts)| Replacement::of(change, parts, share));
    others.collect()
}

fn other_polarity(device: &Device) -> Option<(Device, &'static str)> {
    let mut other = device.clone();
    let [unit] = other.units.as_mut_slice() else {
        return None;
    };
    let (polarity, names) = match &mut unit.characteristic {
        Characteristic::Bipolar(own) => (&mut own.polarity, ["npn", "pnp"]),
        Characteristic::FieldEffect(own) => (&mut own.polarity, ["N channel", "P channel"]),
        _ => return None,
    };
    let (turned, name) = match polarity {
        Polarity::N => (Polarity::P, names[1]),
        Polarity::P => (Polarity::N, names[0]),
    };
    *polarity = turned;
    Some((other, name))
}

/// A tube with the characteristics of another type in place of its own; none where a section is of another kind
/// or not as in the catalogue, such as a worn one.
fn as_type(device: &Device, own: &TubeType, other: &TubeType) -> Option<Device> {
    let mut replaced = device.clone();
    for unit in &mut replaced.units {
        let mut sections = own.units.iter();
        let section = sections.position(|known| known.characteristic == unit.characteristic)?;
        let instead = other.units.get(section)?;
        let same = std::mem::discriminant(&instead.characteristic)
            == std::mem::discriminant(&unit.characteristic);
        if !same {
            return None;
        }
        let glow = match (unit.glow, own.glow, other.glow) {
            (Some(drawn), Some(own), Some(other)) => Some(Glow {
                strike_volts: other.strike_volts,
                least_amperes: drawn.least_amperes * other.least_amperes / own.least_amperes,
                most_amperes: other.most_amperes,
            }),
            (None, None, None) => None,
            _ => return None,
        };
        *unit = DeviceUnit {
            characteristic: instead.characteristic,
            glow,
            ..unit.clone()
        };
    }
    replaced.type_name = other.name.clone();
    (replaced.units != device.units).then_some(replaced)
}
