//! Transconductance as data sheets print it: `1.6mA/V`, `1600 umho`, `1.6 mS`.

use std::ops::Range;

use units::{Figure, Unit};

use crate::diagnostic::Diagnostic;
use crate::values::Reported;
use crate::words::Words;

/// Units without their prefixes, in lower case.
const UNITS: [&str; 4] = ["siemens", "mhos", "mho", "s"];

/// Prefixes and their factors. A capital `M` is not a prefix: sheets printed it for milli and for
/// micro.
const PREFIXES: [(&str, f64); 8] = [
    ("", 1.0),
    ("m", 1e-3),
    ("milli", 1e-3),
    ("u", 1e-6),
    ("U", 1e-6),
    ("\u{b5}", 1e-6),
    ("\u{3bc}", 1e-6),
    ("micro", 1e-6),
];

/// A transconductance above zero, in siemens.
pub(super) fn siemens(words: &Words, out: &mut Vec<Diagnostic>) -> Result<f64, Reported> {
    let text = words.text.as_str();
    let unit_at = text
        .trim_end_matches(|c: char| c.is_alphabetic() || c == '/' || c.is_whitespace())
        .len();
    let (number, unit) = text.split_at(unit_at);
    let unit: String = unit.split_whitespace().collect();
    let Some(factor) = factor(&unit) else {
        let message = match unit.as_str() {
            "" => "a transconductance needs its unit".to_owned(),
            unit => format!("'{unit}' is no unit of transconductance"),
        };
        let help = "write micromhos, milliamperes per volt or millisiemens: `1600 umho`, \
                    `1.6 mA/V`, `1.6 mS`";
        let error = words.error_in(&unit_range(text, unit_at), message);
        return Err(error.help(help).report(out));
    };
    // The unit of the place does not matter, because the number has no unit.
    let value = Figure::parse(number, Unit::Ampere)
        .map_err(|error| words.cut(0..unit_at).unreadable(&error, out))?;
    match value.value * factor {
        siemens if siemens > 0.0 => Ok(siemens),
        _ => Err(words.error("this must be above zero").report(out)),
    }
}

/// The unit without the blanks before it, or the whole if there is none.
fn unit_range(text: &str, unit_at: usize) -> Range<usize> {
    let unit = text.get(unit_at..).unwrap_or("").trim_start();
    match unit {
        "" => 0..text.len(),
        unit => text.len() - unit.len()..text.len(),
    }
}

fn factor(unit: &str) -> Option<f64> {
    if let Some((amperes, volts)) = unit.split_once('/') {
        let per_volt = ["v", "volt"].contains(&volts.to_lowercase().as_str());
        let one = Figure::parse(&format!("1{amperes}"), Unit::Ampere).ok()?;
        return (per_volt && !amperes.is_empty()).then_some(one.value);
    }
    UNITS.iter().find_map(|own| {
        let at = unit.len().checked_sub(own.len())?;
        let (prefix, name) = unit.split_at_checked(at)?;
        if !name.eq_ignore_ascii_case(own) {
            return None;
        }
        let written_out = |known: &str| known.len() > 2 && prefix.eq_ignore_ascii_case(known);
        PREFIXES
            .iter()
            .find(|(known, _)| *known == prefix || written_out(known))
            .map(|(_, factor)| *factor)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;

    fn read(text: &str) -> (Result<f64, Reported>, Vec<Diagnostic>) {
        let words = Words::new(SourceId(0), text, 0..text.len(), text);
        let mut out = Vec::new();
        let value = siemens(&words, &mut out);
        (value, out)
    }

    #[test]
    fn every_way_to_print_1600_micromhos() {
        for text in [
            "1600 umho",
            "1600umhos",
            "1600 µmho",
            "1600 Micromhos",
            "1.6mA/V",
            "1.6 mA / V",
            "1600 uA/volt",
            "1.6 mS",
            "1.6 mmho",
            "0.0016 S",
            "1.6e-3 siemens",
        ] {
            let got = read(text).0.unwrap();
            // The factor of the unit is rounded once, and the product once more.
            assert!((got - 1.6e-3).abs() <= 1e-12 * 1.6e-3, "{text}: {got}");
        }
    }

    #[test]
    fn what_is_no_transconductance_is_marked_at_its_place() {
        for (text, bytes) in [
            ("1600", 0..4),
            ("1.6 MMHO", 4..8),
            ("1.6 V", 4..5),
            ("1.6 mA", 4..6),
            ("1.6 mA/A", 4..8),
            ("x umho", 0..6),
            ("1,6 mS", 0..3),
            ("-1.6 mS", 0..7),
            ("", 0..0),
        ] {
            let (value, out) = read(text);
            assert_eq!(value, Err(Reported), "{text}");
            let span = out[0].span.clone().unwrap();
            assert_eq!(span.bytes, bytes, "{text}: {}", out[0].message);
        }
    }
}
