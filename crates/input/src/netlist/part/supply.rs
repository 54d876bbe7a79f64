//! Supplies and batteries: `285V 5% source=120R line off=open`.

use circuit::{PartKind, Supply, SupplyKind, WithoutPower};
use units::{parse_ohms_cell, OhmsCell, Unit};

use crate::netlist::values::{Doubted, Values};

/// `PS1: 285V 5% source=120R line`, `BT1: 9V source=2R`.
pub(in crate::netlist) fn supply(kind: SupplyKind, values: &mut Values<'_, '_>) -> PartKind {
    let example = match kind {
        SupplyKind::Supply => "285V source=120R",
        SupplyKind::Battery => "9V source=2R",
    };
    values.flag("dc");
    // `A battery 6V`, `C battery 4.5V`, as sets of the 1920s call theirs.
    for word in ["a", "b", "c"] {
        if kind == SupplyKind::Battery && values.says(word) {
            values.flag(word);
        }
    }
    let follows_line = kind == SupplyKind::Supply && values.flag("line").is_some();
    let volts = values.need("voltage", Unit::Volt, example);
    let source = values.option("source", Unit::Ohm, Doubted::Large);
    PartKind::Supply(Supply {
        kind,
        volts: volts.map_or(0.0, |volts| volts.value),
        tolerance: values.tolerance(),
        source: values.zero_or_more(source, "a source resistance"),
        follows_line,
        off: match off(values) {
            Some(WithoutPower::Ohms(ohms)) => Some(ohms),
            Some(WithoutPower::Open) | None => None,
        },
    })
}

/// What the dead source is to an ohmmeter: `off=open`, `off=47k`.
pub(super) fn off(values: &mut Values<'_, '_>) -> Option<WithoutPower> {
    let item = values.option_item("off")?;
    if let Ok(OhmsCell::Open) = parse_ohms_cell(item.text) {
        return Some(WithoutPower::Open);
    }
    if !item.text.contains(|sign: char| sign.is_ascii_digit()) {
        let message = format!("'{}' is no state of a dead source", item.text);
        values.reject(&item.bytes, message, "write `open`, or its ohms: `47k`");
        return None;
    }
    let ohms = values.read(&item, "the value of 'off'", Unit::Ohm, Doubted::Large)?;
    let ohms = values.zero_or_more(Some(ohms), "the resistance of a dead source");
    Some(WithoutPower::Ohms(ohms))
}
