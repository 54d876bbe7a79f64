//! Lamps: `lamp 6.3V 150mA`, `neon 65V 0.3mA`.

use circuit::{Characteristic, Device, DeviceClass, DeviceUnit, Glow, Lamp, PartKind, SoftKnee};
use units::Unit;

use crate::netlist::values::Values;

/// A lit neon lamp holds this share of its striking volts at its rated current (common practice, no
/// source).
const MAINTAINING: f64 = 0.85;

/// The volts of a lit lamp rise by this share of its striking volts from no current to its rated
/// one (common practice, no source).
const SLOPE: f64 = 0.05;

/// Width in volts of the bend of a lit lamp (assumed, no source).
const SOFTNESS: f64 = 0.5;

/// A lamp goes out below this share of its rated current (common practice, no source).
const LEAST: f64 = 0.1;

/// A lamp is overloaded above this multiple of its rated current (common practice, no source).
const MOST: f64 = 2.0;

/// Resistance in ohms of each direction of a dark lamp, both 1 GΩ together (assumed, no source).
const DARK_OHMS: f64 = 2e9;

/// `DS1: lamp 6.3V 150mA`.
pub(in crate::netlist) fn lamp(values: &mut Values<'_, '_>) -> PartKind {
    const HELP: &str = "write the lamp's rating, such as `6.3V 150mA`";
    let volts = values.need("rated voltage", Unit::Volt, "lamp 6.3V 150mA");
    let amperes = values.need("rated current", Unit::Ampere, "lamp 6.3V 150mA");
    PartKind::Lamp(Lamp {
        volts: values.above_zero(volts, "a lamp's voltage", HELP),
        amperes: values.above_zero(amperes, "a lamp's current", HELP),
    })
}

/// `DS2: neon 65V 0.3mA`: striking volts and rated current; it lights in either direction.
pub(in crate::netlist) fn neon(values: &mut Values<'_, '_>) -> PartKind {
    const EXAMPLE: &str = "neon 65V 0.3mA";
    const HELP: &str = "write what it strikes at and its rated current, such as `65V 0.3mA`";
    for word in ["neon", "lamp"] {
        values.flag(word);
    }
    let volts = values.need("striking voltage", Unit::Volt, EXAMPLE);
    let amperes = values.need("rated current", Unit::Ampere, EXAMPLE);
    let volts = values.above_zero(volts, "a lamp's voltage", HELP);
    let amperes = values.above_zero(amperes, "a lamp's current", HELP);
    let unit = |at: [usize; 2]| DeviceUnit {
        characteristic: Characteristic::SoftKnee(SoftKnee {
            knee_volts: (MAINTAINING - SLOPE) * volts,
            slope_ohms: SLOPE * volts / amperes,
            softness: SOFTNESS,
            leak_ohms: DARK_OHMS,
        }),
        at: at.to_vec(),
        series_ohms: 0.0,
        glow: Some(Glow {
            strike_volts: volts,
            least_amperes: LEAST * amperes,
            most_amperes: MOST * amperes,
        }),
    };
    let units = vec![unit([0, 1]), unit([1, 0])];
    let ends = ["first", "second"];
    PartKind::Device(Device::new("neon", DeviceClass::NeonLamp, &ends, units))
}
