//! One reading of resistance with the power off.
//!
//! The reading of a faulty set is that of a set in order times what the drawing says the fault
//! changes; it scatters as the parts and both ohmmeters let it, on its logarithm, and now and then a
//! reading is anything at all.
//!
//! Where the manual prints a limit (`over 50 k`), a sound filter capacitor leaks as much as that allows. A
//! reading that keeps to it says no more than that, whatever the drawing has there.

use circuit::{Job, Ohmmeter, Port, RowId, Setting};
use solver::PowerOff;
use statrs::function::erf::erfc;
use translate::{ohms_seen, Band, Comparison, OhmsSeen};

use super::{conditions, ANYTHING, LEAST_SHARE};

/// Length of the scale in natural logarithms, from 0.1 Ω to 100 MΩ.
const SCALE: f64 = 20.7;

/// What leads and contacts add, in ohms: less is not told from nothing.
pub(crate) const CONTACT_OHMS: f64 = 0.3;

/// One reading.
pub(super) struct OhmRow {
    port: Port,
    pub(super) settings: Vec<Setting>,
    meter: Ohmmeter,
    counts: Option<u32>,
    /// Ohms; none for an overrange.
    shown: Option<f64>,
    /// The printed limit in ohms that is all a reading above it says, below what is drawn.
    at_least: Option<f64>,
    /// What a set in order should show, red lead at the point.
    expected: f64,
    /// Its scatter from set to set, as a share.
    scatter: f64,
    /// The drawing's own reading in order.
    pub(super) in_order: OhmsSeen,
}

impl OhmRow {
    /// What a circuit without power reads there; none where that has no operating point.
    pub(super) fn seen(&self, off: &PowerOff) -> Option<OhmsSeen> {
        ohms_seen(off, self.port, &self.meter).ok().flatten()
    }

    /// How likely what was shown is. Nobody notes which lead was where: either way round is as likely.
    pub(super) fn likelihood(&self, seen: &OhmsSeen) -> f64 {
        let red = self.density(self.predicted(seen.red, self.in_order.red));
        let ratio = self.expected / self.in_order.red;
        let turned = match ratio.is_finite() && ratio > 0.0 {
            true => seen.exchanged * ratio,
            false => seen.exchanged,
        };
        let plain = 0.5 * (red + self.density(turned));
        let anything = match (self.shown, self.at_least) {
            (Some(_), None) => 1.0 / SCALE,
            _ => 0.5,
        };
        (1.0 - ANYTHING) * plain + ANYTHING * anything
    }

    /// What a set with the fault should show: as much more or less as the drawing says.
    fn predicted(&self, faulty: f64, in_order: f64) -> f64 {
        match (in_order.is_finite() && in_order > 0.0, faulty.is_finite()) {
            (true, _) => self.expected * (faulty / in_order),
            // What the drawing lacks stays beside the fault.
            (false, true) => 1.0 / (1.0 / faulty + 1.0 / self.expected),
            (false, false) => self.expected,
        }
    }

    /// Density of what was shown on the logarithm of ohms; of an overrange and of a kept limit their
    /// probability.
    fn density(&self, ohms: f64) -> f64 {
        let most = self.meter.most();
        let (Some(shown), None) = (self.shown, self.at_least) else {
            return match ohms < most * 1e3 {
                true => {
                    let least = self.at_least.unwrap_or(most);
                    let away = (least / ohms.max(CONTACT_OHMS)).ln();
                    0.5 * erfc(away / (self.sigma(ohms) * std::f64::consts::SQRT_2))
                }
                false => 1.0,
            };
        };
        if ohms.is_nan() || ohms > most * 1e3 {
            return 0.0;
        }
        let sigma = self.sigma(ohms);
        let log = |ohms: f64| (ohms.max(0.0) + CONTACT_OHMS).ln();
        let z = (log(shown) - log(ohms)) / sigma;
        (-0.5 * z * z).exp() / (sigma * std::f64::consts::TAU.sqrt())
    }

    /// Standard deviation of a reading's logarithm.
    fn sigma(&self, ohms: f64) -> f64 {
        let range = self.meter.range_for(ohms);
        let error = range.and_then(|range| self.meter.half_width(range, ohms, self.counts));
        let error = error.unwrap_or(0.0) / 3f64.sqrt() / (ohms + CONTACT_OHMS);
        let error = if error.is_finite() {
            error.min(1.0)
        } else {
            1.0
        };
        (self.scatter.powi(2) + error.powi(2) + LEAST_SHARE.powi(2)).sqrt()
    }
}

/// The reading of a job at a place of its list; none where its point is not drawn.
pub(super) fn row(job: &Job, comparison: &Comparison, reading: usize) -> Option<OhmRow> {
    let taken = job.readings.get(reading)?;
    let (at, side) = comparison.readings.get(reading)?.quantity.as_ref()?;
    let point = comparison.translation.quantities.get(*at)?;
    let settings = job.row(point.row).settings.to_vec();
    let port = taken.port?;
    let usual = taken.meter.with_usual_sides();
    let meter = usual.ohmmeter?;
    let off = PowerOff::new(job.circuit.powered_off(), &conditions(&settings)).ok()?;
    let in_order = ohms_seen(&off, port, &meter).ok()??;
    // A reading held against the leads the other way round keeps what red at the point should show.
    let expected = match side.turned {
        true => side.exchanged.unwrap_or(f64::NAN),
        false => side.side.expected,
    };
    let shown = match &taken.shown {
        circuit::Shown::Value(figure) => Some(figure.value),
        circuit::Shown::Overrange => None,
    };
    let scatter = side
        .side
        .another_set
        .map_or(0.0, |set| set.standard / set.volts);
    Some(OhmRow {
        port,
        settings,
        counts: usual.counts,
        meter,
        shown,
        at_least: shown.and_then(|shown| kept(job, point.row, side.side.band, (shown, in_order))),
        expected: if expected.is_nan() {
            in_order.red
        } else {
            expected
        },
        scatter: if scatter.is_finite() { scatter } else { 0.0 },
        in_order,
    })
}

/// The printed lower limit that a reading keeps to, where the drawing has more: what lies between may be
/// the leakage of a sound capacitor.
fn kept(job: &Job, row: RowId, band: Band, (shown, drawn): (f64, OhmsSeen)) -> Option<f64> {
    let printed = job.row(row);
    let least = band.low.filter(|_| printed.one_limit || printed.open)?;
    let between = shown >= least && shown < drawn.red;
    (between && band.high.is_none()).then_some(least)
}
