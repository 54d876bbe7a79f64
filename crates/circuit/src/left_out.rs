//! What a job's tables hold besides the rows that are used: rows that could not be read, and rows
//! in which the manual prints no value.
//!
//! Plain records with their places. Every report of a job names them, so that nothing is missing
//! from a sheet without a message.

use units::Tolerance;

use crate::circuit::{Origin, Port};
use crate::manual::Quantity;
use crate::meter::Meter;
use crate::setting::Setting;
use crate::signal::Signal;

/// A row, a cell or a meter's section that could not be read. The rest of the job continues without
/// it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOutRow {
    /// What it is, in words: `point '3'`, `the reading of point '3'`, `meter 'bench'`.
    pub what: String,
    /// The first thing wrong with it, in one sentence without a full stop.
    pub reason: String,
    /// Where it is written.
    pub origin: Origin,
}

/// What is printed in place of a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoValue {
    /// Nothing.
    Blank,
    /// A sign that says so, as printed: `N.R.`, `n/a`, a dash.
    Sign(String),
    /// An open circuit, as printed: `∞`, `inf`.
    Open(String),
    /// The manual has no such row: a reading of the bench is of a place of its own.
    NotListed,
}

/// A row of the manual that names a point and prints no value for it, or one that stands for a reading of a
/// place that the manual does not have.
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
    /// What is printed in place of the value.
    pub value: NoValue,
    /// The meter of the row, or the manual's default; none where it is not known.
    pub meter: Option<Meter>,
    /// Full scale of the range, in volts, where the manual says so.
    pub range: Option<f64>,
    /// How far a healthy set may differ; the job's default where the row states none.
    pub tolerance: Option<Tolerance>,
    /// Resistance seen at the point in ohms, stated instead of drawn.
    pub source: Option<f64>,
    /// Frequency and wave of an alternating value.
    pub signal: Signal,
    /// Control positions for this point.
    pub settings: Vec<Setting>,
    /// Free text.
    pub note: String,
    /// The row it is from.
    pub origin: Origin,
}
