//! Voltage regulators: `zener 9.1V 5%`, or the type of a glow tube.

use circuit::{
    semiconductor, Characteristic, DeviceClass, DeviceUnit, PartKind, SemiconductorKind, TubeClass,
    TubeType,
};
use units::Unit;

use super::diode::{forward, two_ended};
use super::Drawn;
use crate::netlist::types::{known, not_this_kind, take_type, Known};
use crate::netlist::values::Values;

/// `VR1: zener 9.1V 5%`, `VR2: 0A2`.
pub(super) fn regulator(own: &[TubeType], values: &mut Values<'_, '_>) -> Drawn {
    if values.flag("zener").is_some() {
        return zener(values);
    }
    let Some(item) = take_type(values, own, false) else {
        values.lacks("type", "0A2` or `zener 9.1V");
        return Drawn::Unknown(DeviceClass::Regulator);
    };
    match known(item.text, own) {
        Some(Known::Tube(tube)) if tube.class == TubeClass::GlowRegulator => {
            Drawn::Tube(Box::new(tube.clone()))
        }
        _ => not_this_kind(&item, own, DeviceClass::Regulator, values),
    }
}

/// A silicon junction forward (assumed to be that of a small diode, no source), and the marked
/// volts in reverse.
fn zener(values: &mut Values<'_, '_>) -> Drawn {
    let volts = values.need("voltage", Unit::Volt, "zener 9.1V");
    let stated = volts.is_some();
    let volts = values.above_zero(
        volts,
        "the voltage of a Zener diode",
        "write the marked volts; the anode and the cathode say which way",
    );
    let tolerance = values.tolerance();
    let kind = |name| semiconductor(name).map(|of| of.kind);
    let (Some(forward), Some(SemiconductorKind::Zener(zener))) =
        (kind("1N4148").and_then(forward), kind("zener"))
    else {
        return Drawn::Unknown(DeviceClass::Regulator);
    };
    let reverse = DeviceUnit::new(Characteristic::SoftKnee(zener.marked(volts)), &[1, 0]);
    let name = if stated {
        format!("zener {}", units::engineering(volts, Unit::Volt, 3))
    } else {
        "zener".to_owned()
    };
    let units = vec![forward, reverse];
    let mut part = two_ended(&name, DeviceClass::Regulator, units);
    if let PartKind::Device(device) = &mut part {
        device.tolerance = tolerance;
    }
    Drawn::Part(part)
}
