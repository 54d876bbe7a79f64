//! A circuit that differs from a drawn one in the numbers of its parts.
//!
//! A change of one number comes in, and a part or circuit with the changed number goes out; the
//! original is not modified. [`crate::spread_of`] says which changes are likely.

use crate::circuit::{Circuit, PartId};
use crate::parameter::PartParameter;
use crate::part::{Part, PartKind};

impl Part {
    /// The same part with one number changed by an amount in the unit of [`crate::spread_of`];
    /// unchanged if it has no such number. Units of a device that share the number change together.
    pub fn varied(&self, parameter: PartParameter, change: f64) -> Part {
        let mut part = self.clone();
        part.vary(parameter, change);
        part
    }
}

impl Circuit {
    /// The same drawing with some numbers of its parts changed, as [`Part::varied`].
    pub fn varied(
        &self,
        changes: impl IntoIterator<Item = (PartId, PartParameter, f64)>,
    ) -> Circuit {
        let mut circuit = self.clone();
        for (id, parameter, change) in changes {
            circuit.part_mut(id).vary(parameter, change);
        }
        circuit
    }

    /// The same drawing, with negative gas currents set to zero, because no tube has a negative
    /// one.
    pub fn without_negative_gas(&self) -> Circuit {
        let mut circuit = self.clone();
        for index in 0..self.parts().len() {
            let PartKind::Device(device) = &mut circuit.part_mut(PartId(index)).kind else {
                continue;
            };
            for unit in &mut device.units {
                if let Some((_, wear)) = unit.characteristic.grid_mut() {
                    wear.gas = wear.gas.max(0.0);
                }
            }
        }
        circuit
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::CircuitBuilder;
    use crate::part::{Lamp, Supply, SupplyKind};

    fn circuit() -> Circuit {
        let mut builder = CircuitBuilder::new();
        let (top, ground) = (builder.node("top"), builder.node("ground"));
        let mut add =
            |designator: &str, kind| builder.part(Part::new(designator, kind, vec![top, ground]));
        add("R1", PartKind::resistor(100.0));
        add(
            "PS1",
            PartKind::Supply(Supply {
                kind: SupplyKind::Supply,
                volts: 6.0,
                tolerance: None,
                source: 2.0,
                follows_line: false,
                off: None,
            }),
        );
        add(
            "DS1",
            PartKind::Lamp(Lamp {
                volts: 6.0,
                amperes: 0.5,
            }),
        );
        builder.finish()
    }

    #[test]
    fn numbers_change_in_the_copy_and_not_in_the_drawing() {
        let drawn = circuit();
        let varied = drawn.varied([
            (PartId(0), PartParameter::Resistance, 5.0),
            (PartId(1), PartParameter::Volts, -1.0),
            (PartId(1), PartParameter::SourceResistance, 0.5),
            (PartId(2), PartParameter::Resistance, 12.0),
        ]);
        let part = |id| &varied.part(PartId(id)).kind;
        assert!(matches!(part(0), PartKind::Resistor(r) if (r.ohms - 105.0).abs() < 1e-12));
        assert!(matches!(part(1), PartKind::Supply(s)
            if (s.volts - 5.0).abs() < 1e-12 && (s.source - 2.5).abs() < 1e-12));
        // 6 V over 0.5 A is 12 Ω; 24 Ω draw 0.25 A.
        assert!(matches!(part(2), PartKind::Lamp(l) if (l.amperes - 0.25).abs() < 1e-12));
        assert_eq!(drawn, circuit());
    }

    #[test]
    fn a_number_that_a_part_has_not_is_left() {
        let drawn = circuit();
        let varied = drawn.varied([(PartId(0), PartParameter::Leak, 5.0)]);
        assert_eq!(drawn, varied);
    }
}
