//! Resistors and potentiometers: `220k 10%`, `pot 500k 20% at 40%`.
//!
//! Knows what is written on them and which values they cannot have, not how they behave.

use circuit::{PartKind, Potentiometer, Resistor};
use units::Unit;

use crate::diagnostic::Diagnostic;
use crate::netlist::values::Values;

/// Where a wiper stands if nothing is said.
const MIDDLE: f64 = 0.5;

/// `R1: 220k 10%`.
pub(in crate::netlist) fn fixed(values: &mut Values<'_, '_>) -> PartKind {
    let ohms = values.need("resistance", Unit::Ohm, "220k");
    let help = "a wire is no part: give both ends one node, or write a closed switch, `S9: closed, a to b`";
    let ohms = values.above_zero(ohms, "the resistance of a resistor", help);
    values.ratings();
    PartKind::Resistor(Resistor {
        ohms,
        tolerance: values.tolerance(),
    })
}

/// `R9: pot 500k 20% at 40%`.
pub(in crate::netlist) fn potentiometer(values: &mut Values<'_, '_>) -> PartKind {
    // The share comes first: what is left of the percentages is then the tolerance.
    let faulty = values.faulty;
    let share = values.share_after("at");
    let stated = share.is_some() || values.faulty != faulty;
    let ohms = values.need("resistance", Unit::Ohm, "pot 500k at 40%");
    let help = "write the resistance from end to end";
    let ohms = values.above_zero(ohms, "the resistance of a potentiometer", help);
    values.ratings();
    let setting = match share {
        Some(share) if share.value <= 1.0 => share.value,
        Some(share) => {
            let message = "a setting lies between 0 % and 100 %".to_owned();
            let help = "0 % is the counter-clockwise end, 100 % the clockwise end";
            values.reject(&share.bytes, message, help);
            MIDDLE
        }
        None => MIDDLE,
    };
    let tolerance = values.tolerance();
    if !stated && !values.has_leftovers() {
        let subject = &values.subject;
        let span = values.findings.at(&subject.bytes);
        let message = format!(
            "no setting is stated for {}, so its wiper is put at 50 %",
            subject.name
        );
        let note = Diagnostic::note(span, message)
            .label("wiper in the middle")
            .help("write where it was set, such as `at 40%`");
        values.findings.push(note);
    }
    PartKind::Potentiometer(Potentiometer {
        ohms,
        tolerance,
        setting,
    })
}
