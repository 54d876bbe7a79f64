//! What a meter of the bench should show at a point.

use circuit::{Meter, MeterRange};

use crate::anchor::Anchor;
use crate::band::Band;
use crate::range_choice::settle_range;

/// One bench meter's side of a translated point.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchSide {
    /// The meter's name.
    pub meter: String,
    /// The range it would be read on, or was.
    pub range: MeterRange,
    /// The meter's input resistance on that range, in ohms.
    pub input_ohms: f64,
    /// Volts it should show.
    pub expected: f64,
    /// Volts that the manual's tolerance allows it to show.
    pub band: Band,
}

/// The lowest range that holds its own reading.
pub(crate) fn on_own_range(
    anchor: &Anchor,
    meter: &Meter,
    printed: f64,
    documented: Band,
) -> Option<BenchSide> {
    let reading_on = |range| anchor.carried(printed, 1.0 / meter.input_ohms(range));
    let (range, _) = settle_range(meter, reading_on)?;
    Some(on_range(anchor, meter, range, printed, documented))
}

/// A given range.
pub(crate) fn on_range(
    anchor: &Anchor,
    meter: &Meter,
    range: MeterRange,
    printed: f64,
    documented: Band,
) -> BenchSide {
    let input_ohms = meter.input_ohms(range);
    let carry = |volts| anchor.carried(volts, 1.0 / input_ohms);
    BenchSide {
        meter: meter.name.clone(),
        range,
        input_ohms,
        expected: carry(printed),
        band: documented.map(carry),
    }
}
