//! The meter that a name means.
//!
//! A job's own meters come first, then the classes built in, then any ohms per volt (`30k/V`) or
//! fixed input (`15M`), which borrow the ranges of the class nearest to them. The place of the name
//! is not known here.

mod accuracy;
mod alternating_side;
mod input_by_range;
mod instruments;
mod manual;
mod meter_section;
mod own;
mod probe;

use std::error::Error;
use std::fmt;

use circuit::{
    meter_by_name, meter_classes, named_meter_classes, same_meter_name, Meter, MeterInput,
};
use units::{Figure, Sensitivity, Unit};

use crate::nearest::nearest;

pub(crate) use manual::{find_manual_meter, ManualMeter};
pub use own::{read_meters, LeftOutMeter, MetersRead};

/// The sensitivities in Ω/V of all meters sold to repairers are well within these limits (from
/// memory).
const SENSITIVITIES: std::ops::RangeInclusive<f64> = 50.0..=10e6;

/// A fixed input resistance in ohms below this is not that of a voltmeter but a mistake for ohms
/// per volt.
const LEAST_FIXED_OHMS: f64 = 100e3;

/// The class whose ranges a meter of fixed input borrows.
const FIXED_CLASS: &str = "11M";

/// Why a name means no meter.
#[derive(Clone, Debug, PartialEq)]
pub enum MeterNameError {
    /// No meter is known by this name.
    Unknown {
        /// The name.
        name: String,
        /// The nearest name of a meter, if one is near.
        nearest: Option<String>,
    },
    /// A load that no voltmeter has: less than 50 Ω/V or more than 10 MΩ/V, or a fixed input below
    /// 100 kΩ.
    Unlikely {
        /// The name.
        name: String,
    },
    /// The word `unknown`, which is allowed only for the meter of a manual: a reading with an
    /// unknown meter is useless.
    NotStated,
}

impl fmt::Display for MeterNameError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            MeterNameError::Unknown { name, .. } => write!(f, "no meter is called '{name}'"),
            MeterNameError::Unlikely { name } => {
                write!(f, "no voltmeter has an input of '{name}'")
            }
            MeterNameError::NotStated => {
                write!(f, "only the meter of a manual may be unknown, no other")
            }
        }
    }
}

impl Error for MeterNameError {}

impl MeterNameError {
    /// What to write instead.
    pub fn help(&self) -> String {
        match self {
            MeterNameError::Unknown {
                nearest: Some(near),
                ..
            } => format!("did you mean '{near}'?"),
            MeterNameError::Unknown { .. } => format!(
                "describe it in meters.toml, or write a class such as {}",
                class_names().join(", ")
            ),
            MeterNameError::Unlikely { .. } => {
                "write ohms per volt as `20k/V`, a fixed input as `11M`".to_owned()
            }
            MeterNameError::NotStated => format!(
                "describe the meter in meters.toml, or write its class, such as {}",
                class_names().join(", ")
            ),
        }
    }
}

fn class_names() -> Vec<String> {
    meter_classes()
        .into_iter()
        .map(|meter| meter.name)
        .collect()
}

/// The meter of a name, from a job's own meters and the built-in classes.
///
/// # Errors
/// [`MeterNameError`] if the name means no meter, with the nearest known name.
pub fn find_meter(name: &str, own: &[Meter]) -> Result<Meter, MeterNameError> {
    let name = name.trim();
    if let Some(meter) = own.iter().find(|meter| meter.name == name) {
        return Ok(meter.clone());
    }
    let mut loose = own
        .iter()
        .filter(|meter| same_meter_name(&meter.name, name));
    if let (Some(meter), None) = (loose.next(), loose.next()) {
        return Ok(meter.clone());
    }
    if name.eq_ignore_ascii_case("unknown") {
        return Err(MeterNameError::NotStated);
    }
    let unlikely = || MeterNameError::Unlikely {
        name: name.to_owned(),
    };
    if let Some(meter) = meter_by_name(name) {
        return Ok(meter);
    }
    if let Ok(sensitivity) = Sensitivity::parse(name) {
        return by_sensitivity(name, sensitivity).ok_or_else(unlikely);
    }
    if let Ok(figure) = Figure::parse(name, Unit::Ohm) {
        return by_fixed_input(name, figure.value).ok_or_else(unlikely);
    }
    let classes = class_names();
    let known = own.iter().map(|meter| meter.name.as_str());
    let near = nearest(name, known.chain(classes.iter().map(String::as_str)));
    Err(MeterNameError::Unknown {
        name: name.to_owned(),
        nearest: near.map(str::to_owned),
    })
}

/// A meter of any sensitivity, with the ranges and the alternating-volt input of the class that is
/// nearest in ratio.
fn by_sensitivity(name: &str, wanted: Sensitivity) -> Option<Meter> {
    if !SENSITIVITIES.contains(&wanted.0) {
        return None;
    }
    let distance = |meter: &Meter| match meter.input {
        MeterInput::Sensitivity(Sensitivity(ohms)) => Some((ohms / wanted.0).ln().abs()),
        MeterInput::Fixed(_) => None,
    };
    let (_, class) = named_meter_classes()
        .into_iter()
        .filter_map(|meter| Some((distance(&meter)?, meter)))
        .min_by(|(a, _), (b, _)| a.total_cmp(b))?;
    // `20000 ohms per volt` is the class itself, spelled out.
    if distance(&class).is_some_and(|ratio| ratio < 1e-9) {
        return Some(class);
    }
    Some(Meter {
        name: name.to_owned(),
        description: format!("{wanted}, with the usual ranges of {}", class.name),
        input: MeterInput::Sensitivity(wanted),
        ..class
    })
}

/// A meter of any fixed input resistance in ohms, with the ranges and the alternating-volt input of
/// the class of tube voltmeters.
fn by_fixed_input(name: &str, ohms: f64) -> Option<Meter> {
    if ohms < LEAST_FIXED_OHMS {
        return None;
    }
    let class = meter_by_name(FIXED_CLASS)?;
    Some(Meter {
        name: name.to_owned(),
        description: format!("{name} on every range, with the usual ranges of {FIXED_CLASS}"),
        input: MeterInput::Fixed(ohms),
        ..class
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn own_meters_come_before_classes_and_classes_before_plain_loads() {
        let mut own = meter_by_name("10M").unwrap();
        own.description = "mine".into();
        assert_eq!(find_meter("10M", &[own]).unwrap().description, "mine");
        assert_eq!(find_meter("20 kΩ/V", &[]).unwrap().name, "20k/V");
        assert_eq!(
            find_meter("20000 ohms per volt", &[]).unwrap().name,
            "20k/V"
        );
        let meter = find_meter("30k/V", &[]).unwrap();
        assert_eq!(meter.name, "30k/V");
        assert_eq!(meter.input, MeterInput::Sensitivity(Sensitivity(30e3)));
        assert_eq!(meter.ranges, meter_by_name("20k/V").unwrap().ranges);
        let meter = find_meter("15M", &[]).unwrap();
        assert_eq!(meter.input, MeterInput::Fixed(15e6));
        assert_eq!(meter.ranges, meter_by_name("11M").unwrap().ranges);
    }

    #[test]
    fn what_is_no_meter_is_refused_with_a_hint() {
        let own = [Meter {
            name: "bench-dmm".into(),
            ..meter_by_name("10M").unwrap()
        }];
        let error = find_meter("bench-dm", &own).unwrap_err();
        assert_eq!(error.help(), "did you mean 'bench-dmm'?");
        for name in ["20k", "0.5/V", "5 ohm"] {
            let error = find_meter(name, &[]).unwrap_err();
            assert!(matches!(error, MeterNameError::Unlikely { .. }), "{name}");
        }
        let error = find_meter("unknown", &[]).unwrap_err();
        assert_eq!(error, MeterNameError::NotStated);
        assert!(find_meter("", &[]).is_err());
    }
}
