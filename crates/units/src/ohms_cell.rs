//! A cell of a resistance chart, which may also state an open circuit.
//!
//! Text comes in; a figure or "open" goes out. What an open circuit means for a test point is not known here.

use crate::number_fault::NO_READING_WORDS;
use crate::suffix::{self, Meaning};
use crate::{Figure, Unit, ValueError};

/// The content of a cell of ohms.
#[derive(Debug, Clone, PartialEq)]
pub enum OhmsCell {
    /// No reading: `∞`, `inf`, `infinite`, `open`, `OL`.
    Open,
    /// A resistance.
    Ohms(Figure),
}

/// Reads a cell of a resistance chart.
///
/// # Errors
/// As [`Figure::parse`] where ohms are expected.
pub fn parse_ohms_cell(text: &str) -> Result<OhmsCell, ValueError> {
    if says_open(text) {
        return Ok(OhmsCell::Open);
    }
    Figure::parse(text, Unit::Ohm).map(OhmsCell::Ohms)
}

pub(crate) fn says_open(text: &str) -> bool {
    let mut words = text.split_whitespace();
    let first = words.next().unwrap_or("").to_lowercase();
    let unit = words.next();
    let unit_fits = unit.is_none_or(|word| {
        matches!(suffix::meaning(word), Meaning::Known(known) if known.unit == Some(Unit::Ohm))
    });
    NO_READING_WORDS.contains(&first.as_str()) && unit_fits && words.next().is_none()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ValueErrorKind;

    #[test]
    fn every_word_for_no_reading_is_open() {
        for text in [
            "∞", "inf", " INF ", "infinite", "Infinity", "open", "OL", "O.L.", "∞ Ω", "inf ohms",
        ] {
            assert_eq!(parse_ohms_cell(text), Ok(OhmsCell::Open), "{text}");
        }
    }

    #[test]
    fn other_cells_are_ohms_or_errors() {
        let cell = parse_ohms_cell("470K").unwrap();
        assert!(matches!(cell, OhmsCell::Ohms(figure) if figure.text == "470K"));
        let error = parse_ohms_cell("open V").unwrap_err();
        assert!(matches!(error.kind, ValueErrorKind::NoReading { .. }));
        assert!(matches!(
            parse_ohms_cell("10 V").unwrap_err().kind,
            ValueErrorKind::WrongUnit { .. }
        ));
        let volts = Figure::parse("∞", Unit::Volt).unwrap_err();
        assert_eq!(
            volts.kind,
            ValueErrorKind::NoReading {
                word: "∞".to_string()
            }
        );
    }
}
