//! Where a control stands, in words: `100%`, `closed`, `6V`, `off`.
//!
//! The text of one value comes in; the value of a setting goes out, or what is wrong with it.

use std::ops::Range;

use circuit::{DeviceClass, SettingValue};
use units::{exact, parse_percent, Figure, Unit, ValueError, ValueErrorKind};

/// Why some words are no value of a control.
pub(super) struct Unfit {
    /// Where among them; none for all of them.
    pub(super) within: Option<Range<usize>>,
    /// What is wrong, in one plain sentence without a full stop.
    pub(super) message: String,
    /// What to write instead.
    pub(super) help: String,
}

impl Unfit {
    /// All of the words are wrong.
    pub(super) fn whole(message: impl Into<String>, help: impl Into<String>) -> Self {
        Unfit {
            within: None,
            message: message.into(),
            help: help.into(),
        }
    }

    /// A value that cannot be read is marked where it goes wrong.
    fn unread(error: &ValueError, example: &str) -> Self {
        Unfit {
            within: Some(error.span.clone()),
            ..Unfit::whole(
                error.to_string(),
                error.help().unwrap_or_else(|| example.to_owned()),
            )
        }
    }
}

/// That these words say nothing of a part of this kind.
pub(super) fn is_not(noun: &str, text: &str) -> String {
    let article = if noun.starts_with('i') { "an" } else { "a" };
    format!("{article} {noun} is not '{text}'")
}

/// The place of a wiper as a share of the track.
pub(super) fn turn(text: &str) -> Result<SettingValue, Unfit> {
    let example = "write a percentage, such as `40%`: 0 % is the counter-clockwise end";
    match parse_percent(text) {
        Ok(turn) if turn <= 1.0 => Ok(SettingValue::Turn(turn)),
        Ok(_) => Err(Unfit::whole(
            "a setting lies between 0 % and 100 %",
            "0 % is the counter-clockwise end, 100 % the clockwise end",
        )),
        Err(error) if error.kind == ValueErrorKind::NotANumber => {
            Err(Unfit::whole(error.to_string(), example))
        }
        Err(error) => Err(Unfit::unread(&error, example)),
    }
}

/// Whether a contact is closed.
pub(super) fn contact(noun: &str, text: &str) -> Result<SettingValue, Unfit> {
    let unfit = || Unfit::whole(is_not(noun, text), "write `open` or `closed`");
    closed(text).map(SettingValue::Closed).ok_or_else(unfit)
}

/// Volts of a supply as a multiple of those in the netlist.
pub(super) fn share(drawn: f64, text: &str) -> Result<SettingValue, Unfit> {
    match Figure::parse(text, Unit::Volt) {
        Ok(volts) if drawn != 0.0 && volts.value / drawn >= 0.0 => {
            Ok(SettingValue::Share(volts.value / drawn))
        }
        Ok(_) => Err(Unfit::whole(
            "a supply is not set to the other polarity",
            format!("the netlist gives it {}", exact(drawn, Unit::Volt)),
        )),
        Err(error) => Err(Unfit::unread(&error, "write its volts, such as `6V`")),
    }
}

/// The stable state that is meant, by whether a device conducts in it.
pub(super) fn state(noun: &str, text: &str) -> Result<SettingValue, Unfit> {
    let help = "write `on` for the state in which it conducts, `off` for the other; or `out` or `replaced`";
    let unfit = || Unfit::whole(is_not(noun, text), help);
    conducts(text).map(SettingValue::Conducts).ok_or_else(unfit)
}

/// Whether a device may be what keeps a circuit in one of two stable states.
pub(super) fn has_states(class: DeviceClass) -> bool {
    matches!(
        class,
        DeviceClass::Tube | DeviceClass::Transistor | DeviceClass::FieldEffect
    )
}

/// Whether a device conducts in the state that is meant, in the words for it.
fn conducts(text: &str) -> Option<bool> {
    match text.to_ascii_lowercase().as_str() {
        "on" | "conducting" | "conducts" => Some(true),
        "off" | "cut off" | "cut-off" | "cutoff" => Some(false),
        _ => None,
    }
}

/// Whether a contact is closed, in the words for it.
fn closed(text: &str) -> Option<bool> {
    match text.to_ascii_lowercase().as_str() {
        // A plug in a jack separates its contacts.
        "closed" | "on" | "empty" => Some(true),
        "open" | "off" | "plugged" => Some(false),
        _ => None,
    }
}
