//! Controls as a cell of a table has them: `R9=40%; S1=closed`.
//!
//! Settings come in; what is to be typed under `setting` goes out.

use circuit::{Job, Setting, SettingValue};
use units::Unit;

use crate::figures::{self, percent};
use crate::places::set_volts;
use crate::switches::thrown;

/// Each control or supply with where it stands; what is out or replaced is left to whoever takes it out.
pub(crate) fn control_cells(job: &Job, settings: &[Setting]) -> Vec<String> {
    let switches = thrown(job, settings);
    let each = settings.iter().enumerate().filter_map(|(index, setting)| {
        if let Some(switch) = switches.iter().find(|own| own.settings.contains(&index)) {
            let is_first = switch.settings.iter().min() == Some(&index);
            return is_first.then(|| format!("{}={}", switch.name, switch.throw));
        }
        let name = &job.circuit.part(setting.part).designator;
        let stands = match setting.value {
            SettingValue::Turn(share) => format!("{}%", percent(share * 100.0)),
            SettingValue::Closed(true) => "closed".to_owned(),
            SettingValue::Closed(false) => "open".to_owned(),
            SettingValue::Held(volts) => figures::stated(volts, Unit::Volt),
            SettingValue::Share(share) => {
                figures::stated(set_volts(job, *setting, share), Unit::Volt)
            }
            SettingValue::Conducts(true) => "on".to_owned(),
            SettingValue::Conducts(false) => "off".to_owned(),
            SettingValue::Out | SettingValue::Alone | SettingValue::Replaced => return None,
        };
        Some(format!("{name}={stands}"))
    });
    each.collect()
}
