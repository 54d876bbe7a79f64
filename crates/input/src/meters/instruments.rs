//! The ohmmeter and the ammeter of a meter in `meters.toml`.
//!
//! An entry of a section comes in; the instrument or diagnostics go out.

use circuit::{Ammeter, OhmRange, Ohmmeter};
use units::Unit;

use super::accuracy;
use crate::diagnostic::Diagnostic;
use crate::settings::tree::{Entry, Section};
use crate::values::{self, Reported};

/// What to write where the counts of the display are not known.
const COUNTS: &str = "say how many the display has, in the meter's own section: `counts = 2000`";

const OHMMETER: [&str; 5] = ["volts", "resistances", "ranges", "accuracy", "red"];
const AMMETER: [&str; 3] = ["burden", "ranges", "accuracy"];

/// Reads `ohmmeter = { volts = "1.5V", resistances = ["12", "1200", "120k"] }`; a digital one lists
/// `ranges`, the largest ohms of each.
pub(super) fn ohmmeter(
    entry: &Entry<'_>,
    counts: Option<u32>,
    out: &mut Vec<Diagnostic>,
) -> Result<Ohmmeter, Reported> {
    let section = entry.needs_section(out)?;
    section.only(&OHMMETER, out);
    let full_scales = rising(&section, "ranges", Unit::Ohm, out);
    let resistances = rising(&section, "resistances", Unit::Ohm, out);
    let volts = numbers(&section, "volts", Unit::Volt, out);
    let accuracy = accuracy::stated(&section, counts.is_none(), COUNTS, out);
    let red = section.entry("red").map(|entry| red_is_minus(&entry, out));
    let (full_scales, resistances) = (full_scales?, resistances?);
    let own = match (&resistances, &full_scales) {
        (Some(own), Some(full)) if own.len() != full.len() => {
            return Err(refuse(
                entry,
                "'resistances' and 'ranges' are not equally many",
                "give each range its own resistance, or leave 'resistances' out",
                out,
            ));
        }
        (Some(own), _) | (None, Some(own)) => own,
        (None, None) => {
            return Err(refuse(
                entry,
                "an ohmmeter needs the resistances of its ranges",
                "write those at half scale, `resistances = [\"12\", \"1200\", \"120k\"]`, or of a \
                 digital meter `ranges = [\"200\", \"2k\"]`",
                out,
            ));
        }
    };
    let volts = match volts?.as_deref() {
        Some([one]) => vec![*one; own.len()],
        Some(each) if each.len() == own.len() => each.to_vec(),
        Some(_) => {
            return Err(refuse(
                entry,
                "'volts' are neither one value nor one for each range",
                "write the volts between its open leads: `volts = \"1.5V\"`",
                out,
            ));
        }
        None => {
            return Err(refuse(
                entry,
                "an ohmmeter needs its test volts",
                "write the volts between its open leads: `volts = \"1.5V\"`",
                out,
            ));
        }
    };
    let range = |place: usize| OhmRange {
        ohms: own[place],
        volts: volts[place],
        full_scale: full_scales.as_ref().map(|scales| scales[place]),
    };
    Ok(Ohmmeter {
        ranges: (0..own.len()).map(range).collect(),
        accuracy: accuracy?,
        red_is_minus: red.transpose()?.unwrap_or(false),
    })
}

/// Reads `ammeter = { burden = "250mV", ranges = ["1mA", "10mA"] }`.
pub(super) fn ammeter(
    entry: &Entry<'_>,
    counts: Option<u32>,
    out: &mut Vec<Diagnostic>,
) -> Result<Ammeter, Reported> {
    let section = entry.needs_section(out)?;
    section.only(&AMMETER, out);
    let ranges = rising(&section, "ranges", Unit::Ampere, out);
    let burden = numbers(&section, "burden", Unit::Volt, out);
    let accuracy = accuracy::stated(&section, counts.is_none(), COUNTS, out);
    match (burden?.as_deref(), ranges?) {
        (Some([burden]), Some(ranges)) => Ok(Ammeter {
            burden: *burden,
            ranges,
            accuracy: accuracy?,
        }),
        _ => Err(refuse(
            entry,
            "an ammeter needs its burden and its ranges",
            "write the volts across it at full scale: `{ burden = \"250mV\", ranges = [\"1mA\", \
             \"10mA\"] }`",
            out,
        )),
    }
}

fn refuse(entry: &Entry<'_>, message: &str, help: &str, out: &mut Vec<Diagnostic>) -> Reported {
    entry.error(message).help(help).report(out)
}

/// Numbers above zero; a single number is a list of one.
fn numbers(
    section: &Section<'_>,
    key: &str,
    unit: Unit,
    out: &mut Vec<Diagnostic>,
) -> Result<Option<Vec<f64>>, Reported> {
    let Some(entry) = section.entry(key) else {
        return Ok(None);
    };
    let list = entry.list(out)?;
    if list.is_empty() {
        return Err(refuse(&entry, "at least one is needed", "", out));
    }
    values::all(list.iter().map(|words| words.positive(unit, out))).map(Some)
}

fn rising(
    section: &Section<'_>,
    key: &str,
    unit: Unit,
    out: &mut Vec<Diagnostic>,
) -> Result<Option<Vec<f64>>, Reported> {
    let found = numbers(section, key, unit, out)?;
    let falls = |values: &Vec<f64>| values.windows(2).any(|pair| pair[0] >= pair[1]);
    match (section.entry(key), found) {
        (Some(entry), Some(values)) if falls(&values) => Err(refuse(
            &entry,
            "the ranges must rise",
            "list them from the lowest",
            out,
        )),
        (_, found) => Ok(found),
    }
}

fn red_is_minus(entry: &Entry<'_>, out: &mut Vec<Diagnostic>) -> Result<bool, Reported> {
    match entry.words(out)?.text.trim().to_lowercase().as_str() {
        "plus" | "+" | "positive" => Ok(false),
        "minus" | "-" | "\u{2212}" | "negative" => Ok(true),
        _ => Err(refuse(
            entry,
            "the red lead is `plus` or `minus`",
            "on the ohms ranges of many pointer meters it is the negative one",
            out,
        )),
    }
}
