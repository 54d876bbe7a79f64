//! How the manual's value of a point was taken.

use circuit::{Meter, MeterRange, Reading, Shown};
use reconcile::{choose_range, RangeChoice, ValueStatus};

use crate::band::{Band, LimitsFrom};
use crate::point::Carried;

/// Resistances closer than this share are one: rounding of a product.
const SAME_LOAD: f64 = 1e-9;

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
    /// Where that band comes from.
    pub limits_from: LimitsFrom,
    /// Whether it agrees with the drawing and the other values.
    pub value_status: ValueStatus,
}

impl ManualSide {
    /// The range that the manual states, on a meter that loads the point as the manual's did: there a
    /// reading compares with the printed one as it stands. A lower range would load the point more, to
    /// a fraction of its volts in the end. None for a meter without that range, or whose load does not
    /// depend on the range.
    pub(crate) fn stated_range_on(&self, meter: &Meter) -> Option<MeterRange> {
        if self.range.assumed || !meter.loads_by_range() {
            return None;
        }
        let full_scale = self.range.range.full_scale;
        let same = |one: f64, other: f64| (one - other).abs() <= SAME_LOAD * other.abs();
        let mut ranges = meter.ranges.iter();
        let range = ranges.find(|range| same(range.full_scale, full_scale))?;
        same(meter.input_ohms(*range), self.input_ohms).then_some(*range)
    }
}

/// The range of a reading: the stated one; the manual's on a meter that loads as the manual's did, if it
/// holds the reading; else the lowest that holds it. An overrange without a stated range is taken on the
/// range that the expected value asks for.
pub fn range_of_reading(reading: &Reading, carried: Option<&Carried>) -> RangeChoice {
    let volts = match &reading.shown {
        Shown::Value(figure) => figure.value,
        Shown::Overrange => carried.map_or(f64::INFINITY, |carried| carried.unloaded),
    };
    let manual = carried.and_then(|carried| carried.manual.stated_range_on(&reading.meter));
    match manual {
        Some(range) if reading.range.is_none() && range.holds(volts) => RangeChoice {
            range,
            assumed: true,
        },
        _ => choose_range(&reading.meter, reading.range, volts),
    }
}
