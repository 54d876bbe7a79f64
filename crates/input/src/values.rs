//! Words to values, with every fault reported at its place and with the name of the value that was
//! read.
//!
//! It knows the kinds of value that the tables and the settings share, but neither rows nor keys.

use units::{Figure, Tolerance, Unit, ValueError};

use crate::diagnostic::Diagnostic;
use crate::words::Words;

/// A value could not be read, and the reason has been reported: nothing that depends on it is
/// reported again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Reported;

/// A resistance in ohms above this is more often a misread prefix: some old sheets print M for
/// thousands.
const DOUBTFUL_OHMS: f64 = 100e6;

/// Reports a fault of a value at its place. `what` says what was being read:
/// `column 'value', row of point '3'`.
pub(crate) fn report(
    error: &ValueError,
    words: &Words,
    what: &str,
    out: &mut Vec<Diagnostic>,
) -> Reported {
    let message = format!("{what}: {}", error.kind);
    out.push(Diagnostic::error(words.part(&error.span), message).maybe_help(error.help()));
    Reported
}

/// A number with its unit.
pub(crate) fn figure(
    words: &Words,
    what: &str,
    unit: Unit,
    out: &mut Vec<Diagnostic>,
) -> Result<Figure, Reported> {
    Figure::parse(&words.text, unit).map_err(|error| report(&error, words, what, out))
}

/// A number above zero.
pub(crate) fn positive(
    words: &Words,
    what: &str,
    unit: Unit,
    out: &mut Vec<Diagnostic>,
) -> Result<f64, Reported> {
    let value = figure(words, what, unit, out)?.value;
    if value > 0.0 {
        return Ok(value);
    }
    let message = format!("{what}: this must be above zero");
    out.push(Diagnostic::error(words.span.clone(), message));
    Err(Reported)
}

/// A resistance, zero allowed.
pub(crate) fn resistance(
    words: &Words,
    what: &str,
    out: &mut Vec<Diagnostic>,
) -> Result<f64, Reported> {
    let ohms = figure(words, what, Unit::Ohm, out)?.value;
    if ohms < 0.0 {
        let message = format!("{what}: a resistance cannot be negative");
        out.push(Diagnostic::error(words.span.clone(), message));
        return Err(Reported);
    }
    if ohms > DOUBTFUL_OHMS {
        let message = format!("{what}: more than 100 MΩ is doubtful");
        out.push(
            Diagnostic::warning(words.span.clone(), message)
                .help("some old sheets print M for thousands; write `k` if that is meant"),
        );
    }
    Ok(ohms)
}

/// A tolerance of volts or of another unit.
pub(crate) fn tolerance(
    words: &Words,
    what: &str,
    unit: Unit,
    out: &mut Vec<Diagnostic>,
) -> Result<Tolerance, Reported> {
    Tolerance::parse(&words.text, unit).map_err(|error| report(&error, words, what, out))
}
