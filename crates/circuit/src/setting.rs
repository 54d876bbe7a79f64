//! The state that a circuit is looked at in: control positions and line voltage.

use crate::circuit::PartId;

/// The position of one control, over what the netlist says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// The control.
    pub part: PartId,
    /// Its position.
    pub value: SettingValue,
}

/// A control's position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SettingValue {
    /// Wiper of a potentiometer: 0 at the counter-clockwise end, 1 at the clockwise end.
    Turn(f64),
    /// Switch or fuse: conducting or not.
    Closed(bool),
}

/// Settings and line voltage of one set of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Conditions {
    /// Control positions that differ from the netlist's.
    pub settings: Vec<Setting>,
    /// Line volts over the line volts for which the netlist states its supplies.
    pub line_factor: f64,
}

impl Default for Conditions {
    fn default() -> Self {
        Conditions {
            settings: Vec::new(),
            line_factor: 1.0,
        }
    }
}

impl Conditions {
    /// The setting of a control, if it differs from the netlist's.
    pub fn of(&self, part: PartId) -> Option<SettingValue> {
        self.settings
            .iter()
            .rev()
            .find(|setting| setting.part == part)
            .map(|setting| setting.value)
    }
}
