//! Decibels in a cell of alternating volts: `-3 dBm`, `+4 dB`.
//!
//! A cell and the reference level that the job states come in; volts go out. The reference level is
//! never guessed: without one, the cell is refused.

use circuit::Quantity;
use units::{decimals_for, CellContent, Figure, PrintedCell, Unit};

use crate::diagnostic::Diagnostic;
use crate::values::Reported;
use crate::words::Words;

/// What 0 dB stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DecibelZero {
    /// Power in watts.
    pub watts: f64,
    /// Resistance in ohms that takes this power.
    pub ohms: f64,
}

/// How a reference level is written.
pub(crate) const ZERO_HELP: &str =
    "write in job.toml, below [as-documented]: `decibel-zero = \"1 mW in 600 ohm\"`, or \
     `\"6 mW in 500 ohm\"`";

impl DecibelZero {
    /// Volts of 0 dB: `U = √(P·R)`.
    pub fn volts(self) -> f64 {
        (self.watts * self.ohms).sqrt()
    }

    /// Reads `1 mW in 600 ohm`.
    pub(crate) fn parse(text: &str) -> Option<Self> {
        let plain = text.to_lowercase().replace(['Ω', 'ω'], "ohm");
        let (power, ohms) = plain.split_once(" in ")?;
        let milliwatts = power.trim().strip_suffix("mw")?.trim();
        let milliwatts: f64 = milliwatts.parse().ok()?;
        let ohms = ohms
            .trim()
            .trim_end_matches('s')
            .strip_suffix("ohm")?
            .trim();
        let ohms: f64 = ohms.parse().ok()?;
        let fits = milliwatts > 0.0 && ohms > 0.0 && milliwatts.is_finite() && ohms.is_finite();
        fits.then_some(DecibelZero {
            watts: milliwatts / 1000.0,
            ohms,
        })
    }
}

/// A cell of decibels.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Decibels {
    value: f64,
    resolution: f64,
    /// Whether its unit is dBm, relative to one milliwatt.
    of_a_milliwatt: bool,
}

/// Whether a text ends in `dB` or `dBm`.
pub(super) fn says_decibels(text: &str) -> bool {
    decibels(text).is_some()
}

fn decibels(text: &str) -> Option<Decibels> {
    let plain = text.trim().replace(['\u{2212}', '\u{2013}'], "-");
    let lower = plain.to_lowercase();
    let (number, of_a_milliwatt) = match lower.strip_suffix("dbm") {
        Some(number) => (number, true),
        None => (lower.strip_suffix("db")?, false),
    };
    let number = number.trim();
    let digits = number.trim_start_matches(['+', '-']);
    let fits = !digits.is_empty() && digits.chars().all(|c| c.is_ascii_digit() || c == '.');
    let value: f64 = number
        .trim_start_matches('+')
        .parse()
        .ok()
        .filter(|_| fits)?;
    let decimals = digits.split_once('.').map_or(0, |(_, behind)| behind.len());
    let resolution = 10f64.powi(-i32::try_from(decimals).ok()?);
    Some(Decibels {
        value,
        resolution,
        of_a_milliwatt,
    })
}

/// The cell in volts, if it is in decibels.
pub(super) fn in_volts(
    words: &Words,
    quantity: Quantity,
    zero: Option<DecibelZero>,
    out: &mut Vec<Diagnostic>,
) -> Option<Result<CellContent, Reported>> {
    let found = decibels(&words.text).filter(|_| quantity == Quantity::AcVolts)?;
    let mut refuse =
        |message: &str, help: &str| Some(Err(words.error(message).help(help).report(out)));
    let Some(zero) = zero else {
        return refuse("what 0 dB stands for is not stated", ZERO_HELP);
    };
    if found.of_a_milliwatt && (zero.watts - 1e-3).abs() > 1e-9 {
        return refuse(
            "dBm counts from 1 mW, and the job states another zero",
            "write `dB` if the job's zero is meant",
        );
    }
    // U = U₀·10^(dB/20); one unit δ of its last digit is U·(10^(δ/20) − 1).
    let volts = zero.volts() * 10f64.powf(found.value / 20.0);
    let digit = volts * (10f64.powf(found.resolution / 20.0) - 1.0);
    let resolution = 10f64.powi(-i32::try_from(decimals_for(digit)).unwrap_or(0));
    Some(Ok(CellContent::Value(Box::new(PrintedCell {
        figure: Figure {
            value: volts,
            unit: Unit::Volt,
            text: words.text.trim().to_owned(),
            resolution: digit.max(resolution),
        },
        bare: false,
        limits: None,
        approximate: false,
        notes: vec![format!("printed {}", words.text.trim())],
        alternating: Some(true),
        range: None,
    }))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;

    fn volts(text: &str, zero: Option<DecibelZero>) -> Option<Result<f64, Vec<Diagnostic>>> {
        let words = Words::new(SourceId(0), text, 0..text.len(), text);
        let mut out = Vec::new();
        let cell = in_volts(&words, Quantity::AcVolts, zero, &mut out)?;
        Some(match cell {
            Ok(CellContent::Value(cell)) => Ok(cell.figure.value),
            _ => Err(out),
        })
    }

    #[test]
    fn zeros_as_published() {
        // 0 dBm in 600 Ω: 0.77459 V (machineryequipmentonline.com, measurement conventional practice).
        let milliwatt = DecibelZero::parse("1 mW in 600 ohm");
        let got = volts("0 dBm", milliwatt).unwrap().unwrap();
        assert!((got - 0.774_597).abs() < 5e-7, "{got}");
        // 6 mW in 500 Ω: 1.732 V, common practice, from memory.
        let six = DecibelZero::parse("6 mW in 500 Ω");
        assert!((volts("0 dB", six).unwrap().unwrap() - 1.732_05).abs() < 5e-6);
        // +4 dBm in 600 Ω: 1.228 V, common practice, from memory.
        assert!((volts("+4 dBm", milliwatt).unwrap().unwrap() - 1.227_65).abs() < 5e-6);
        // Both reference levels are 20·log10(1.73205/0.774597) = 6.99 dB apart in volts, 7.78 dB in
        // power: own computation.
        let apart = 20.0 * (six.unwrap().volts() / milliwatt.unwrap().volts()).log10();
        assert!((apart - 6.9897).abs() < 5e-5);
        assert!((10.0 * f64::log10(6.0) - 7.7815).abs() < 5e-5);
    }

    #[test]
    fn without_a_zero_or_against_it_there_are_no_volts() {
        assert!(volts("-3 dB", None).unwrap().is_err());
        assert!(volts("-3 dBm", None).unwrap().is_err());
        assert!(volts("-3 dBm", DecibelZero::parse("6 mW in 500 ohm"))
            .unwrap()
            .is_err());
        for text in ["6.3", "dB", "-- 3 dB", "3 dBV", "1e3 dB"] {
            assert!(
                volts(text, DecibelZero::parse("1 mW in 600 ohm")).is_none(),
                "{text}"
            );
        }
        for text in ["1 mW", "0 mW in 600 ohm", "mW in ohm", "1 W in 600 ohm", ""] {
            assert_eq!(DecibelZero::parse(text), None, "{text}");
        }
    }
}
