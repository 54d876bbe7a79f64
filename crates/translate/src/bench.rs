//! What a meter of the bench should show at a point.

use circuit::{Circuit, ManualEntry, Meter, MeterRange};
use reconcile::{settle_range, Expected, Prediction, Reconciled};
use solver::SolveError;
use units::Figure;

use crate::band::{Band, BandBasis, Healthy};
use crate::budget::{
    bench_lines, circuit_lines, manual_lines, own_lines, reconciled_lines, Budget, BudgetLine,
};
use crate::drawn_point::DrawnPoint;
use crate::manual_side::ManualSide;
use crate::point_model::PointModel;
use crate::uncertainty::too_coarse;

/// Volts by the tangent of a state tell a range where they are so many times more or less than its full scale.
/// Where a stage leaves its tangent by more, the reading itself does not belong on the range found, and the
/// range is looked for again.
const CLEARLY: f64 = 1.5;

/// One bench meter's side of a translated point.
#[derive(Clone, Debug, PartialEq)]
pub struct BenchSide {
    /// The meter's name.
    pub meter: String,
    /// The range it would be read on, or was.
    pub range: MeterRange,
    /// The meter's input resistance on that range, in ohms.
    pub input_ohms: f64,
    /// Volts it should show, by manual and drawing together.
    pub expected: f64,
    /// Weight of the printed value of this point in that, as a share: 1 if nothing else counts, 0 if only the
    /// drawing and the other values count.
    pub by_printed: f64,
    /// Standard uncertainty in volts that the printed value carried over by itself would have here, to first
    /// order; none where nothing else is known or nothing is printed.
    pub standard_alone: Option<f64>,
    /// Volts that a healthy set may show.
    pub band: Band,
    /// What set those limits.
    pub band_basis: BandBasis,
    /// What another healthy set of this drawing shows; none where nothing is drawn.
    pub another_set: Option<Prediction>,
    /// How well a reading of it can be compared with that: what the expected value rests on, and
    /// the bench meter's own permitted error.
    pub budget: Budget,
}

impl BenchSide {
    /// Whether the meter has no range for what it should show.
    pub fn is_beyond_range(&self) -> bool {
        self.expected.abs() > self.range.full_scale
    }
}

/// A point of the manual, ready for any bench meter.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ReadyPoint<'p> {
    pub(crate) circuit: &'p Circuit,
    pub(crate) entry: &'p ManualEntry,
    pub(crate) manual: &'p ManualSide,
    pub(crate) point_model: &'p PointModel,
}

/// An expected value and what it rests on.
struct Rested {
    volts: f64,
    by_printed: f64,
    standard_alone: Option<f64>,
    lines: Vec<BudgetLine>,
    healthy: Option<Healthy>,
}

impl BenchSide {
    /// Whether the printed value by itself could not judge a reading of this meter, where the
    /// drawing and the other values can.
    pub fn is_too_coarse_alone(&self) -> bool {
        let (Some(low), Some(high)) = (self.band.low, self.band.high) else {
            return false;
        };
        let half = (high - low) / 2.0;
        let alone = self.standard_alone;
        alone.is_some_and(|alone| too_coarse(half, alone))
            && !too_coarse(half, self.budget.standard)
    }
}

/// The range that a technician ends on with a meter; none for a meter that lists no range.
///
/// # Errors
/// [`SolveError`] where the circuit finds no state with the meter on it.
pub(crate) fn own_range(
    point_model: &PointModel,
    meter: &Meter,
) -> Result<Option<MeterRange>, SolveError> {
    settle_range(meter, |range| {
        point_model.shown(1.0 / meter.input_ohms(range))
    })
}

/// The same by the tangents of the point's states wherever those tell clearly enough.
fn own_range_by_tangents(
    point_model: &PointModel,
    meter: &Meter,
) -> Result<Option<MeterRange>, SolveError> {
    settle_range(meter, |range| {
        let siemens = 1.0 / meter.input_ohms(range);
        let (lower, _) = meter.neighbours(range);
        match (point_model.about(siemens), lower) {
            (Some(about), Some(lower)) if is_clear(about, lower) => Ok(about),
            _ => point_model.shown(siemens),
        }
    })
}

/// Whether it is certain that volts fit a range or do not, although they are known to a factor of [`CLEARLY`]
/// only.
fn is_clear(volts: f64, range: MeterRange) -> bool {
    let volts = volts.abs();
    volts * CLEARLY < range.full_scale || volts > CLEARLY * range.full_scale
}

/// The same side on the next range up, as often as there is one and the range does not hold what the meter
/// should show: the range was found by the circuit alone, and what the drawing may lack is in the value told.
pub(crate) fn holding<E>(
    meter: &Meter,
    mut side: Option<BenchSide>,
    on_range: impl Fn(MeterRange) -> Result<BenchSide, E>,
) -> Result<Option<BenchSide>, E> {
    while let Some(higher) = side
        .as_ref()
        .filter(|side| !side.range.holds(side.expected))
        .and_then(|side| meter.neighbours(side.range).1)
    {
        side = Some(on_range(higher)?);
    }
    Ok(side)
}

impl ReadyPoint<'_> {
    /// A meter on the range that a technician ends on: the manual's, where it loads the point as the
    /// manual's meter did.
    ///
    /// # Errors
    /// As [`own_range`].
    pub(crate) fn on_own_range(&self, meter: &Meter) -> Result<Option<BenchSide>, SolveError> {
        if let (PointModel::Drawn(point), Some(highest)) = (self.point_model, meter.ranges.last()) {
            if !meter.loads_by_range() {
                // On every range it shows the same.
                let expected = point.expected(1.0 / meter.input_ohms(*highest))?;
                let rested = self.reconciled(point, &expected)?;
                // By what is told: what the drawing may lack is in it, and may need a higher range.
                let range = settle_range(meter, |_| Ok(rested.volts))?;
                return Ok(range.map(|range| self.rested(meter, range, None, rested)));
            }
        }
        if let Some(range) = self.manual.stated_range_on(meter) {
            let side = self.on_range(meter, range, None)?;
            if range.holds(side.expected) {
                return Ok(Some(side));
            }
        }
        let Some(range) = own_range_by_tangents(self.point_model, meter)? else {
            return Ok(None);
        };
        let side = self.on_range(meter, range, None)?;
        let (lower, _) = meter.neighbours(range);
        let belongs =
            range.holds(side.expected) && !lower.is_some_and(|lower| lower.holds(side.expected));
        if belongs {
            return Ok(Some(side));
        }
        let range = own_range(self.point_model, meter)?;
        let side = range.map(|range| self.on_range(meter, range, None));
        holding(meter, side.transpose()?, |range| {
            self.on_range(meter, range, None)
        })
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
        let siemens = 1.0 / meter.input_ohms(range);
        let rested = match self.point_model {
            PointModel::Stated(anchor) => {
                let derivatives = anchor.derivatives(self.circuit, siemens)?;
                let mut lines = manual_lines(self.entry, self.manual, derivatives.by_printed);
                lines.extend(circuit_lines(self.circuit, self.entry.source, &derivatives));
                Rested {
                    volts: anchor.carried(siemens)?,
                    by_printed: 1.0,
                    standard_alone: None,
                    lines,
                    healthy: None,
                }
            }
            PointModel::Drawn(point) => self.reconciled(point, &point.expected(siemens)?)?,
        };
        Ok(self.rested(meter, range, reading, rested))
    }

    fn rested(
        &self,
        meter: &Meter,
        range: MeterRange,
        reading: Option<&Figure>,
        mut rested: Rested,
    ) -> BenchSide {
        let expected = rested.volts;
        let (band, band_basis) = self.manual.band.carried(
            (self.manual.value, expected),
            self.manual.limits_from,
            rested.healthy.as_ref(),
        );
        rested
            .lines
            .extend(bench_lines(meter, range, expected, reading));
        BenchSide {
            meter: meter.name.clone(),
            range,
            input_ohms: meter.input_ohms(range),
            expected,
            by_printed: rested.by_printed,
            standard_alone: rested.standard_alone,
            band,
            band_basis,
            another_set: rested.healthy.map(|healthy| healthy.set),
            budget: Budget::of(rested.lines),
        }
    }

    fn reconciled(&self, point: &DrawnPoint, expected: &Expected) -> Result<Rested, SolveError> {
        let posterior_reading = point.posterior_reading(expected)?;
        let ratio = point.ratio(posterior_reading.ohms);
        let reconciled: &Reconciled = &point.reconciled;
        let row = reconciled.first_entry(point.entry);
        let by_printed = row.map_or(0.0, |entry| posterior_reading.by_printed(entry));
        let mut lines = reconciled_lines(reconciled, row, &posterior_reading);
        if row.is_some() {
            lines.extend(own_lines(
                reconciled,
                point.entry,
                manual_lines(self.entry, self.manual, by_printed),
            ));
        }
        Ok(Rested {
            volts: posterior_reading.volts,
            by_printed: (by_printed / ratio).clamp(0.0, 1.0),
            standard_alone: point.standard_alone(&posterior_reading),
            lines,
            healthy: Some(Healthy {
                set: posterior_reading.another_set,
                ratio,
                worst_case_volts: reconciled.worst_case_volts(point.port),
            }),
        })
    }
}
