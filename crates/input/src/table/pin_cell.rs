//! One cell of a socket chart: a printed value, alternating volts, or nothing to read.
//!
//! Words come in, a value with its quantity goes out. It knows nothing of tubes and pins.

use std::ops::Range;

use circuit::Quantity;
use units::{parse_ohms_cell, Figure, OhmsCell, Unit};

use crate::diagnostic::Diagnostic;
use crate::values::{self, Reported};
use crate::words::Words;

/// What a chart is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ChartOf {
    /// Direct volts, with alternating ones among them.
    Volts,
    /// Resistance with the power off.
    Ohms,
}

/// What a cell says.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum PinCell {
    /// No value is printed.
    Nothing,
    /// An open circuit, which has no value to carry over.
    Open,
    /// A printed value.
    Value(Quantity, Figure),
}

/// What charts print where there is nothing to read, in small letters without blanks, full stops
/// and strokes.
const NOTHING: [&str; 9] = ["", "-", "--", "–", "—", "−", "*", "nc", "ic"];

/// Endings and beginnings of alternating and of direct volts.
const ALTERNATING: [&str; 3] = ["ac", "a.c.", "~"];
const DIRECT: [&str; 2] = ["dc", "d.c."];

/// Reads a cell. `what` says which one: `column '6', row of tube 'V1'`.
pub(super) fn read_cell(
    words: &Words,
    what: &str,
    of: ChartOf,
    out: &mut Vec<Diagnostic>,
) -> Result<PinCell, Reported> {
    let plain: String = words
        .text
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '.' | '/'))
        .flat_map(char::to_lowercase)
        .collect();
    if NOTHING.contains(&plain.as_str()) {
        return Ok(PinCell::Nothing);
    }
    match of {
        ChartOf::Volts => {
            let (quantity, value) = volts(words);
            let figure = values::figure(&value, what, Unit::Volt, out)?;
            Ok(PinCell::Value(quantity, figure))
        }
        ChartOf::Ohms => {
            if parse_ohms_cell(&words.text) == Ok(OhmsCell::Open) {
                return Ok(PinCell::Open);
            }
            let figure = values::figure(words, what, Unit::Ohm, out)?;
            if figure.value < 0.0 {
                let message = format!("{what}: a resistance cannot be negative");
                out.push(Diagnostic::error(words.span.clone(), message));
                return Err(Reported);
            }
            Ok(PinCell::Value(Quantity::Ohms, figure))
        }
    }
}

/// Direct or alternating volts, and the words of their value. A cell that says `ac` and nothing
/// else is left whole, so that the whole of it is marked.
fn volts(words: &Words) -> (Quantity, Words) {
    let marks = [
        (Quantity::AcVolts, ALTERNATING.as_slice()),
        (Quantity::DcVolts, DIRECT.as_slice()),
    ];
    for (quantity, mark) in marks
        .into_iter()
        .flat_map(|(q, all)| all.iter().map(move |m| (q, m)))
    {
        if let Some(range) = without(&words.text, mark) {
            let value = words.cut(range);
            return (
                quantity,
                if value.is_blank() {
                    words.clone()
                } else {
                    value
                },
            );
        }
    }
    (Quantity::DcVolts, words.clone())
}

/// The rest of a text that ends or starts with a mark, in any letter case.
fn without(text: &str, mark: &str) -> Option<Range<usize>> {
    let rest = text.len().checked_sub(mark.len())?;
    let ends = text
        .get(rest..)
        .is_some_and(|end| end.eq_ignore_ascii_case(mark));
    if ends {
        return Some(0..rest);
    }
    let starts = text
        .get(..mark.len())
        .is_some_and(|start| start.eq_ignore_ascii_case(mark));
    starts.then_some(mark.len()..text.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;

    fn read(text: &str, of: ChartOf) -> (Result<PinCell, Reported>, Vec<Diagnostic>) {
        let words = Words::new(SourceId(0), text, 0..text.len(), text);
        let mut out = Vec::new();
        let cell = read_cell(&words, "cell", of, &mut out);
        (cell, out)
    }

    #[test]
    fn alternating_volts_are_told_in_every_usual_way() {
        for text in [
            "6.3ac", "6.3 ac", "6.3 V AC", "6.3Vac", "~6.3", "6.3~", "6.3 a.c.", "AC 6.3",
        ] {
            let Ok(PinCell::Value(quantity, figure)) = read(text, ChartOf::Volts).0 else {
                panic!("{text}")
            };
            assert_eq!((quantity, figure.value), (Quantity::AcVolts, 6.3), "{text}");
        }
        for text in ["-1.2", "−1.2", "-1.2 V", "-1.2 dc", "-1.2Vdc"] {
            let Ok(PinCell::Value(quantity, figure)) = read(text, ChartOf::Volts).0 else {
                panic!("{text}")
            };
            assert_eq!(
                (quantity, figure.value),
                (Quantity::DcVolts, -1.2),
                "{text}"
            );
        }
    }

    #[test]
    fn cells_without_a_value_and_open_circuits_are_no_values() {
        for text in ["", "NC", "N.C.", "n/c", "-", "—", "*", "IC"] {
            for of in [ChartOf::Volts, ChartOf::Ohms] {
                assert_eq!(read(text, of).0, Ok(PinCell::Nothing), "{text}");
            }
        }
        for text in ["∞", "inf", "open"] {
            assert_eq!(read(text, ChartOf::Ohms).0, Ok(PinCell::Open), "{text}");
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
