//! Resistors and potentiometers: `220k 10%`, `pot 500k 20% at 40%`.
//!
//! Knows what is written on them and which values they cannot have, not how they behave.

use circuit::{PartKind, Potentiometer, Resistor};
use units::{parse_percent, Figure, Unit};

use super::thermistor;
use crate::netlist::items::{Item, ItemKind};
use crate::netlist::values::{Doubted, Subject, Values};

/// The widest tolerance of controls (common practice, no source); what is wider may be a position without its `at`.
const WIDEST: f64 = 0.3;

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
            off_ends(&taps)
        }
        None => off_ends(&taps),
    };
    let tolerance = values.tolerance();
    let unsure = !stated && !values.has_leftovers();
    if let Some(wide) = tolerance.filter(|wide| unsure && *wide > WIDEST) {
        let Subject { bytes, .. } = &values.subject;
        let percent = wide * 100.0;
        let message =
            format!("{percent:.0} % counts as the tolerance, and the wiper may be anywhere");
        let help = format!("if it is the position, write `at {percent:.0}%`");
        let remark = "no position is stated";
        values.findings.remark(bytes, message, remark, &help);
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

/// Where a wiper is drawn if nothing is said: in the middle of the longest piece of track between ends and taps.
fn off_ends(taps: &[f64]) -> f64 {
    let mut places = [taps, &[0.0, 1.0]].concat();
    places.sort_by(f64::total_cmp);
    let pieces = places.windows(2).map(|ends| (ends[1] - ends[0], ends[0]));
    let longest = pieces.max_by(|a, b| a.0.total_cmp(&b.0));
    longest.map_or(0.5, |(length, below)| below + length / 2.0)
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
                found.push(0.5);
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unstated_wiper_is_drawn_off_ends_and_taps() {
        for (taps, want) in [
            (&[][..], 0.5),
            (&[0.2], 0.6),
            (&[0.5], 0.75),
            (&[0.8, 0.1], 0.45),
        ] {
            // A few float operations on shares below 1.
            assert!((off_ends(taps) - want).abs() < 1e-14, "{taps:?}");
        }
    }
}
