//! What a part is as drawn, for the slips of a drawing.

use circuit::{DeviceParameter, Part, PartKind, PartParameter};

/// Whether a number is in volts; else it is in ohms.
pub(crate) fn is_volts(parameter: PartParameter) -> bool {
    matches!(
        parameter,
        PartParameter::Volts | PartParameter::Device(DeviceParameter::KneeVolts)
    )
}

/// The type of a tube or semiconductor; its kind for other parts.
pub(crate) fn type_name(part: &Part) -> &str {
    match &part.kind {
        PartKind::Device(device) => &device.type_name,
        other => other.noun(),
    }
}

/// Where the wiper of a potentiometer stands, 0 to 1; 0 for other parts.
pub(crate) fn turn(part: &Part) -> f64 {
    match &part.kind {
        PartKind::Potentiometer(pot) => pot.setting,
        _ => 0.0,
    }
}
