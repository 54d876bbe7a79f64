//! What the service manual prints: one entry for each test point.

use units::{Figure, Tolerance};

use crate::circuit::{Origin, Port};
use crate::meter::Meter;
use crate::setting::Setting;
use crate::signal::Signal;

/// What is measured at a point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Direct volts.
    #[default]
    DcVolts,
    /// Alternating volts.
    AcVolts,
    /// Resistance with the power off.
    Ohms,
    /// Direct current.
    DcMilliamperes,
}

impl Quantity {
    /// Every quantity.
    pub const ALL: [Quantity; 4] = [
        Quantity::DcVolts,
        Quantity::AcVolts,
        Quantity::Ohms,
        Quantity::DcMilliamperes,
    ];

    /// The name used in `manual.csv` and in reports.
    pub fn name(self) -> &'static str {
        match self {
            Quantity::DcVolts => "dc V",
            Quantity::AcVolts => "ac V",
            Quantity::Ohms => "ohm",
            Quantity::DcMilliamperes => "dc mA",
        }
    }

    /// The unit in which values are kept.
    pub fn unit(self) -> units::Unit {
        match self {
            Quantity::DcVolts | Quantity::AcVolts => units::Unit::Volt,
            Quantity::Ohms => units::Unit::Ohm,
            Quantity::DcMilliamperes => units::Unit::Ampere,
        }
    }
}

/// How the manual prints a value.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum PrintedAs {
    /// As one number.
    #[default]
    Value,
    /// As one number that it calls approximate.
    Approximate,
    /// As two limits, whose midpoint is taken as the value.
    Limits {
        /// Upper limit less lower limit, in the unit of the value.
        spread: f64,
    },
    /// As one limit, without a value.
    OneLimit,
}

/// One value printed in the manual.
#[derive(Clone, Debug, PartialEq)]
pub struct ManualEntry {
    /// The manual's own label of the point.
    pub point: String,
    /// Where the probe goes, as written.
    pub at: String,
    /// Where the other probe goes, as written or by default.
    pub against: String,
    /// The two nodes; none where the circuit round the point is not drawn.
    pub port: Option<Port>,
    /// What was measured.
    pub quantity: Quantity,
    /// The printed value.
    pub figure: Figure,
    /// How it is printed.
    pub printed_as: PrintedAs,
    /// The meter it was read with; a stand-in while `meter_unknown` is true.
    pub meter: Meter,
    /// Whether the meter it was read with is not known. While this is true, `meter` is only a
    /// stand-in, the class of 20 kΩ/V, and nothing may be carried over with it until
    /// [`Job::with_unknown_meter`](crate::Job::with_unknown_meter) has put a class in.
    pub meter_unknown: bool,
    /// Full scale of the range used, in volts, where the manual says so.
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
