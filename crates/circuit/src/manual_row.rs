//! A row of the manual, whether it prints a value or not.
//!
//! Both kinds of rows name a point, its place and how it is measured. What reads a row need not know in which
//! of a job's two lists it stands.

use units::{Figure, Tolerance};

use crate::circuit::Port;
use crate::job::Job;
use crate::left_out::{NoValue, UnprintedEntry};
use crate::manual::{ManualEntry, PrintedAs, Quantity};
use crate::meter::Meter;
use crate::setting::Setting;
use crate::signal::Signal;

/// Which row of a job's manual.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum RowId {
    /// Index into [`Job::manual`].
    Printed(usize),
    /// Index into [`Job::unprinted`]: no value, or an open circuit.
    Unprinted(usize),
}

/// What all rows have, printed or not. Units as in [`ManualEntry`].
#[derive(Clone, Copy, Debug)]
pub struct ManualRow<'a> {
    /// The manual's own label of the point.
    pub point: &'a str,
    /// Where the probe goes, as written.
    pub at: &'a str,
    /// Where the other probe goes, as written or by default.
    pub against: &'a str,
    /// The two nodes; none where the circuit round the point is not drawn.
    pub port: Option<Port>,
    /// What was measured, or would be.
    pub quantity: Quantity,
    /// Resistance seen at the point in ohms, stated instead of drawn.
    pub source: Option<f64>,
    /// Full scale of the range, in volts, where the manual says so.
    pub range: Option<f64>,
    /// Frequency and wave of an alternating value.
    pub signal: Signal,
    /// Control positions for this point.
    pub settings: &'a [Setting],
    /// Free text.
    pub note: &'a str,
    /// The meter it was read with; a stand-in while `meter_unknown` is true. None for a row without a
    /// value whose meter is not known.
    pub meter: Option<&'a Meter>,
    /// Whether the meter it was read with is not known.
    pub meter_unknown: bool,
    /// The printed value; none where no value is printed.
    pub figure: Option<&'a Figure>,
    /// How far a healthy set may differ from the printed value.
    pub tolerance: Option<&'a Tolerance>,
    /// Whether an open circuit is printed in the value's place.
    pub open: bool,
    /// Whether a single limit is printed, not a value.
    pub one_limit: bool,
    /// Whether two limits are printed in place of a value.
    pub two_limits: bool,
}

impl Job {
    /// A row of the manual. The identifier must be of this job.
    pub fn row(&self, id: RowId) -> ManualRow<'_> {
        match id {
            RowId::Printed(index) => ManualRow::from(&self.manual[index]),
            RowId::Unprinted(index) => ManualRow::from(&self.unprinted[index]),
        }
    }

    /// The first row of this label, one with a printed value before others.
    pub fn row_named(&self, point: &str) -> Option<RowId> {
        self.row_ids().find(|id| self.row(*id).point == point)
    }

    /// Every row of the manual, in its order; rows without a value stand last.
    pub fn row_ids(&self) -> impl Iterator<Item = RowId> {
        let printed = (0..self.manual.len()).map(RowId::Printed);
        printed.chain((0..self.unprinted.len()).map(RowId::Unprinted))
    }
}

/// A row with the fields that both kinds have under one name, and these.
macro_rules! row {
    ($entry:ident, $($field:ident: $value:expr),+ $(,)?) => {
        ManualRow {
            point: &$entry.point,
            at: &$entry.at,
            against: &$entry.against,
            port: $entry.port,
            quantity: $entry.quantity,
            source: $entry.source,
            range: $entry.range,
            signal: $entry.signal,
            settings: &$entry.settings,
            note: &$entry.note,
            $($field: $value),+
        }
    };
}

impl<'a> From<&'a ManualEntry> for ManualRow<'a> {
    fn from(entry: &'a ManualEntry) -> Self {
        row! { entry,
            meter: Some(&entry.meter),
            meter_unknown: entry.meter_unknown,
            figure: Some(&entry.figure),
            tolerance: entry.tolerance.as_ref(),
            open: false,
            one_limit: entry.printed_as == PrintedAs::OneLimit,
            two_limits: matches!(entry.printed_as, PrintedAs::Limits { .. }),
        }
    }
}

impl<'a> From<&'a UnprintedEntry> for ManualRow<'a> {
    fn from(entry: &'a UnprintedEntry) -> Self {
        row! { entry,
            meter: entry.meter.as_ref(),
            meter_unknown: entry.meter.is_none(),
            figure: None,
            tolerance: None,
            open: matches!(entry.value, NoValue::Open(_)),
            one_limit: false,
            two_limits: false,
        }
    }
}
