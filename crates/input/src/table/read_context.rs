//! The context of the rows of a table: the drawn circuit, the reference, the meters.
//!
//! If one of them has faults, no errors are reported for rows that only follow from those faults.

use circuit::{same_meter_name, Circuit, Commons, Meter};

use crate::diagnostic::Diagnostic;
use crate::meters::MeterNameError;
use crate::values::Reported;
use crate::words::Words;

/// The drawn circuit, as far as there is one.
#[derive(Clone, Copy)]
pub(crate) enum Drawn<'a> {
    /// The job has no netlist.
    Absent,
    /// The netlist has faults: what seems to be missing may be in a line that could not be read.
    Faulty(&'a Circuit),
    /// The netlist was read completely.
    Whole(&'a Circuit),
}

impl<'a> Drawn<'a> {
    /// The circuit, if there is one.
    pub fn circuit(self) -> Option<&'a Circuit> {
        match self {
            Drawn::Absent => None,
            Drawn::Faulty(circuit) | Drawn::Whole(circuit) => Some(circuit),
        }
    }
}

/// The meter of rows that name none: that of a manual, or one to measure with.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum DefaultMeter<M> {
    /// None was stated.
    Missing,
    /// One was stated, but could not be found, which has been reported.
    Faulty,
    Known(M),
}

/// The context in which rows are read.
pub(crate) struct ReadContext<'a> {
    pub circuit: Drawn<'a>,
    /// The netlist's file name, for messages.
    pub netlist_name: &'a str,
    /// The job's reference as written; empty if unstated.
    pub reference_name: &'a str,
    /// The node that each node is measured against, unless a row states another.
    pub commons: Commons,
    pub own_meters: &'a [Meter],
    /// Names of own meters that could not be read: a row that names one has no meter, not even a
    /// built-in class of the same name.
    pub faulty_meters: &'a [String],
    /// Whether the whole text of `meters.toml` was TOML; if not, a name may mean a meter there.
    pub meters_whole: bool,
}

impl ReadContext<'_> {
    /// The meter that words name, by the given rule.
    pub fn meter<M>(
        &self,
        words: &Words,
        find: fn(&str, &[Meter]) -> Result<M, MeterNameError>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<M, Reported> {
        if self.is_faulty(&words.text) {
            return Err(Reported);
        }
        find(&words.text, self.own_meters).map_err(|error| {
            // A meter that is not known may be in a line that could not be read.
            match matches!(error, MeterNameError::Unknown { .. }) && !self.meters_whole {
                true => Reported,
                false => words.error(&error).help(error.help()).report(out),
            }
        })
    }

    /// Whether the name is that of an own meter which could not be read.
    pub fn is_faulty(&self, name: &str) -> bool {
        self.faulty_meters
            .iter()
            .any(|faulty| same_meter_name(faulty, name))
    }

    /// Whether a meter is one of the job's own, so that its ranges are known exactly.
    pub fn is_own(&self, meter: &Meter) -> bool {
        self.own_meters.iter().any(|own| own.name == meter.name)
    }
}
