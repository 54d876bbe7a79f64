//! What goes cold together when the way of a heater current is broken.
//!
//! A circuit and a hypothesis come in; tubes without emission, and supplies that stand for a
//! rectifier among them, go out. How that changes a circuit is `faulty`'s business.

use circuit::{Circuit, DeviceParameter, HeaterString, PartId, PartParameter};

use crate::suspects::fault::Fault;
use crate::suspects::hypotheses::sections;
use crate::suspects::hypothesis::Hypothesis;

/// Parts that give nothing, for no current heats them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Cold {
    /// Sections of tubes.
    pub(crate) sections: Vec<PartId>,
    /// Supplies that stand for a rectifier tube.
    pub(crate) supplies: Vec<PartId>,
}

/// What a hypothesis leaves cold; none where it breaks no heater.
pub(crate) fn cold(circuit: &Circuit, hypothesis: &Hypothesis) -> Option<Cold> {
    if let Some(string) = hypothesis.broken_string(circuit) {
        return Some(Cold {
            sections: string.sections().collect(),
            supplies: string.supplies.clone(),
        });
    }
    let part = hypothesis.part()?;
    (hypothesis.fault() == Some(Fault::HeaterOpen)).then(|| Cold {
        sections: sections(circuit, part),
        supplies: Vec::new(),
    })
}

impl Cold {
    /// Whether being cold sets this number of this part.
    pub(crate) fn sets(&self, part: PartId, parameter: PartParameter) -> bool {
        match parameter {
            PartParameter::Device(DeviceParameter::Emission) => self.sections.contains(&part),
            PartParameter::Volts | PartParameter::SourceResistance => self.supplies.contains(&part),
            _ => false,
        }
    }
}

impl Hypothesis {
    /// The string of heaters that it breaks: by the heater of one of its tubes, whichever that is,
    /// or by a resistor in series with them.
    pub fn broken_string<'c>(&self, circuit: &'c Circuit) -> Option<&'c HeaterString> {
        let part = self.part()?;
        match self.fault()? {
            Fault::HeaterOpen => circuit.heater_string_of_tube(part),
            Fault::Open => circuit.heater_string_of(part),
            _ => None,
        }
    }

    /// The string of heaters of which it says that one is open, and cannot say which.
    pub fn open_heater_of<'c>(&self, circuit: &'c Circuit) -> Option<&'c HeaterString> {
        let string = self.broken_string(circuit)?;
        (self.fault() == Some(Fault::HeaterOpen)).then_some(string)
    }

    /// Whether it says something of this part: that it has the fault, or that it may have it.
    pub fn is_about(&self, circuit: &Circuit, part: PartId) -> bool {
        let in_string = || {
            let string = self.open_heater_of(circuit);
            string.is_some_and(|string| string.sections().any(|own| own == part))
        };
        self.part() == Some(part) || in_string()
    }
}
