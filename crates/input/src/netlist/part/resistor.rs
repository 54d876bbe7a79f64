//! Resistors and potentiometers: `220k 10%`, `pot 500k 20% at 40%`.
//!
//! Knows what is written on them and which values they cannot have, not how they behave.

use circuit::{PartKind, Potentiometer, Resistor};
use units::{parse_percent, Figure, Unit};

use super::thermistor;
use crate::netlist::items::{Item, ItemKind};
use crate::netlist::values::{Doubted, Subject, Values};

/// Where a wiper stands if nothing is said.
const MIDDLE: f64 = 0.5;

/// What a control is for, before the word for it.
const USES: [&str; 9] = [
    "volume",
    "tone",
    "bias",
    "balance",
    "hum",
    "level",
    "gain",
    "attenuator",
    "regeneration",
];

/// `R1: 220k 10%`.
pub(in crate::netlist) fn fixed(values: &mut Values<'_, '_>) -> PartKind {
    let law = values.says("thermistor") || values.says("ntc");
    let drop = values.says("ballast") || values.says("cord");
    let ohms = match (law, drop) {
        (true, _) => thermistor::ohms(values),
        (_, true) => dropper(values),
        _ => None,
    };
    let ohms = ohms.unwrap_or_else(|| {
        let ohms = values.need("resistance", Unit::Ohm, "220k");
        let help = "a wire is no part: give both ends one node, or write a closed switch, `S9: closed, a to b`";
        values.above_zero(ohms, "the resistance of a resistor", help)
    });
    values.ratings();
    PartKind::Resistor(Resistor {
        ohms,
        tolerance: values.tolerance(),
    })
}

/// `ballast 55V 0.3A`: a ballast or line cord by what it drops, at that current.
fn dropper(values: &mut Values<'_, '_>) -> Option<f64> {
    let reads = |unit| {
        move |item: &Item<'_>| {
            let own = Figure::parse(item.text, unit).is_ok();
            item.kind == ItemKind::Value && own && item.text.parse::<f64>().is_err()
        }
    };
    let both =
        values.items.iter().any(reads(Unit::Volt)) && values.items.iter().any(reads(Unit::Ampere));
    if !both {
        return None;
    }
    let volts = values.figure("volts it drops", Unit::Volt, Doubted::Neither);
    let amperes = values.figure("its current", Unit::Ampere, Doubted::Neither);
    let help = "write what it drops and at which current, such as `55V 0.3A`";
    let volts = values.above_zero(volts, "what a ballast drops", help);
    Some(volts / values.above_zero(amperes, "its current", help))
}

/// `R9: pot 500k 20% at 40%`, with a tap `pot 500k at 40% tap=30%`.
pub(in crate::netlist) fn potentiometer(values: &mut Values<'_, '_>) -> PartKind {
    // `volume control 500k`, `bias pot 25k`, as parts lists call them by their use.
    for word in USES {
        if values.says(word) {
            values.flag(word);
        }
    }
    // The share comes first: what is left of the percentages is then the tolerance.
    let faulty = values.faulty;
    let share = values.share_after("at");
    let stated = share.is_some() || values.faulty != faulty;
    let taps = taps(values);
    let ohms = values.need("resistance", Unit::Ohm, "pot 500k at 40%");
    let help = "write the resistance from end to end";
    let ohms = values.above_zero(ohms, "the resistance of a potentiometer", help);
    values.ratings();
    let setting = match share {
        Some(share) if share.value <= 1.0 => share.value,
        Some(share) => {
            let help = "0 % is the counter-clockwise end, 100 % the clockwise end";
            values.reject(&share.bytes, "a setting lies between 0 % and 100 %", help);
            MIDDLE
        }
        None => MIDDLE,
    };
    let tolerance = values.tolerance();
    if !stated && !values.has_leftovers() {
        let Subject { name, bytes, .. } = &values.subject;
        let message = format!(
            "no setting is stated for {name}: unless a row sets it, its wiper may be anywhere"
        );
        let help = "write where it was set, such as `at 40%`";
        values
            .findings
            .remark(bytes, message, "anywhere, drawn in the middle", help);
    }
    PartKind::Potentiometer(Potentiometer {
        ohms,
        tolerance,
        setting,
        is_stated: stated,
        offset: 0.0,
        taps,
    })
}

/// Fixed taps of the track: `tap=30% tap2=60%`, from the counter-clockwise end.
fn taps(values: &mut Values<'_, '_>) -> Vec<f64> {
    let mut found: Vec<f64> = Vec::new();
    for word in ["tap", "tap2"] {
        let Some(item) = values.option_item(word) else {
            continue;
        };
        match parse_percent(item.text) {
            Ok(share) if share > 0.0 && share < 1.0 && !(word == "tap2" && found.is_empty()) => {
                found.push(share);
            }
            Ok(_) if word == "tap2" && found.is_empty() => {
                let message = "a second tap needs a first one";
                values.reject(&item.bytes, message, "write `tap=` for the first");
            }
            _ => {
                let message = format!("'{}' is no place of a tap", item.text);
                let help = "write its share of the track from the counter-clockwise end, such as \
                            `tap=30%`";
                values.reject(&item.bytes, message, help);
                // The terminal is there all the same.
                found.push(MIDDLE);
            }
        }
    }
    found
}
