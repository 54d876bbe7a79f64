//! How the manual's value of a point was taken.

use reconcile::{RangeChoice, ValueStatus};

use crate::band::Band;

/// How the manual's value was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct ManualSide {
    /// Printed volts.
    pub value: f64,
    /// One unit of the last digit that it was read to, in volts.
    pub resolution: f64,
    /// The range.
    pub range: RangeChoice,
    /// Input resistance of the manual's meter on that range, in ohms.
    pub input_ohms: f64,
    /// The band that the manual allows.
    pub band: Band,
    /// Whether its tolerance is the job's default.
    pub by_default: bool,
    /// Whether it agrees with the drawing and the other values.
    pub value_status: ValueStatus,
}
