//! The slips that would explain a doubted value.

use circuit::{Meter, MeterRange, Port};

/// A slip that would explain a doubted value.
#[derive(Clone, Debug, PartialEq)]
pub enum Explanation {
    /// It was read on another range of the same meter.
    OtherRange {
        /// That range.
        range: MeterRange,
    },
    /// It was read with a meter of another built-in class.
    OtherMeter {
        /// That class.
        meter: Box<Meter>,
        /// The range of it.
        range: MeterRange,
    },
    /// Two neighbouring digits changed places.
    SwappedDigits {
        /// What it was meant to read, in volts.
        reads_as: f64,
    },
    /// The decimal point was dropped or misplaced; by three places, the figure is in millivolts.
    DecimalPoint {
        /// What it was meant to read, in volts.
        reads_as: f64,
    },
    /// The sign is wrong, or the probes were the other way round.
    WrongSign {
        /// What it was meant to read, in volts.
        reads_as: f64,
    },
    /// It belongs to another place.
    OtherPlace {
        /// That place.
        port: Port,
        /// Indices into [`circuit::Job::manual`] of the entries that stand there.
        entries: Vec<usize>,
    },
}
