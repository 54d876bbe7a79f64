//! Words to values, with every fault reported at its place and with the name of the value that was
//! read.
//!
//! It knows the kinds of value that the tables and the settings share, but neither rows nor keys.

use std::fmt::Display;

use units::{Figure, Tolerance, Unit, ValueError};

use crate::diagnostic::Diagnostic;
use crate::nearest::did_you_mean;
use crate::words::Words;

/// A value could not be read, and the reason has been reported: nothing that depends on it is
/// reported again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Reported;

/// A resistance in ohms above this is more often a misread prefix: some old sheets print M for
/// thousands.
const DOUBTFUL_OHMS: f64 = 100e6;

/// Every value, each of them read even if one before it could not be.
pub(crate) fn all<T>(
    values: impl Iterator<Item = Result<T, Reported>>,
) -> Result<Vec<T>, Reported> {
    let read: Vec<_> = values.collect();
    read.into_iter().collect()
}

impl Words {
    /// Reports why the words are not the value that they should be.
    pub fn unreadable(&self, error: &ValueError, out: &mut Vec<Diagnostic>) -> Reported {
        let fault = self.error_in(&error.span, &error.kind);
        fault.maybe_help(error.help()).report(out)
    }

    /// Reports words that are none of those that are known here.
    pub fn unknown(
        &self,
        message: impl Display,
        known: &[&str],
        out: &mut Vec<Diagnostic>,
    ) -> Reported {
        let near = did_you_mean(&self.text, known.iter().copied());
        let help = format!("write one of: {}", known.join(", "));
        self.error(message).help(help).maybe_help(near).report(out)
    }

    /// A number with its unit.
    pub fn figure(&self, unit: Unit, out: &mut Vec<Diagnostic>) -> Result<Figure, Reported> {
        Figure::parse(&self.text, unit).map_err(|error| self.unreadable(&error, out))
    }

    /// A number above zero.
    pub fn positive(&self, unit: Unit, out: &mut Vec<Diagnostic>) -> Result<f64, Reported> {
        match self.figure(unit, out)?.value {
            value if value > 0.0 => Ok(value),
            _ => Err(self.error("this must be above zero").report(out)),
        }
    }

    /// A resistance, zero allowed.
    pub fn resistance(&self, out: &mut Vec<Diagnostic>) -> Result<f64, Reported> {
        let ohms = self.figure(Unit::Ohm, out)?.value;
        if ohms < 0.0 {
            return Err(self.error("a resistance cannot be negative").report(out));
        }
        if ohms > DOUBTFUL_OHMS {
            let warning = self.warning("more than 100 MΩ is doubtful");
            let help = "some old sheets print M for thousands; write `k` if that is meant";
            out.push(warning.help(help));
        }
        Ok(ohms)
    }

    /// A tolerance of volts or of another unit.
    pub fn tolerance(&self, unit: Unit, out: &mut Vec<Diagnostic>) -> Result<Tolerance, Reported> {
        Tolerance::parse(&self.text, unit).map_err(|error| self.unreadable(&error, out))
    }
}
