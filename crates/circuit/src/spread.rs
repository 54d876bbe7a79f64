//! How far a number of a part may be from what is written on it.
//!
//! A stated tolerance is taken as stated. Where none is stated a default by kind of part stands
//! in, and says that it does: most are common practice without a source, the scatter of tubes is
//! measured. All are limits with nothing known about the inside, so rectangular
//! (JCGM 100:2008, 4.3.7).

use crate::parameter::{DeviceParameter, PartParameter};
use crate::part::{Part, PartKind};

/// Limits round a written number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartSpread {
    /// Half of the distance between the limits, in the number's own unit.
    pub half_width: f64,
    /// Where the limits come from.
    pub basis: SpreadBasis,
}

/// Where limits come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpreadBasis {
    /// The netlist states a tolerance.
    Stated,
    /// A default for this kind of number.
    Assumed,
}

/// One line of the table of defaults.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DefaultSpread {
    /// What it is for.
    pub what: &'static str,
    /// The limits, as people write them.
    pub limits: &'static str,
    /// Where they come from.
    pub source: &'static str,
}

const RESISTOR: f64 = 0.20;
const WINDING: f64 = 0.10;
const SUPPLY: f64 = 0.05;
const SOURCE: f64 = 0.30;
/// Share by which a source resistance that a manual row states may be off.
pub const STATED_SOURCE: f64 = 0.20;
const LEAK: f64 = 0.70;
const LAMP: f64 = 0.20;
const EMISSION: f64 = 0.30;
const CONTACT_VOLTS: f64 = 0.3;
const GAS_AMPERES: f64 = 0.1e-6;
const KNEE_SHARE: f64 = 0.05;
const SATURATION_LOG: f64 = 0.7;
const GAIN_LOG: f64 = 0.5;
const LEAKAGE_LOG: f64 = 0.7;
const DRAIN_LOG: f64 = 0.5;
const PINCH_OFF_VOLTS: f64 = 1.0;

/// The defaults, for `check` and the docs.
pub const DEFAULT_SPREADS: [DefaultSpread; 16] = [
    default("resistor, potentiometer", "±20 %", "common practice, no source: the unmarked tolerance of composition resistors"),
    default("winding resistance", "±10 %", "common practice, no source"),
    default("supply or battery volts", "±5 %", "common practice, no source"),
    default("resistance of a source", "±30 %", "common practice, no source"),
    default("source resistance stated for a point", "±20 %", "common practice, no source: as good as the resistors it is reckoned from"),
    default("leakage of a capacitor", "±70 %", "common practice, no source: it is a guess to begin with"),
    default("lamp", "±20 %", "common practice, no source"),
    default("emission of a tube", "±30 %", "measured: 46 sections of one type scatter by 15 to 36 %, 28 power pentodes by 13.5 %; production limits of other types are −25 to +35 %"),
    default("contact potential of a tube", "±0.3 V", "from memory of makers' data"),
    default("gas current of a tube", "±0.1 µA", "production sheets: 0.2 µA at most for new tubes"),
    default("knee or breakdown volts", "±5 %", "common practice, no source"),
    default("saturation current of a junction", "factor 2", "common practice, no source: ±18 mV of forward voltage"),
    default("current gain", "factor 1.65", "data sheets print ranges of 1 to 3"),
    default("leakage of a transistor", "factor 2", "common practice, no source"),
    default("drain current of a field-effect transistor", "factor 1.65", "data sheets print ranges of 1 to 5"),
    default("pinch-off volts", "±1 V", "common practice, no source"),
];

const fn default(what: &'static str, limits: &'static str, source: &'static str) -> DefaultSpread {
    DefaultSpread {
        what,
        limits,
        source,
    }
}

/// The limits round one number of a part. Numbers that are changed by their logarithm have limits
/// of that (see [`DeviceParameter`]).
pub fn spread_of(part: &Part, parameter: PartParameter) -> PartSpread {
    let share = |nominal: f64, stated: Option<f64>, default: f64| PartSpread {
        half_width: nominal.abs() * stated.unwrap_or(default),
        basis: match stated {
            Some(_) => SpreadBasis::Stated,
            None => SpreadBasis::Assumed,
        },
    };
    match (&part.kind, parameter) {
        (PartKind::Resistor(resistor), _) => share(resistor.ohms, resistor.tolerance, RESISTOR),
        (PartKind::Potentiometer(pot), _) => share(pot.ohms, pot.tolerance, RESISTOR),
        (PartKind::Capacitor(capacitor), _) => share(capacitor.leak.unwrap_or(0.0), None, LEAK),
        (PartKind::Inductor(coil), _) => share(coil.ohms, None, WINDING),
        (PartKind::Transformer(two), PartParameter::SecondaryResistance) => {
            share(two.secondary_ohms, None, WINDING)
        }
        (PartKind::Transformer(two), _) => share(two.primary_ohms, None, WINDING),
        (PartKind::Supply(supply), PartParameter::Volts) => {
            share(supply.volts, supply.tolerance, SUPPLY)
        }
        (PartKind::Supply(supply), _) => share(supply.source, None, SOURCE),
        (PartKind::Generator(generator), _) => share(generator.source, None, SOURCE),
        (PartKind::Lamp(lamp), _) => share(lamp.ohms(), None, LAMP),
        (PartKind::Contact(_), _) => share(0.0, None, 0.0),
        (PartKind::Device(device), PartParameter::Device(parameter)) => {
            let nominal = device
                .units
                .iter()
                .find_map(|unit| unit.characteristic.knee_volts())
                .unwrap_or(0.0);
            let series = device.units.iter().map(|unit| unit.series_ohms).sum();
            PartSpread {
                half_width: device_half_width(parameter, nominal, series),
                basis: SpreadBasis::Assumed,
            }
        }
        (PartKind::Device(_), _) => share(0.0, None, 0.0),
    }
}

fn device_half_width(parameter: DeviceParameter, knee_volts: f64, series_ohms: f64) -> f64 {
    match parameter {
        DeviceParameter::Emission => EMISSION,
        DeviceParameter::ContactPotential => CONTACT_VOLTS,
        DeviceParameter::GasCurrent => GAS_AMPERES,
        DeviceParameter::KneeVolts => KNEE_SHARE * knee_volts,
        DeviceParameter::Saturation => SATURATION_LOG,
        DeviceParameter::CurrentGain => GAIN_LOG,
        DeviceParameter::Leakage => LEAKAGE_LOG,
        DeviceParameter::DrainCurrent => DRAIN_LOG,
        DeviceParameter::PinchOff => PINCH_OFF_VOLTS,
        DeviceParameter::SeriesResistance => SOURCE * series_ohms,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::Origin;
    use crate::part::Resistor;

    fn resistor(tolerance: Option<f64>) -> Part {
        Part {
            designator: "R1".into(),
            kind: PartKind::Resistor(Resistor {
                ohms: 220e3,
                tolerance,
            }),
            nodes: Vec::new(),
            origin: Origin::default(),
        }
    }

    #[test]
    fn a_stated_tolerance_is_taken_as_stated_and_a_missing_one_is_said_to_be_assumed() {
        // 5 % and 20 % of 220 kΩ, by hand.
        let stated = spread_of(&resistor(Some(0.05)), PartParameter::Resistance);
        assert!((stated.half_width - 11e3).abs() < 1e-6);
        assert_eq!(stated.basis, SpreadBasis::Stated);
        let assumed = spread_of(&resistor(None), PartParameter::Resistance);
        assert!((assumed.half_width - 44e3).abs() < 1e-6);
        assert_eq!(assumed.basis, SpreadBasis::Assumed);
    }
}
