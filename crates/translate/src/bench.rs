//! What a meter of the bench should show at a point.

use circuit::{Meter, MeterRange};
use solver::SolveError;

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

/// The range that a technician ends on.
///
/// # Errors
/// [`SolveError`] where the circuit finds no state with the meter on it.
pub(crate) fn on_own_range(
    anchor: &Anchor,
    meter: &Meter,
    documented: Band,
) -> Result<Option<BenchSide>, SolveError> {
    let reading_on = |range| anchor.carried(1.0 / meter.input_ohms(range));
    match settle_range(meter, reading_on)? {
        Some(range) => on_range(anchor, meter, range, documented).map(Some),
        None => Ok(None),
    }
}

/// A given range.
///
/// # Errors
/// As [`on_own_range`].
pub(crate) fn on_range(
    anchor: &Anchor,
    meter: &Meter,
    range: MeterRange,
    documented: Band,
) -> Result<BenchSide, SolveError> {
    let input_ohms = meter.input_ohms(range);
    Ok(BenchSide {
        meter: meter.name.clone(),
        range,
        input_ohms,
        expected: anchor.carried(1.0 / input_ohms)?,
        band: documented.carried(|volts| anchor.carried_from(volts, 1.0 / input_ohms))?,
    })
}
