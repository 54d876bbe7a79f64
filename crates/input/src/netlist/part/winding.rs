//! Chokes, coils and transformers: `10H 350R`, `transformer 26:1 280R 0.6R`.

use circuit::{Inductor, PartKind, Transformer};
use units::{Figure, Unit};

use crate::netlist::items::{Item, ItemKind};
use crate::netlist::values::{Doubted, Placed, Subject, Values, STAND_IN};

/// Words that say what a coil or transformer is for, and nothing of its resistance.
pub(in crate::netlist) const PURPOSES: [&str; 24] = [
    "power",
    "output",
    "audio",
    "af",
    "a-f",
    "driver",
    "interstage",
    "oscillator",
    "tapped",
    "field",
    "mains",
    "if",
    "i-f",
    "rf",
    "r-f",
    "osc",
    "antenna",
    "loop",
    "ratio",
    "detector",
    "discriminator",
    "blocking",
    "vibrator",
    "relay",
];

/// `L1: 10H 350R`.
pub(in crate::netlist) fn inductor(values: &mut Values<'_, '_>) -> PartKind {
    take_purposes(values);
    // Only its resistance matters to direct current: `L2: coil 1000R` will do.
    let both = values
        .items
        .iter()
        .filter(|item| item.kind == ItemKind::Value);
    let reads = |unit| move |item: &&Item<'_>| Figure::parse(item.text, unit).is_ok();
    let says_henries = both.clone().any(|item| {
        reads(Unit::Henry)(&item) && !reads(Unit::Ohm)(&item) || item.text.parse::<f64>().is_ok()
    });
    let says_ohms = both.clone().any(|item| reads(Unit::Ohm)(&item));
    let henries = match says_ohms && !says_henries {
        true => None,
        false => {
            let henries = values.need("inductance", Unit::Henry, "10H 350R");
            let help = "write it as printed, such as `10H`";
            Some(values.above_zero(henries, "an inductance", help))
        }
    };
    let ohms = values.figure("winding resistance", Unit::Ohm, Doubted::Large);
    if ohms.is_none() {
        warn_of_no_resistance(values, "350R");
    }
    PartKind::Inductor(Inductor {
        henries,
        ohms: values.zero_or_more(ohms, "a winding resistance"),
    })
}

/// `T1: transformer 26:1 280R 0.6R`.
pub(in crate::netlist) fn transformer(values: &mut Values<'_, '_>) -> PartKind {
    take_purposes(values);
    let ratio = ratio(values);
    let primary = values.figure("primary resistance", Unit::Ohm, Doubted::Large);
    let secondary = values.figure("secondary resistance", Unit::Ohm, Doubted::Large);
    match (&primary, &secondary) {
        (None, None) => warn_of_no_resistance(values, "280R 0.6R"),
        (Some(_), None) if !values.faulty => {
            values.lacks("secondary resistance", "26:1 280R 0.6R");
        }
        _ => {}
    }
    PartKind::Transformer(Transformer {
        ratio,
        primary_ohms: values.zero_or_more(primary, "a winding resistance"),
        secondary_ohms: values.zero_or_more(secondary, "a winding resistance"),
    })
}

fn take_purposes(values: &mut Values<'_, '_>) {
    // Those that stand there alone: a hint lists what a part's line usually needs.
    let stated: Vec<&'static str> = PURPOSES
        .into_iter()
        .filter(|word| values.says(word))
        .collect();
    for word in stated {
        values.flag(word);
    }
}

/// A ratio of turns beyond this, or below its inverse, is more likely one of impedances, `5000:4`, which is
/// the square of that of turns (common practice, no source).
const MOST_TURNS: f64 = 200.0;

/// Primary turns over secondary turns.
fn ratio(values: &mut Values<'_, '_>) -> f64 {
    let Some((_, item)) = values.take(|item| item.kind == ItemKind::Ratio) else {
        values.lacks("turns ratio", "transformer 26:1 280R 0.6R");
        return STAND_IN;
    };
    let (primary, secondary) = item.text.split_once(':').unwrap_or((item.text, ""));
    let turns = |text: &str| text.parse::<f64>().ok().filter(|turns| turns.is_finite());
    match (turns(primary), turns(secondary)) {
        (Some(primary), Some(secondary)) if primary > 0.0 && secondary > 0.0 => {
            let ratio = primary / secondary;
            if ratio.is_finite() && !(1.0 / MOST_TURNS..=MOST_TURNS).contains(&ratio) {
                let message = format!("{} is doubtful as a ratio of turns", item.text);
                let turns = ratio.sqrt();
                let help = match turns >= 1.0 {
                    true => format!("of two impedances take the root: `{turns:.1}:1`"),
                    false => format!("of two impedances take the root: `1:{:.1}`", 1.0 / turns),
                };
                let label = "primary turns over secondary turns";
                values.findings.doubt(&item.bytes, message, label, help);
            }
            let whole = Placed {
                value: if ratio.is_finite() { ratio } else { 0.0 },
                bytes: item.bytes,
            };
            values.above_zero(Some(whole), "a turns ratio", "write it as `26:1`")
        }
        (Some(_), Some(_)) => {
            let message = "a turns ratio must be above zero";
            values.reject(&item.bytes, message, "write it as `26:1`");
            STAND_IN
        }
        _ => {
            let message = format!("'{}' is no turns ratio", item.text);
            let help = "write primary turns, a colon, secondary turns, such as `26:1`";
            values.reject(&item.bytes, message, help);
            STAND_IN
        }
    }
}

/// Meant for a winding of which only the other values are known: zero is seldom right.
pub(in crate::netlist) fn warn_of_no_resistance(values: &mut Values<'_, '_>, example: &str) {
    if values.faulty || values.has_leftovers() || values.missing.is_some() {
        return;
    }
    let Subject { name, bytes, .. } = &values.subject;
    let message = format!("no winding resistance is stated for {name}, so zero is taken");
    let help =
        format!("measure it and write it, such as `{example}`; write `0` if it does not matter");
    values.findings.doubt(bytes, message, "no resistance", help);
}
