//! Whether a tube or transistor conducts in a state of its circuit.
//!
//! A solution and a part go in; out goes how far its main path takes the current that the parts round it can
//! give. That has no unit, so one measure serves a relay driver and a tube of a counter.

use circuit::{Circuit, Port, Setting, SettingValue};

use crate::error::SolveError;
use crate::solution::Solution;

/// Below this share of what the parts round it can give, a device is cut off: a leakage of 10 µA behind 2 kΩ
/// and 10 V is 0.002.
const CUT_OFF: f64 = 0.03;

/// Above this share it conducts. Between the two nothing is said.
const CONDUCTS: f64 = 0.3;

/// Ends of the main path of a tube or transistor.
const ENDS: [(&str, &str); 3] = [
    ("collector", "emitter"),
    ("drain", "source"),
    ("plate", "cathode"),
];

impl Solution {
    /// Why this is not the state that a setting asks for, where the circuit has one stable state only and
    /// the device stands the other way in it.
    pub fn contradicts(&self, circuit: &Circuit, setting: &Setting) -> Option<SolveError> {
        let SettingValue::Conducts(wanted) = setting.value else {
            return None;
        };
        let share = self.share_conducted(circuit, setting)?;
        let is_other = if wanted {
            share < CUT_OFF
        } else {
            share > CONDUCTS
        };
        is_other.then(|| SolveError::OneState {
            device: circuit.part(setting.part).designator.clone(),
            conducts: !wanted,
        })
    }

    /// `I·R/V` of the main path, `R` seen at its ends: 0 of a device that is cut off.
    fn share_conducted(&self, circuit: &Circuit, setting: &Setting) -> Option<f64> {
        let part = circuit.part(setting.part);
        let names = part.kind.terminals();
        let node = |name: &str| {
            let place = names.iter().position(|own| *own == name)?;
            part.nodes.get(place).copied()
        };
        let mut ends = ENDS.iter();
        let port = ends.find_map(|(plus, minus)| {
            Some(Port {
                plus: node(plus)?,
                minus: node(minus)?,
            })
        })?;
        let is_alone = self.port_volts_in_other_state(port).is_none();
        let seen = self.port_reading(port, 0.0);
        let amperes = self.device_amperes(setting.part);
        let amperes = amperes.iter().filter_map(|unit| unit.first());
        let amperes = amperes.fold(0.0, |most: f64, own| most.max(own.abs()));
        let share = (amperes * seen.ohms / seen.volts).abs();
        (is_alone && share.is_finite()).then_some(share)
    }
}
