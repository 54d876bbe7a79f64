//! What the drawing says where the manual prints no value.
//!
//! A point that the manual lists and leaves blank still lies in the drawn circuit, which the manual's
//! other values have been weighed against. What a bench meter shows there, and how well that is known,
//! goes out; there is no band, for the manual allows nothing where it says nothing.

use std::sync::Arc;

use circuit::{Conditions, Meter, MeterRange, Quantity};
use reconcile::{settle_range, Expected, Outlook, Reconciled};
use solver::SolveError;

/// What one bench meter shows at a point for which the manual prints nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct Predicted {
    /// Index into [`circuit::Job::unprinted`].
    pub entry: usize,
    /// The meter's name.
    pub meter: String,
    /// The range it is read on.
    pub range: MeterRange,
    /// The meter's input resistance on that range, in ohms.
    pub input_ohms: f64,
    /// Volts it should show, by the drawing and the manual's other values.
    pub volts: f64,
    /// Standard uncertainty of those volts, the meter's own error left out.
    pub standard: f64,
    /// Volts that another healthy set of this drawing shows, and their standard deviation.
    pub another_set: (f64, f64),
}

/// The predictions for every row of direct volts without a printed value whose place is drawn, each
/// through every bench meter. A row for which the circuit finds no state has none.
pub fn unprinted(reconciled: &Arc<Reconciled>) -> Vec<Predicted> {
    let job = reconciled.job();
    let mut found = Vec::new();
    for (entry, row) in job.unprinted.iter().enumerate() {
        let Some(port) = row.port.filter(|_| row.quantity == Quantity::DcVolts) else {
            continue;
        };
        let conditions = Conditions {
            settings: row.settings.clone(),
            line_factor: job.line_factor(),
        };
        let drawn = reconciled.drawn(&conditions);
        if !drawn.is_ok_and(|drawn| !drawn.floats(port)) {
            continue;
        }
        let Ok(open) = reconciled.expected(port, &conditions, 0.0, None) else {
            continue;
        };
        for meter in &job.bench.meters {
            let through = Through {
                reconciled,
                conditions: &conditions,
                open: &open,
            };
            if let Ok(Some((range, outlook))) = through.settled(meter) {
                found.push(Predicted {
                    entry,
                    meter: meter.name.clone(),
                    range,
                    input_ohms: meter.input_ohms(range),
                    volts: outlook.volts,
                    standard: outlook.by_circuit(),
                    another_set: (outlook.another_set.volts, outlook.another_set.standard),
                });
            }
        }
    }
    found
}

/// A port, ready for any meter.
struct Through<'r> {
    reconciled: &'r Reconciled,
    conditions: &'r Conditions,
    open: &'r Expected,
}

impl Through<'_> {
    fn outlook(&self, siemens: f64) -> Result<Outlook, SolveError> {
        let port = self.open.port();
        let open = Some(self.open);
        let expected = self
            .reconciled
            .expected(port, self.conditions, siemens, open)?;
        self.reconciled.outlook(self.conditions, &expected)
    }

    /// The range that a technician ends on, and what the meter shows there; none for a meter that
    /// lists no range.
    fn settled(&self, meter: &Meter) -> Result<Option<(MeterRange, Outlook)>, SolveError> {
        let range = settle_range(meter, |range| {
            Ok(self.outlook(1.0 / meter.input_ohms(range))?.volts)
        })?;
        range
            .map(|range| Ok((range, self.outlook(1.0 / meter.input_ohms(range))?)))
            .transpose()
    }
}
