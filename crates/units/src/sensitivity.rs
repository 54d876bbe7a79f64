//! The sensitivity of an analog meter, in ohms per volt.
//!
//! Text comes in; ohms per volt of full scale go out. The meter computes the input resistance from
//! its range.

use std::fmt;

use crate::format::exact;
use crate::scan::trim;
use crate::value_error::{ValueError, ValueErrorKind as Kind};
use crate::{Figure, Unit};

/// Ohms per volt of the range's full scale; above zero when it was parsed.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Sensitivity(pub f64);

impl Sensitivity {
    /// Reads `20k/V`, `20 kΩ/V`, `20000 ohms per volt`.
    ///
    /// # Errors
    /// [`ValueError`] for a fault in the ohms, a missing "per volt", or a number not above zero.
    pub fn parse(text: &str) -> Result<Sensitivity, ValueError> {
        // Manuals print `20,000 ohms per volt`, and it has only one meaning: no meter has 20.000
        // ohms per volt.
        if let Some(plain) = without_thousands(text) {
            return Sensitivity::parse(&plain);
        }
        let whole = trim(text, 0..text.len());
        let Some((ohms_end, volt_start)) = separator(text) else {
            let figure = Figure::parse(text, Unit::Ohm)?;
            let suggestion = Some(format!("{}/V", figure.text));
            return Err(ValueError::new(Kind::NotPerVolt { suggestion }, whole));
        };
        let figure = Figure::parse_range(text, whole.start.min(ohms_end)..ohms_end, Unit::Ohm)?;
        let volt = trim(text, volt_start..text.len());
        let word = text.get(volt.clone()).unwrap_or("").to_lowercase();
        if !["v", "volt", "volts"].contains(&word.as_str()) {
            let span = if volt.is_empty() { whole } else { volt };
            return Err(ValueError::new(Kind::NotPerVolt { suggestion: None }, span));
        }
        if figure.value <= 0.0 {
            let value = figure.value;
            return Err(ValueError::new(Kind::NotPositive { value }, whole));
        }
        Ok(Sensitivity(figure.value))
    }
}

/// The text without the commas between thousands, if it is per volt and all commas separate
/// thousands.
fn without_thousands(text: &str) -> Option<String> {
    separator(text)?;
    let number = text.trim_start();
    let token: String = number
        .chars()
        .take_while(|c| c.is_ascii_digit() || *c == ',')
        .collect();
    let rest = number.get(token.len()..)?;
    let mut groups = token.split(',');
    let first = groups.next()?;
    let thousands = (1..=3).contains(&first.len())
        && groups.clone().count() > 0
        && groups.all(|group| group == "000");
    // With a prefix after the number, the digits after the comma may be decimals.
    let prefix = rest.trim_start().starts_with(['k', 'K', 'M', 'm', 'G']);
    (thousands && !prefix).then(|| format!("{}{rest}", token.replace(',', "")))
}

/// Where the ohms end and the volt begins. ASCII folding keeps the byte positions.
fn separator(text: &str) -> Option<(usize, usize)> {
    let folded = text.to_ascii_lowercase();
    let slash = folded.find('/').map(|at| (at, at + 1));
    slash.or_else(|| folded.find(" per ").map(|at| (at, at + 5)))
}

impl fmt::Display for Sensitivity {
    /// `20 kΩ/V`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format!("{}/V", exact(self.0, Unit::Ohm)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_ways_to_write_it() {
        for text in [
            "20k/V",
            "20kΩ/V",
            "20 kΩ / V",
            "20000 ohms/volt",
            "20000 ohms per volt",
            "20K ohms Per Volt",
            "20,000/V",
            "20,000 ohms per volt",
            "20,000 ohms/volt",
            "20000Ω/V",
        ] {
            let read = Sensitivity::parse(text).map(|s| s.to_string());
            assert_eq!(read, Ok("20 kΩ/V".to_string()), "{text}");
        }
        assert_eq!(Sensitivity::parse("1k/V"), Ok(Sensitivity(1000.0)));
    }

    #[test]
    fn a_comma_that_parts_no_thousands_is_refused() {
        let error = Sensitivity::parse("20,5 ohms per volt").unwrap_err();
        assert_eq!(error.help().as_deref(), Some("write `20.5 ohms per volt`"));
        assert_eq!(error.span, 0..4);
        assert!(Sensitivity::parse("20,000k/V").is_err());
        assert!(Sensitivity::parse("20,500/V").is_err());
    }

    #[test]
    fn what_is_no_sensitivity_is_refused() {
        let bare = Sensitivity::parse("20k").unwrap_err();
        assert!(bare.help().is_some_and(|help| help.contains("`20k/V`")));
        assert_eq!(Sensitivity::parse("20k/mV").unwrap_err().span, 4..6);
        assert_eq!(Sensitivity::parse("20k/").unwrap_err().span, 0..4);
        assert_eq!(
            Sensitivity::parse("0/V").unwrap_err().kind,
            Kind::NotPositive { value: 0.0 }
        );
        assert_eq!(Sensitivity::parse("/V").unwrap_err().kind, Kind::Empty);
        let volts = Sensitivity::parse("20 V/V").unwrap_err();
        assert!(matches!(
            volts.kind,
            Kind::WrongUnit {
                found: Unit::Volt,
                ..
            }
        ));
    }
}
