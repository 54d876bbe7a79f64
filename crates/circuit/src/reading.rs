//! What the bench meter showed.

use units::Figure;

use crate::circuit::{Origin, Port};
use crate::meter::Meter;

/// What the meter displayed.
#[derive(Clone, Debug, PartialEq)]
pub enum Shown {
    /// A value in the unit of the quantity.
    Value(Figure),
    /// The overrange sign: more than the range holds.
    Overrange,
}

/// One reading taken on the bench.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The manual's label of the point, or the user's own.
    pub point: String,
    /// The two nodes, from the manual's row or from the reading's own `at` column.
    pub port: Option<Port>,
    /// What the meter displayed.
    pub shown: Shown,
    /// The meter used.
    pub meter: Meter,
    /// Full scale of the range used, in volts, where noted.
    pub range: Option<f64>,
    /// Which set was measured.
    pub set: String,
    /// The date as written.
    pub date: String,
    /// Free text.
    pub note: String,
    /// The row it is from.
    pub origin: Origin,
}
