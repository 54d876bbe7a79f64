//! The sensitivity of an analog meter, in ohms per volt.
//!
//! Text comes in; ohms per volt of full scale go out. The input resistance that follows from a range is
//! the meter's business.

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
    /// [`ValueError`] for whatever is wrong with the ohms, a missing "per volt", or a number not above zero.
    pub fn parse(text: &str) -> Result<Sensitivity, ValueError> {
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
        ] {
            let want = if text.contains(',') {
                None
            } else {
                Some("20 kΩ/V".to_string())
            };
            assert_eq!(
                Sensitivity::parse(text).ok().map(|s| s.to_string()),
                want,
                "{text}"
            );
        }
        assert_eq!(Sensitivity::parse("1k/V"), Ok(Sensitivity(1000.0)));
    }

    #[test]
    fn a_thousands_comma_gets_the_whole_text_back() {
        let error = Sensitivity::parse("20,000 ohms per volt").unwrap_err();
        assert_eq!(error.help().as_deref(), Some("write `20000 ohms per volt`"));
        assert_eq!(error.span, 0..6);
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
