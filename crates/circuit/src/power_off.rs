//! A drawing with the power off, as an ohmmeter finds it.
//!
//! A circuit comes in, and one with the same nodes and part numbers goes out: supplies and generators have the
//! resistance of their `off=`, tubes are cold and carry no current, glow discharges are dark, lamps
//! are cold. Semiconductors stay as they are, because the ohmmeter's own volts drive them.

use crate::circuit::{Circuit, CircuitBuilder};
use crate::device::{Device, DeviceClass};
use crate::part::{Contact, ContactKind, Part, PartKind, Resistor, WithoutPower};

/// Resistance of a cold filament over that of a lit one. The resistance of tungsten is about
/// proportional to the 1.2th power of its absolute temperature (from memory): (300 K/2200 K)^1.2
/// for the yellowish light of a pilot lamp.
const COLD_FILAMENT: f64 = 0.09;

/// How far that may be off, as a share: filaments run at 1900 to 2600 K (from memory).
const COLD_FILAMENT_SPREAD: f64 = 0.2;

/// Ohms that stand for an empty capacitor: less than leads and contacts have.
const EMPTY: f64 = 0.1;

impl Circuit {
    /// The same drawing with the power off and all capacitors discharged.
    pub fn powered_off(&self) -> Circuit {
        let mut circuit = self.clone();
        let mut open_pairs: Vec<Part> = Vec::new();
        for index in 0..circuit.parts().len() {
            let id = crate::circuit::PartId(index);
            let part = circuit.part_mut(id);
            let off = match &part.kind {
                PartKind::Supply(supply) => Some(resistor_or_open(supply.off, None)),
                PartKind::Lamp(lamp) => Some(resistor_or_open(
                    Some(lamp.ohms() * COLD_FILAMENT),
                    Some(COLD_FILAMENT_SPREAD),
                )),
                PartKind::Generator(generator) => generator.off.map(|off| match off {
                    WithoutPower::Open => open(),
                    WithoutPower::Ohms(ohms) => resistor_or_open(Some(ohms), None),
                }),
                PartKind::Device(device) if is_dark(device) => {
                    open_pairs.extend(still_joined(part));
                    Some(open())
                }
                PartKind::Resistor(_)
                | PartKind::Potentiometer(_)
                | PartKind::Capacitor(_)
                | PartKind::Inductor(_)
                | PartKind::Transformer(_)
                | PartKind::Contact(_)
                | PartKind::Device(_) => None,
            };
            if let Some(kind) = off {
                part.kind = kind;
            }
        }
        let mut builder = CircuitBuilder::continuing(circuit);
        for part in open_pairs {
            builder.part(part);
        }
        builder.finish()
    }

    /// The same drawing in the first moment of a test: capacitors of at least so many farads are empty and
    /// stand as good as shorted. None if there are none.
    pub fn uncharged(&self, farads: f64) -> Option<Circuit> {
        let mut circuit = self.clone();
        let mut any = false;
        for index in 0..circuit.parts().len() {
            let part = circuit.part_mut(crate::circuit::PartId(index));
            if matches!(&part.kind, PartKind::Capacitor(own) if own.farads >= farads) {
                part.kind = resistor_or_open(Some(EMPTY), None);
                any = true;
            }
        }
        any.then_some(circuit)
    }

    /// Whether an ohmmeter may read differently with its leads exchanged, because a semiconductor
    /// is drawn.
    pub fn has_semiconductors(&self) -> bool {
        let each = self.parts().iter();
        each.filter_map(|part| match &part.kind {
            PartKind::Device(device) => Some(device),
            _ => None,
        })
        .any(|device| !is_dark(device))
    }
}

/// Whether a device carries no current with the power off.
fn is_dark(device: &Device) -> bool {
    let glows = device.units.iter().any(|unit| unit.glow.is_some());
    glows || matches!(device.class, DeviceClass::Tube | DeviceClass::NeonLamp)
}

fn open() -> PartKind {
    PartKind::Contact(Contact {
        kind: ContactKind::Switch,
        closed: false,
    })
}

fn resistor_or_open(ohms: Option<f64>, tolerance: Option<f64>) -> PartKind {
    match ohms {
        Some(ohms) => PartKind::Resistor(Resistor { ohms, tolerance }),
        None => open(),
    }
}

/// Open contacts that keep the nodes of a cold tube in one island: they carry no current, but the
/// drawing stays connected.
fn still_joined(part: &Part) -> Vec<Part> {
    let groups = part.kind.joined_terminals();
    let pairs = groups.iter().flat_map(|joined| joined.windows(2));
    pairs
        .filter_map(|pair| {
            let ends = [*part.nodes.get(pair[0])?, *part.nodes.get(pair[1])?];
            Some(Part {
                designator: part.designator.clone(),
                kind: open(),
                nodes: ends.to_vec(),
                origin: part.origin.clone(),
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::{Generator, Lamp, Supply, SupplyKind};

    #[test]
    fn supplies_go_off_as_they_say_and_filaments_cool() {
        let mut builder = CircuitBuilder::new();
        let (top, ground) = (builder.node("top"), builder.node("ground"));
        let mut add = |kind| builder.part(Part::new("X", kind, vec![top, ground]));
        let supply = |off| {
            PartKind::Supply(Supply {
                kind: SupplyKind::Supply,
                volts: 250.0,
                tolerance: None,
                source: 2.0,
                follows_line: false,
                off,
            })
        };
        add(supply(None));
        add(supply(Some(22e3)));
        add(PartKind::Lamp(Lamp {
            volts: 6.0,
            amperes: 0.15,
        }));
        let generator = |off| {
            PartKind::Generator(Generator {
                volts: 117.0,
                hertz: 60.0,
                source: 0.5,
                off,
            })
        };
        add(generator(None));
        add(generator(Some(WithoutPower::Open)));
        let off = builder.finish().powered_off();
        assert!(matches!(&off.parts()[3].kind, PartKind::Generator(_)));
        assert!(matches!(&off.parts()[4].kind, PartKind::Contact(c) if !c.closed));
        assert!(matches!(&off.parts()[0].kind, PartKind::Contact(c) if !c.closed));
        assert!(
            matches!(&off.parts()[1].kind, PartKind::Resistor(r) if (r.ohms - 22e3).abs() < 1e-9)
        );
        // 6 V over 0.15 A is 40 Ω lit, 3.6 Ω cold.
        assert!(
            matches!(&off.parts()[2].kind, PartKind::Resistor(r) if (r.ohms - 3.6).abs() < 1e-9)
        );
    }
}
