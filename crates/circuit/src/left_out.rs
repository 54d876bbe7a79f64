//! What a job's tables hold beside the rows that are worked with: rows that could not be read, and
//! rows in which the manual prints no value.
//!
//! Plain records with their places; whoever reports a job names them, so that nothing is missing
//! from a sheet without a word.

use units::Tolerance;

use crate::circuit::{Origin, Port};
use crate::manual::Quantity;
use crate::meter::Meter;
use crate::setting::Setting;
use crate::signal::Signal;

/// A row, a cell or a meter's section that could not be read. The rest of the job goes on without
/// it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOutRow {
    /// What it is, in words: `point '3'`, `the reading of point '3'`, `meter 'bench'`.
    pub what: String,
    /// The first thing wrong with it, in one sentence without a full stop.
    pub reason: String,
    /// Where it stands.
    pub origin: Origin,
}

/// What stands in the place of a value that the manual does not print.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoValue {
    /// Nothing.
    Blank,
    /// A sign that says so, as printed: `N.R.`, `n/a`, a dash.
    Sign(String),
    /// An open circuit, as printed: `∞`, `inf`.
    Open(String),
}

/// A row of the manual that names a point and prints no value for it.
#[derive(Clone, Debug, PartialEq)]
pub struct UnprintedEntry {
    /// The manual's own label of the point.
    pub point: String,
    /// Where the probe goes, as written.
    pub at: String,
    /// Where the other probe goes, as written or by default.
    pub against: String,
    /// The two nodes; none where the circuit round the point is not drawn.
    pub port: Option<Port>,
    /// What would be measured.
    pub quantity: Quantity,
    /// What stands in the value's place.
    pub value: NoValue,
    /// The meter of the row, or the manual's usual one; none where nobody knows it.
    pub meter: Option<Meter>,
    /// Full scale of the range, in volts, where the manual says so.
    pub range: Option<f64>,
    /// What a healthy set may differ; the job's default where the row has none.
    pub tolerance: Option<Tolerance>,
    /// Resistance seen at the point in ohms, stated instead of drawn.
    pub source: Option<f64>,
    /// What an alternating value is of.
    pub signal: Signal,
    /// Control positions for this point.
    pub settings: Vec<Setting>,
    /// Free text.
    pub note: String,
    /// The row it stands in.
    pub origin: Origin,
}
