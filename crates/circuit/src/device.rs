//! Tubes and semiconductors in a circuit: which characteristics are on which terminals.
//!
//! A device is one line of the netlist: a section of a tube, a whole socket, a diode, a transistor.
//! Its numbers come from the catalogue or from the job; its laws are in the solver.

use crate::characteristic::Characteristic;

/// A tube or semiconductor.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// The type as the netlist writes it.
    pub type_name: String,
    /// Its class.
    pub class: DeviceClass,
    /// Its terminals, in the order of [`crate::Part::nodes`].
    pub terminals: Vec<Terminal>,
    /// The units that conduct between them.
    pub units: Vec<DeviceUnit>,
    /// Half-width of the tolerance of its marked volts as a fraction, if stated.
    pub tolerance: Option<f64>,
}

/// The class of a device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DeviceClass {
    /// Electron tube.
    Tube,
    /// Diode or rectifier.
    Diode,
    /// Zener diode or glow tube.
    Regulator,
    /// Bipolar transistor.
    Transistor,
    /// Field-effect transistor.
    FieldEffect,
    /// Neon lamp.
    NeonLamp,
}

/// One terminal of a device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Terminal {
    /// Its name, such as `plate`.
    pub name: String,
    /// Base pins that lead to it; none for a device without a base.
    pub pins: Vec<u8>,
}

/// One conducting unit of a device.
#[derive(Clone, Debug, PartialEq)]
pub struct DeviceUnit {
    /// Its numbers.
    pub characteristic: Characteristic,
    /// For each terminal of the characteristic, in its order, the device's terminal.
    pub at: Vec<usize>,
    /// Resistance in ohms in series with the first of them.
    pub series_ohms: f64,
    /// When it strikes and goes out, for a glow discharge.
    pub glow: Option<Glow>,
}

/// When a glow discharge strikes and goes out. Lit, it follows its characteristic; dark, it has
/// only the leakage of the characteristic.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Glow {
    /// Volts at which it strikes.
    pub strike_volts: f64,
    /// Amperes below which it goes out.
    pub least_amperes: f64,
    /// Amperes that it is rated for.
    pub most_amperes: f64,
}

impl Device {
    /// A device without a base and without a stated tolerance, its terminals by their names.
    pub fn new(
        type_name: impl Into<String>,
        class: DeviceClass,
        terminals: &[&str],
        units: Vec<DeviceUnit>,
    ) -> Self {
        let terminal = |name: &&str| Terminal {
            name: (*name).to_owned(),
            pins: Vec::new(),
        };
        Device {
            type_name: type_name.into(),
            class,
            terminals: terminals.iter().map(terminal).collect(),
            units,
            tolerance: None,
        }
    }
}

impl DeviceUnit {
    /// A unit between these terminals of its device, with nothing in series; no glow discharge.
    pub fn new(characteristic: Characteristic, at: &[usize]) -> Self {
        DeviceUnit {
            characteristic,
            at: at.to_vec(),
            series_ohms: 0.0,
            glow: None,
        }
    }
}

impl DeviceClass {
    /// The class in one or two words.
    pub fn noun(self) -> &'static str {
        match self {
            DeviceClass::Tube => "tube",
            DeviceClass::Diode => "diode",
            DeviceClass::Regulator => "regulator",
            DeviceClass::Transistor => "transistor",
            DeviceClass::FieldEffect => "field-effect transistor",
            DeviceClass::NeonLamp => "neon lamp",
        }
    }
}
