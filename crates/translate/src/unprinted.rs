//! What the drawing says where the manual prints no value.
//!
//! A point that the manual lists without a value is still part of the drawn circuit, which has been
//! reconciled with the manual's other values. What a bench meter shows there, and its uncertainty, go
//! out. There is no band, because the manual states no tolerance there.

use std::sync::Arc;

use circuit::{Conditions, Meter, MeterRange, Port, Quantity, Reading, Shown};
use reconcile::{settle_range, Expected, PosteriorReading, Reconciled};
use solver::SolveError;
use units::Figure;

use crate::band::{Band, BandBasis};
use crate::bench::{holding, BenchSide};
use crate::budget::{bench_lines, reconciled_lines, Budget};

/// What one bench meter shows at a point for which the manual prints nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct Predicted {
    /// Index into [`circuit::Job::unprinted`].
    pub entry: usize,
    /// The meter, what it should show and how well that is known; its band is open.
    pub side: BenchSide,
}

/// The predictions for every row of direct volts without a printed value whose place is drawn, each
/// through every bench meter. A row for which the circuit finds no state has none.
pub fn unprinted(reconciled: &Arc<Reconciled>) -> Vec<Predicted> {
    let job = reconciled.job();
    let mut found = Vec::new();
    for entry in 0..job.unprinted.len() {
        let Some(blank) = Blank::of(reconciled, entry) else {
            continue;
        };
        for meter in &job.bench.meters {
            if let Ok(Some(side)) = blank.settled(meter) {
                found.push(Predicted { entry, side });
            }
        }
    }
    found
}

/// The same for a reading of such a row, on the range it was taken on.
pub(crate) fn at_reading(
    reconciled: &Reconciled,
    reading: &Reading,
    range: MeterRange,
) -> Option<BenchSide> {
    let rows = &reconciled.job().unprinted;
    let entry = rows.iter().position(|row| row.point == reading.point)?;
    let figure = match &reading.shown {
        Shown::Value(figure) => Some(figure),
        Shown::Overrange => None,
    };
    let blank = Blank::of(reconciled, entry)?;
    blank.side(&reading.meter, range, figure).ok()
}

/// A point without a printed value, ready for any meter.
struct Blank<'r> {
    reconciled: &'r Reconciled,
    port: Port,
    conditions: Conditions,
    open: Expected,
}

impl<'r> Blank<'r> {
    fn of(reconciled: &'r Reconciled, entry: usize) -> Option<Self> {
        let job = reconciled.job();
        let row = job.unprinted.get(entry)?;
        let port = row.port.filter(|_| row.quantity == Quantity::DcVolts)?;
        let conditions = Conditions {
            settings: row.settings.clone(),
            line_factor: job.line_factor(),
        };
        if reconciled.drawn(&conditions).ok()?.floats(port) {
            return None;
        }
        let open = reconciled.expected(port, &conditions, 0.0, None).ok()?;
        Some(Blank {
            reconciled,
            port,
            conditions,
            open,
        })
    }

    fn posterior_reading(&self, siemens: f64) -> Result<PosteriorReading, SolveError> {
        let near = Some(&self.open);
        let expected = self
            .reconciled
            .expected(self.port, &self.conditions, siemens, near)?;
        self.reconciled
            .posterior_reading(&self.conditions, &expected)
    }

    fn side(
        &self,
        meter: &Meter,
        range: MeterRange,
        reading: Option<&Figure>,
    ) -> Result<BenchSide, SolveError> {
        let input_ohms = meter.input_ohms(range);
        let posterior_reading = self.posterior_reading(1.0 / input_ohms)?;
        let mut lines = reconciled_lines(self.reconciled, None, &posterior_reading);
        lines.extend(bench_lines(meter, range, posterior_reading.volts, reading));
        Ok(BenchSide {
            meter: meter.name.clone(),
            range,
            input_ohms,
            expected: posterior_reading.volts,
            by_printed: 0.0,
            standard_alone: None,
            band: Band {
                low: None,
                high: None,
            },
            band_basis: BandBasis::Drawing,
            another_set: Some(posterior_reading.another_set),
            budget: Budget::of(lines),
        })
    }

    /// On the range that a technician ends on; none for a meter that lists no range.
    fn settled(&self, meter: &Meter) -> Result<Option<BenchSide>, SolveError> {
        let range = settle_range(meter, |range| {
            let siemens = 1.0 / meter.input_ohms(range);
            self.reconciled.shown(&self.conditions, siemens, &self.open)
        })?;
        let side = range.map(|range| self.side(meter, range, None));
        holding(meter, side.transpose()?, |range| {
            self.side(meter, range, None)
        })
    }
}
