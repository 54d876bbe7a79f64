//! Heaters in series: tubes that all go cold when the heater of one of them opens.
//!
//! Members come in from the netlist in their order; who is cold with whom goes out. How an open
//! heater changes a circuit is not known here.

use crate::circuit::{Circuit, CircuitBuilder, PartId};

/// Tubes whose heaters one current flows through, and what else is in its way.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct HeaterString {
    /// Tubes, and resistors in series with their heaters, in the order of the netlist.
    pub members: Vec<HeaterMember>,
    /// Supplies that stand for a rectifier tube of the string: they give nothing while it is cold.
    pub supplies: Vec<PartId>,
}

/// One member of a string of heaters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HeaterMember {
    /// Designation of the socket or of the resistor, such as `V5`.
    pub name: String,
    /// The sections drawn for the socket, or the resistor.
    pub parts: Vec<PartId>,
    /// What it is.
    pub kind: HeaterMemberKind,
}

/// What a member of a string of heaters is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum HeaterMemberKind {
    /// A tube, with the base pins at the ends of its heater; none where they are not known.
    Tube {
        /// Base pins.
        pins: Vec<u8>,
    },
    /// A resistor in series: a ballast, a line cord.
    Resistor,
}

impl HeaterMember {
    /// Whether it is a tube.
    pub fn is_tube(&self) -> bool {
        matches!(self.kind, HeaterMemberKind::Tube { .. })
    }
}

impl HeaterString {
    /// Its tubes, in the order of the netlist.
    pub fn tubes(&self) -> impl Iterator<Item = &HeaterMember> {
        self.members.iter().filter(|member| member.is_tube())
    }

    /// All sections of all its tubes.
    pub fn sections(&self) -> impl Iterator<Item = PartId> + '_ {
        self.tubes().flat_map(|tube| tube.parts.iter().copied())
    }

    /// The section that stands for the whole string: the first of its first tube.
    pub fn head(&self) -> Option<PartId> {
        self.sections().next()
    }
}

impl Circuit {
    /// The string of heaters that a section of a tube, or a resistor, is a member of.
    pub fn heater_string_of(&self, part: PartId) -> Option<&HeaterString> {
        let mut strings = self.heater_strings().iter();
        strings.find(|string| {
            let mut members = string.members.iter();
            members.any(|member| member.parts.contains(&part))
        })
    }

    /// The same for a section of a tube alone.
    pub fn heater_string_of_tube(&self, part: PartId) -> Option<&HeaterString> {
        let string = self.heater_string_of(part)?;
        string.sections().any(|own| own == part).then_some(string)
    }
}

impl CircuitBuilder {
    /// Adds a string of heaters. A string without a tube is none.
    pub fn heater_string(&mut self, string: HeaterString) {
        if string.head().is_some() {
            self.add_heater_string(string);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tube(name: &str, parts: &[usize]) -> HeaterMember {
        HeaterMember {
            name: name.to_owned(),
            parts: parts.iter().copied().map(PartId).collect(),
            kind: HeaterMemberKind::Tube { pins: Vec::new() },
        }
    }

    #[test]
    fn a_resistor_belongs_to_its_string_and_is_no_tube_of_it() {
        let ballast = HeaterMember {
            kind: HeaterMemberKind::Resistor,
            ..tube("R1", &[0])
        };
        let mut builder = CircuitBuilder::new();
        builder.heater_string(HeaterString {
            members: vec![ballast.clone(), tube("V2", &[3, 4]), tube("V1", &[1])],
            supplies: vec![PartId(7)],
        });
        // Resistors alone heat no tube.
        builder.heater_string(HeaterString {
            members: vec![ballast],
            supplies: Vec::new(),
        });
        let circuit = builder.finish();
        let [string] = circuit.heater_strings() else {
            panic!("one string has a tube");
        };
        assert_eq!(string.head(), Some(PartId(3)));
        let sections: Vec<PartId> = string.sections().collect();
        assert_eq!(sections, [3, 4, 1].map(PartId));
        assert_eq!(circuit.heater_string_of(PartId(0)), Some(string));
        assert_eq!(circuit.heater_string_of_tube(PartId(0)), None);
        assert_eq!(circuit.heater_string_of_tube(PartId(4)), Some(string));
        assert_eq!(circuit.heater_string_of(PartId(7)), None);
    }
}
