//! The conditions of a circuit: control positions, parts taken out of it, line voltage.

use crate::circuit::PartId;

/// The position of one control, the volts of one supply, or the state of one tube or transistor,
/// instead of those in the netlist.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// The control, supply, tube or transistor.
    pub part: PartId,
    /// Its position, volts or state.
    pub value: SettingValue,
}

/// A control's position, a supply's volts, which of two stable states is meant, or what was done to a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SettingValue {
    /// Wiper of a potentiometer: 0 at the counter-clockwise end, 1 at the clockwise end.
    Turn(f64),
    /// Switch or fuse: conducting or not.
    Closed(bool),
    /// Supply or battery: the volts of its plus terminal relative to its minus terminal as read
    /// under load, whatever the line voltage; the drop across its own resistance is already
    /// included.
    Held(f64),
    /// Supply or battery: its volts as a multiple of those in the netlist. Its own resistance stays, and it
    /// follows the line voltage as before.
    Share(f64),
    /// Tube or transistor of a circuit with two stable states: the state is meant in which it conducts
    /// more, or less. In a circuit with one state this changes nothing.
    Conducts(bool),
    /// The part is out of the circuit: a tube pulled, a lead of a part with two ends lifted.
    Out,
    /// The part is measured by itself, with one end lifted: all other parts are out of the circuit.
    Alone,
    /// Tube or semiconductor: a good one of its type stands in its place. The circuit is as drawn; a fault of
    /// the one before is gone.
    Replaced,
}

/// Settings and line voltage of one set of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Conditions {
    /// Control positions that differ from the netlist's.
    pub settings: Vec<Setting>,
    /// Line voltage divided by the line voltage for which the netlist states its supplies; no unit.
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

    /// Where these conditions put the wiper of a potentiometer, as a share of its track.
    pub fn turn(&self, part: PartId) -> Option<f64> {
        match self.of(part) {
            Some(SettingValue::Turn(turn)) => Some(turn),
            _ => None,
        }
    }

    /// Whether a part is out of the circuit.
    pub fn is_out(&self, part: PartId) -> bool {
        self.settings.iter().any(|setting| match setting.value {
            SettingValue::Out => setting.part == part,
            SettingValue::Alone => setting.part != part,
            _ => false,
        })
    }

    /// Whether no part is out of the circuit or replaced: the set as it came in, however its controls stand.
    pub fn is_whole(&self) -> bool {
        self.settings.iter().all(|setting| match setting.value {
            SettingValue::Out | SettingValue::Alone | SettingValue::Replaced => false,
            SettingValue::Turn(_) | SettingValue::Closed(_) | SettingValue::Conducts(_) => true,
            SettingValue::Held(_) | SettingValue::Share(_) => true,
        })
    }

    /// Whether another specimen stands in the place of a part.
    pub fn is_replaced(&self, part: PartId) -> bool {
        let own = |setting: &Setting| setting.part == part;
        let mut settings = self.settings.iter();
        settings.any(|setting| own(setting) && setting.value == SettingValue::Replaced)
    }
}
