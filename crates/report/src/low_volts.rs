//! Which cautions a drawing calls for: whether it can bring dangerous volts, and whether it has tubes.
//!
//! A job and its danger marks come in; answers go out. What is not sure counts as dangerous.

use circuit::{DeviceClass, Job, PartKind};
use diagnose::{Danger, Hazards, HAZARDOUS_DC};

use crate::power_off::is_on_batteries;

/// Whether all that is drawn and stated says that no dangerous volts can be in the set: batteries alone,
/// all of them together below the threshold, no generator, no tube, no glow discharge, every row of
/// the manual read and its point drawn, and no point with a mark.
pub(crate) fn has_low_volts_only(job: &Job, hazards: &Hazards) -> bool {
    let drawn = job.circuit.parts().iter().all(|part| match &part.kind {
        PartKind::Generator(_) => false,
        PartKind::Device(device) => {
            let glows = device.units.iter().any(|unit| unit.glow.is_some());
            let semiconductor = !matches!(device.class, DeviceClass::Tube | DeviceClass::NeonLamp);
            semiconductor && !glows
        }
        _ => true,
    });
    let rows = job.row_ids().all(|id| {
        // What is not drawn may be anything.
        let drawn = job.row(id).port.is_some();
        drawn && hazards.at(id).danger == Danger::Low
    });
    let strings = job.circuit.heater_strings();
    let sum = hazards.sum_of_sources();
    let nothing_else = strings.is_empty() && job.left_out.is_empty();
    is_on_batteries(job) && drawn && nothing_else && rows && sum < HAZARDOUS_DC
}

/// Whether a tube is drawn.
pub(crate) fn has_tubes(job: &Job) -> bool {
    let mut parts = job.circuit.parts().iter();
    let strings = job.circuit.heater_strings();
    !strings.is_empty()
        || parts.any(|part| match &part.kind {
            PartKind::Device(device) => device.class == DeviceClass::Tube,
            _ => false,
        })
}
