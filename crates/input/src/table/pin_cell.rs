//! One cell of a socket chart: a printed value, alternating volts, or no value.
//!
//! Words come in; a value with its quantity goes out. Tubes and pins are not known here.

use circuit::{NoValue, Quantity};
use units::{parse_cell, CellContent, PrintedCell, Unit};

use crate::diagnostic::Diagnostic;
use crate::table::printed::in_words;
use crate::values::Reported;
use crate::words::Words;

/// The quantity of a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ChartOf {
    /// Direct volts; some cells may be alternating volts.
    Volts,
    /// Resistance with the power off.
    Ohms,
}

/// The content of a cell.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum PinCell {
    /// No value is printed.
    Nothing(NoValue),
    Value(Quantity, Box<PrintedCell>),
}

pub(super) fn read_cell(
    words: &Words,
    of: ChartOf,
    out: &mut Vec<Diagnostic>,
) -> Result<PinCell, Reported> {
    let unit = match of {
        ChartOf::Volts => Unit::Volt,
        ChartOf::Ohms => Unit::Ohm,
    };
    let cell = parse_cell(&words.text, unit).map_err(|error| match in_words(&words.text) {
        Some(help) => {
            let error = words.error_in(&error.span, &error.kind);
            error.help(help).report(out)
        }
        None => words.unreadable(&error, out),
    })?;
    let cell = match cell {
        CellContent::Nothing(sign) if sign.is_empty() => {
            return Ok(PinCell::Nothing(NoValue::Blank))
        }
        CellContent::Nothing(sign) => return Ok(PinCell::Nothing(NoValue::Sign(sign))),
        CellContent::Open(sign) => return Ok(PinCell::Nothing(NoValue::Open(sign))),
        CellContent::Value(cell) => cell,
    };
    match of {
        ChartOf::Volts => {
            let quantity = match cell.alternating {
                Some(true) => Quantity::AcVolts,
                Some(false) | None => Quantity::DcVolts,
            };
            Ok(PinCell::Value(quantity, cell))
        }
        ChartOf::Ohms if cell.figure.value < 0.0 => {
            Err(words.error("a resistance cannot be negative").report(out))
        }
        ChartOf::Ohms => Ok(PinCell::Value(Quantity::Ohms, cell)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;

    fn read(text: &str, of: ChartOf) -> (Result<PinCell, Reported>, Vec<Diagnostic>) {
        let words = Words::new(SourceId(0), text, 0..text.len(), text);
        let mut out = Vec::new();
        let cell = read_cell(&words, of, &mut out);
        (cell, out)
    }

    #[test]
    fn alternating_volts_are_told_in_every_usual_way() {
        for text in [
            "6.3ac", "6.3 ac", "6.3 V AC", "6.3Vac", "~6.3", "6.3~", "6.3 a.c.", "AC 6.3",
        ] {
            let Ok(PinCell::Value(quantity, cell)) = read(text, ChartOf::Volts).0 else {
                panic!("{text}")
            };
            let read = (quantity, cell.figure.value);
            assert_eq!(read, (Quantity::AcVolts, 6.3), "{text}");
        }
        for text in ["-1.2", "−1.2", "-1.2 V", "-1.2 dc", "-1.2Vdc"] {
            let Ok(PinCell::Value(quantity, cell)) = read(text, ChartOf::Volts).0 else {
                panic!("{text}")
            };
            assert_eq!(
                (quantity, cell.figure.value),
                (Quantity::DcVolts, -1.2),
                "{text}"
            );
        }
    }

    #[test]
    fn cells_without_a_value_and_open_circuits_are_no_values() {
        for text in ["", "NC", "N.C.", "n/c", "-", "—", "*", "IC"] {
            for of in [ChartOf::Volts, ChartOf::Ohms] {
                assert!(
                    matches!(read(text, of).0, Ok(PinCell::Nothing(_))),
                    "{text}"
                );
            }
        }
        for text in ["∞", "inf", "open"] {
            let open = Ok(PinCell::Nothing(NoValue::Open(text.to_owned())));
            assert_eq!(read(text, ChartOf::Ohms).0, open, "{text}");
            assert_eq!(read(text, ChartOf::Volts).0, Err(Reported), "{text}");
        }
    }

    #[test]
    fn a_fault_beside_the_mark_keeps_its_place() {
        let (cell, out) = read("~ 6,3", ChartOf::Volts);
        assert_eq!(cell, Err(Reported));
        assert_eq!(out[0].span.as_ref().unwrap().bytes, 2..5);
        let (cell, out) = read("ac", ChartOf::Volts);
        assert_eq!(cell, Err(Reported));
        assert_eq!(out[0].span.as_ref().unwrap().bytes, 0..2);
    }
}
