//! Diodes and rectifiers: `1N34A`, `germanium`, `selenium 8 plates 100mA`.

use circuit::{
    semiconductor, Characteristic, Device, DeviceClass, DeviceUnit, PartKind, SemiconductorKind,
    TubeType,
};
use units::Unit;

use super::Drawn;
use crate::netlist::items::ItemKind;
use crate::netlist::types::{known, not_this_kind, take_type, Known};
use crate::netlist::values::{Doubted, Values};

/// Rated current of a selenium stack that states none, in amperes: the usual one of a small
/// radio's rectifier (common practice, no source).
const SELENIUM_RATING: f64 = 0.1;

/// Plates of a stack whose number could not be read. An error always stands beside it.
const STAND_IN_PLATES: u32 = 1;

/// `CR1: 1N34A`, `CR2: selenium 8 plates`.
pub(in crate::netlist) fn diode(own: &[TubeType], values: &mut Values<'_, '_>) -> Drawn {
    if values.flag("selenium").is_some() {
        return selenium(values);
    }
    let kind = ["silicon", "germanium"]
        .into_iter()
        .find(|kind| values.flag(kind).is_some());
    let item = take_type(values, own, kind.is_some());
    let name = match (&item, kind) {
        (Some(item), _) => item.text,
        (None, Some(kind)) => kind,
        (None, None) => {
            values.lacks("type", "1N34A` or `silicon");
            return Drawn::Unknown(DeviceClass::Diode);
        }
    };
    let found = match known(name, own) {
        Some(Known::Semiconductor(of)) => Some(of.kind),
        _ => None,
    };
    match (found.and_then(forward), &item) {
        (Some(unit), _) => Drawn::Part(two_ended(name, DeviceClass::Diode, vec![unit])),
        (None, Some(item)) => not_this_kind(item, own, DeviceClass::Diode, values),
        (None, None) => Drawn::Unknown(DeviceClass::Diode),
    }
}

/// The junction of a diode, from its anode to its cathode.
pub(super) fn forward(kind: SemiconductorKind) -> Option<DeviceUnit> {
    let SemiconductorKind::Diode {
        junction,
        series_ohms,
    } = kind
    else {
        return None;
    };
    Some(DeviceUnit {
        series_ohms,
        ..DeviceUnit::new(Characteristic::Junction(junction), &[0, 1])
    })
}

/// A device with an anode and a cathode.
pub(super) fn two_ended(name: &str, class: DeviceClass, units: Vec<DeviceUnit>) -> PartKind {
    PartKind::Device(Device::new(name, class, &["anode", "cathode"], units))
}

fn selenium(values: &mut Values<'_, '_>) -> Drawn {
    let plates = plates(values);
    let rating = values.figure("rated current", Unit::Ampere, Doubted::Both);
    let rating = match rating {
        Some(_) => values.above_zero(rating, "a rated current", "write it as `100mA`"),
        None => SELENIUM_RATING,
    };
    let Some(SemiconductorKind::Selenium(plate)) = semiconductor("selenium").map(|of| of.kind)
    else {
        return Drawn::Unknown(DeviceClass::Diode);
    };
    let law = Characteristic::SoftKnee(plate.stack(plates, rating));
    let unit = DeviceUnit::new(law, &[0, 1]);
    Drawn::Part(two_ended("selenium", DeviceClass::Diode, vec![unit]))
}

/// `8 plates`.
fn plates(values: &mut Values<'_, '_>) -> u32 {
    let whole = values.take(|item| {
        item.kind == ItemKind::Value && item.text.bytes().all(|byte| byte.is_ascii_digit())
    });
    let word = values.flag("plates").or_else(|| values.flag("plate"));
    match whole {
        Some((_, item)) if word.is_some() => match item.text.parse::<u32>() {
            Ok(plates @ 1..=1000) => plates,
            _ => {
                let message = "a stack has 1 to 1000 plates";
                values.reject(&item.bytes, message, "count the plates");
                STAND_IN_PLATES
            }
        },
        _ => {
            values.lacks("number of plates", "selenium 8 plates");
            STAND_IN_PLATES
        }
    }
}
