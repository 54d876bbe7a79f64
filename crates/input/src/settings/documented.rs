//! The section `as-documented` of `job.toml`: how the manual's values were read.

use units::{Tolerance, Unit};

use crate::diagnostic::Diagnostic;
use crate::table::decibel::DecibelZero;

use super::tree::Section;
use super::{name, text, volts, Named};

const KEYS: [&str; 7] = [
    "meter",
    "tolerance",
    "reference",
    "line",
    "range",
    "decibel-zero",
    "conditions",
];

/// The section `as-documented`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DocumentedSettings {
    /// The meter of every row that names none.
    pub meter: Option<Named>,
    /// The tolerance of every row that states none.
    pub tolerance: Option<Tolerance>,
    /// The node that the manual's values are measured against.
    pub reference: Option<Named>,
    /// Line volts of the manual.
    pub line: Option<f64>,
    /// Full scale in volts of the range on which all its values were read.
    pub range: Option<f64>,
    /// What 0 dB stands for in its cells of decibels.
    pub decibel_zero: Option<DecibelZero>,
    /// Conditions in the manual's words; empty if unstated.
    pub conditions: String,
}

pub(super) fn read_documented(
    section: &Section<'_>,
    out: &mut Vec<Diagnostic>,
) -> DocumentedSettings {
    section.only(&KEYS, out);
    DocumentedSettings {
        meter: name(section, "meter", out),
        // A bare number lacks its `%` too: one error says both.
        tolerance: section
            .entry("tolerance")
            .and_then(|entry| entry.number(out).ok())
            .and_then(|words| words.tolerance(Unit::Volt, out).ok()),
        reference: name(section, "reference", out),
        line: volts(section, "line", out),
        range: volts(section, "range", out),
        decibel_zero: decibel_zero(section, out),
        conditions: text(section, "conditions", out)
            .map(|words| words.text)
            .unwrap_or_default(),
    }
}

fn decibel_zero(section: &Section<'_>, out: &mut Vec<Diagnostic>) -> Option<DecibelZero> {
    let words = text(section, "decibel-zero", out)?;
    let found = DecibelZero::parse(&words.text);
    if found.is_none() {
        let help = "write a power and its ohms: `1 mW in 600 ohm`, or `6 mW in 500 ohm`";
        out.push(words.error("this is no zero of decibels").help(help));
    }
    found
}
