//! Which range a reading was taken on, or would be.
//!
//! A manual that names no range leaves it open; the lowest range that holds the value is the usual
//! rule (common practice, no source), and the answer says that it was assumed.

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
pub fn choose_range(meter: &Meter, stated: Option<f64>, volts: f64) -> RangeChoice {
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

/// The range a technician ends on: from the highest down, a range at a time, as long as what the
/// meter shows fits the next lower one. The reading itself may move on the way, through the load
/// that each range puts on the point.
///
/// # Errors
/// Whatever the reading says.
pub fn settle_range<E>(
    meter: &Meter,
    reading_on: impl Fn(MeterRange) -> Result<f64, E>,
) -> Result<Option<MeterRange>, E> {
    let Some(highest) = meter.ranges.last() else {
        return Ok(None);
    };
    let mut range = *highest;
    let same_load = !meter.loads_by_range();
    let mut volts = reading_on(range)?;
    for lower in meter.ranges.iter().rev().skip(1) {
        if !lower.holds(volts) {
            break;
        }
        range = *lower;
        if !same_load {
            volts = reading_on(range)?;
        }
    }
    Ok(Some(range))
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::meter_by_name;

    #[test]
    fn a_lower_range_that_would_fit_only_by_its_own_load_is_not_used() {
        // 4.6 V behind 100 kΩ, read with 20 kΩ/V.
        let meter = meter_by_name("20k/V").unwrap();
        let reading = |range: MeterRange| {
            let ohms = 20e3 * range.full_scale;
            Ok::<f64, ()>(4.6 * ohms / (ohms + 100e3))
        };
        let range = settle_range(&meter, reading).unwrap().unwrap();
        // 4.6·200/300 = 3.067 V on 10 V does not fit on 2.5 V, though 4.6·50/150 = 1.53 V would.
        assert!((range.full_scale - 10.0).abs() < 1e-12);
    }
}
