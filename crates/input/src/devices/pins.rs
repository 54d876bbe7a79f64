//! The pins of a described tube.
//!
//! A section or a list comes in; pins go out, and a diagnostic for each entry that is not an
//! electrode.

use circuit::{Pin, TubeClass};

use super::pin::{pin, Unfit};
use crate::diagnostic::Diagnostic;
use crate::netlist::letter;
use crate::settings::tree::Entry;
use crate::values::Reported;
use crate::words::Words;

/// Reads `pins = { 1 = "plate", … }`, or a list whose first entry is pin 1.
pub(super) fn read_pins(
    entry: &Entry<'_>,
    class: TubeClass,
    out: &mut Vec<Diagnostic>,
) -> Result<Vec<Pin>, Reported> {
    let mut pins: Vec<Pin> = Vec::new();
    let mut all_read = Ok(());
    for (number, words) in numbered(entry, &mut all_read, out)? {
        let what = format!("{}: pin {number}", entry.what());
        let error = |message| Diagnostic::error(words.span.clone(), message);
        if pins.iter().any(|pin| pin.number == number) {
            let message = format!("{what} stands here a second time");
            all_read = Err(error(message).report(out));
            continue;
        }
        match pin(number, &words.text, class) {
            Ok(pin) => pins.push(pin),
            Err(Unfit { message, help }) => {
                let error = error(format!("{what}: {message}"));
                all_read = Err(error.maybe_help(help).report(out));
            }
        }
    }
    all_read?;
    let lacking = class.without_pin(&pins);
    for (section, electrode) in &lacking {
        let several = class.sections_with(*electrode).len() > 1;
        let of = if several {
            format!("{electrode} {}", letter(*section))
        } else {
            electrode.to_string()
        };
        out.push(entry.error_at_key(format!("no pin leads to the {of}")));
    }
    if lacking.is_empty() {
        Ok(pins)
    } else {
        Err(Reported)
    }
}

fn numbered(
    entry: &Entry<'_>,
    all_read: &mut Result<(), Reported>,
    out: &mut Vec<Diagnostic>,
) -> Result<Vec<(u8, Words)>, Reported> {
    let Some(section) = entry.section() else {
        let numbers = 1..=u8::MAX;
        return Ok(numbers.zip(entry.list(out)?).collect());
    };
    let mut found = Vec::new();
    for own in section.entries() {
        let number = Pin::number_of(own.key.trim());
        let words = own.words(out);
        match (number, words) {
            (Some(number), Ok(words)) => found.push((number, words)),
            (Some(_), Err(Reported)) => *all_read = Err(Reported),
            (None, _) => {
                let message = format!("{}: '{}' is no pin number", entry.what(), own.key);
                let help = "write the number first: `1 = \"plate\"`";
                let error = Diagnostic::error(own.key_span.clone(), message);
                *all_read = Err(error.help(help).report(out));
            }
        }
    }
    Ok(found)
}
