//! Which range a reading was taken on, or would be.
//!
//! A manual that names no range leaves it open; the lowest range that holds the value is the
//! rule of the trade (common practice, no source), and the answer says that it was assumed.

use circuit::{Meter, MeterRange};

/// A range and whether somebody stated it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RangeChoice {
    /// The range.
    pub range: MeterRange,
    /// Whether it was chosen by rule and not stated.
    pub assumed: bool,
}

/// The stated range, or the lowest that holds the volts. A meter that lists no range at all
/// reads on a range of exactly those volts.
pub(crate) fn choose_range(meter: &Meter, stated: Option<f64>, volts: f64) -> RangeChoice {
    match stated {
        Some(full_scale) => RangeChoice {
            range: meter.range(full_scale),
            assumed: false,
        },
        None => RangeChoice {
            range: meter.range_for(volts).unwrap_or(MeterRange {
                full_scale: volts.abs().max(f64::MIN_POSITIVE),
                input: None,
            }),
            assumed: true,
        },
    }
}

/// The range a technician ends on: the lowest whose own reading still fits, where the reading
/// depends on the range through the load it puts on the point.
pub(crate) fn settle_range(
    meter: &Meter,
    reading_on: impl Fn(MeterRange) -> f64,
) -> Option<(MeterRange, f64)> {
    let mut last = None;
    for range in &meter.ranges {
        let volts = reading_on(*range);
        if range.holds(volts) {
            return Some((*range, volts));
        }
        last = Some((*range, volts));
    }
    last
}
