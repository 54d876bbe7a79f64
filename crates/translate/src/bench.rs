//! What a meter of the bench should show at a point.

use circuit::{Circuit, ManualEntry, Meter, MeterRange};
use solver::SolveError;
use units::Figure;

use crate::anchor::Anchor;
use crate::band::Band;
use crate::budget::{bench_lines, circuit_lines, manual_lines, Budget};
use crate::point::ManualSide;
use reconcile::settle_range;

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
    /// How well a reading of it can be compared with that: what the expected value rests on, and
    /// the bench meter's own permitted error.
    pub budget: Budget,
}

/// A point of the manual, ready for any bench meter.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AnchoredPoint<'a> {
    pub(crate) circuit: &'a Circuit,
    pub(crate) entry: &'a ManualEntry,
    pub(crate) manual: &'a ManualSide,
    pub(crate) anchor: &'a Anchor,
}

/// The range that a technician ends on with a meter; none for a meter that lists no range.
///
/// # Errors
/// [`SolveError`] where the circuit finds no state with the meter on it.
pub(crate) fn own_range(anchor: &Anchor, meter: &Meter) -> Result<Option<MeterRange>, SolveError> {
    settle_range(meter, |range| anchor.carried(1.0 / meter.input_ohms(range)))
}

impl AnchoredPoint<'_> {
    /// A meter on the range that a technician ends on.
    ///
    /// # Errors
    /// As [`own_range`].
    pub(crate) fn on_own_range(&self, meter: &Meter) -> Result<Option<BenchSide>, SolveError> {
        let range = own_range(self.anchor, meter)?;
        range
            .map(|range| self.on_range(meter, range, None))
            .transpose()
    }

    /// A meter on a given range, with what it shows there if it has been read.
    ///
    /// # Errors
    /// As [`own_range`].
    pub(crate) fn on_range(
        &self,
        meter: &Meter,
        range: MeterRange,
        reading: Option<&Figure>,
    ) -> Result<BenchSide, SolveError> {
        let input_ohms = meter.input_ohms(range);
        let siemens = 1.0 / input_ohms;
        let expected = self.anchor.carried(siemens)?;
        let derivatives = self.anchor.derivatives(self.circuit, siemens)?;
        let mut lines = manual_lines(self.entry, self.manual, derivatives.by_printed);
        lines.extend(circuit_lines(self.circuit, self.entry.source, &derivatives));
        lines.extend(bench_lines(meter, range, expected, reading));
        let carried = |volts| self.anchor.carried_from(volts, siemens);
        Ok(BenchSide {
            meter: meter.name.clone(),
            range,
            input_ohms,
            expected,
            band: self.manual.band.carried(carried)?,
            budget: Budget::of(lines),
        })
    }
}
