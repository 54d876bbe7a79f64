//! One reading of alternating volts.
//!
//! The reading of a faulty set is that of a set in order times what the drawing, linearised at the
//! faulty operating point, says the fault changes; it scatters as the parts and the meter let it, on
//! its logarithm, and now and then a reading is anything at all.

use circuit::{Conditions, Job, Meter, MeterRange, RowId, Setting};
use translate::{alternating_seen, Comparison, Input, OhmsSeen};

use super::{ANYTHING, LEAST_SHARE};
use crate::suspects::bench_model::SizedFault;
use crate::suspects::faulty::alteration;

/// Length of the scale in natural logarithms, from 1 mV to 1 kV.
const SCALE: f64 = 13.8;

/// Share of a reading that stands in where nothing is known of its meter's error, and of the expected
/// volts below which nothing is told from nothing (common practice, no source).
const USUAL_ERROR: f64 = 0.03;
const NOTHING: f64 = 1e-3;

/// One reading.
pub(super) struct AcRow {
    row: RowId,
    settings: Vec<Setting>,
    line_factor: f64,
    meter: Meter,
    range: MeterRange,
    /// Volts; none for an overrange.
    shown: Option<f64>,
    /// What a set in order should show.
    expected: f64,
    /// Its scatter from set to set, as a share.
    scatter: f64,
    /// Standard deviation of the meter, in volts.
    error: f64,
    /// The drawing's own reading in order.
    in_order: f64,
}

impl AcRow {
    /// What the faulty drawing reads, as on two leads of which none is red; as in order where it has
    /// no operating point.
    pub(super) fn seen(&self, job: &Job, faults: &[SizedFault]) -> OhmsSeen {
        let conditions = Conditions {
            settings: self.settings.clone(),
            line_factor: self.line_factor,
        };
        let altered = alteration(&job.circuit, &conditions, faults);
        let circuit = job.circuit.altered(&altered);
        let drawn = (&circuit, &altered.conditions);
        let seen = alternating_seen(job, self.row, drawn, (&self.meter, self.range));
        let volts = seen.ok().flatten().unwrap_or(self.in_order);
        OhmsSeen {
            red: volts,
            exchanged: volts,
        }
    }

    /// How likely what was shown is, where the faulty drawing reads so many volts.
    pub(super) fn likelihood(&self, faulty: f64) -> f64 {
        let predicted = self.expected * (faulty / self.in_order);
        let least = self.error.max(NOTHING * self.expected);
        let error = (self.error / (predicted + least)).min(1.0);
        let sigma = (self.scatter.powi(2) + error.powi(2) + LEAST_SHARE.powi(2)).sqrt();
        let log = |volts: f64| (volts + least).ln();
        let Some(shown) = self.shown else {
            let beyond = predicted > self.range.full_scale;
            let plain = if beyond { 1.0 } else { 0.0 };
            return (1.0 - ANYTHING) * plain + ANYTHING * 0.5;
        };
        let z = (log(shown) - log(predicted)) / sigma;
        let plain = (-0.5 * z * z).exp() / (sigma * std::f64::consts::TAU.sqrt());
        (1.0 - ANYTHING) * plain + ANYTHING / SCALE
    }
}

/// The reading of a job at a place of its list; none where the drawing gives its point no volts.
pub(super) fn row(job: &Job, comparison: &Comparison, reading: usize) -> Option<AcRow> {
    let taken = job.readings.get(reading)?;
    let (at, side) = comparison.readings.get(reading)?.quantity.as_ref()?;
    let row = comparison.translation.quantities.get(*at)?.row;
    let own = &side.side;
    let lines = own.budget.lines.iter();
    let meter = lines.filter(|line| {
        let own = [Input::BenchMeter, Input::ReadingRounding];
        own.contains(&line.input)
    });
    let error = meter.map(|line| line.volts().powi(2)).sum::<f64>().sqrt();
    let usual = taken.meter.with_usual_sides();
    let conditions = Conditions {
        settings: job.row(row).settings.to_vec(),
        line_factor: job.line_factor(),
    };
    let drawn = (&job.circuit, &conditions);
    let in_order = alternating_seen(job, row, drawn, (&usual, own.range)).ok()??;
    let another_set = own.another_set?;
    let found = AcRow {
        row,
        settings: conditions.settings,
        line_factor: conditions.line_factor,
        range: own.range,
        shown: match &taken.shown {
            circuit::Shown::Value(figure) => Some(figure.value.abs()),
            circuit::Shown::Overrange => None,
        },
        expected: own.expected,
        scatter: another_set.standard / own.expected,
        error: match error > 0.0 {
            true => error,
            false => USUAL_ERROR * own.expected,
        },
        in_order,
        meter: usual,
    };
    let sound = [found.expected, found.in_order, found.error].map(|v| v.is_finite() && v > 0.0);
    (sound == [true; 3] && found.scatter.is_finite()).then_some(found)
}
