//! One reading of resistance with the power off.
//!
//! The reading of a faulty set is that of a set in order times what the drawing says the fault
//! changes; it scatters as the parts and both ohmmeters let it, on its logarithm, and now and then a
//! reading is anything at all.
//!
//! Where the manual prints a limit (`over 50 k`), a sound filter capacitor leaks as much as that allows. A
//! reading that keeps to it says no more than that, whatever the drawing has there.
//!
//! Capacitors that state no leakage have a usual one here, as for the volts: a drawing that has only sound
//! filter capacitors between two places predicts megohms, known to a factor, and no open circuit.

use circuit::{Circuit, Job, Ohmmeter, Port, RowId, Setting};
use solver::PowerOff;
use statrs::function::erf::erfc;
use translate::{ohms_seen, Band, Comparison, OhmsSeen};

use super::leaks::leak_scatter;
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
    /// What the drawing reads in order with perfect capacitors where no leakage is stated, red lead at the
    /// point: what the expected value is held against.
    drawn: f64,
    /// The same with usual leakages.
    pub(super) in_order: Seen,
}

/// What a drawing shows at a row.
#[derive(Clone, Copy)]
pub(super) struct Seen {
    /// Either way round, with usual leakages; of alternating volts both are the same.
    pub(super) shown: OhmsSeen,
    /// Standard deviation of its logarithm by leakages that nobody stated.
    pub(super) leaks: f64,
    /// The same with perfect capacitors: new ones leak next to nothing.
    pub(super) perfect: OhmsSeen,
}

impl Seen {
    /// Where leakages do not matter.
    pub(super) fn of(shown: OhmsSeen) -> Self {
        Seen {
            shown,
            leaks: 0.0,
            perfect: shown,
        }
    }

    /// What may be shown, each with its spread by leakages: either way round, and with old capacitors or new ones.
    fn each(&self) -> [(f64, f64); 4] {
        [
            (self.shown.red, self.leaks),
            (self.shown.exchanged, self.leaks),
            (self.perfect.red, 0.0),
            (self.perfect.exchanged, 0.0),
        ]
    }
}

impl OhmRow {
    /// What a circuit without power reads there; none where that has no operating point.
    pub(super) fn seen(&self, drawn: &Circuit, off: &OffBoth) -> Option<Seen> {
        seen((self.port, &self.meter), drawn, off)
    }

    /// Whether what was shown is more than so many standard deviations off, either way round.
    pub(super) fn is_off(&self, seen: &Seen, sigmas: f64) -> bool {
        seen.each().into_iter().all(|(shown, leaks)| {
            let ohms = self.predicted(shown);
            let sigma = self.sigma(ohms, leaks);
            let log = |ohms: f64| (ohms.clamp(0.0, self.meter.most() * 1e3) + CONTACT_OHMS).ln();
            match (self.shown, self.at_least) {
                (Some(shown), None) => (log(shown) - log(ohms)).abs() > sigmas * sigma,
                _ => {
                    let least = self.at_least.unwrap_or(self.meter.most());
                    log(least) - log(ohms) > sigmas * sigma
                }
            }
        })
    }

    /// How likely what was shown is. Nobody notes which lead was where, or which capacitors are new: each is as
    /// likely.
    pub(super) fn likelihood(&self, seen: &Seen) -> f64 {
        let each = seen.each().into_iter();
        let each = each.map(|(shown, leaks)| self.density(self.predicted(shown), leaks));
        let plain = each.sum::<f64>() / 4.0;
        let anything = match (self.shown, self.at_least) {
            (Some(_), None) => 1.0 / SCALE,
            _ => 0.5,
        };
        (1.0 - ANYTHING) * plain + ANYTHING * anything
    }

    /// What a set with the fault should show: as much more or less as the drawing says.
    fn predicted(&self, faulty: f64) -> f64 {
        let is_told = |ohms: f64| ohms.is_finite() && ohms > 0.0;
        match (is_told(self.drawn), is_told(self.expected)) {
            (true, true) => self.expected * (faulty / self.drawn),
            // What the drawing lacks stays beside the fault.
            (false, true) => {
                let lacking = 1.0 / self.expected - 1.0 / self.in_order.shown.red;
                1.0 / (1.0 / faulty + lacking.max(0.0))
            }
            (_, false) => faulty,
        }
    }

    /// Density of what was shown on the logarithm of ohms; of an overrange and of a kept limit their
    /// probability.
    fn density(&self, ohms: f64, leaks: f64) -> f64 {
        let most = self.meter.most();
        let (Some(shown), None) = (self.shown, self.at_least) else {
            return match ohms < most * 1e3 {
                true => {
                    let least = self.at_least.unwrap_or(most);
                    let away = (least / ohms.max(CONTACT_OHMS)).ln();
                    0.5 * erfc(away / (self.sigma(ohms, leaks) * std::f64::consts::SQRT_2))
                }
                false => 1.0,
            };
        };
        if ohms.is_nan() || ohms > most * 1e3 {
            return 0.0;
        }
        let sigma = self.sigma(ohms, leaks);
        let log = |ohms: f64| (ohms.max(0.0) + CONTACT_OHMS).ln();
        let z = (log(shown) - log(ohms)) / sigma;
        (-0.5 * z * z).exp() / (sigma * std::f64::consts::TAU.sqrt())
    }

    /// Standard deviation of a reading's logarithm.
    fn sigma(&self, ohms: f64, leaks: f64) -> f64 {
        let range = self.meter.range_for(ohms);
        let error = range.and_then(|range| self.meter.half_width(range, ohms, self.counts));
        let error = error.unwrap_or(0.0) / 3f64.sqrt() / (ohms + CONTACT_OHMS);
        let error = if error.is_finite() {
            error.min(1.0)
        } else {
            1.0
        };
        (self.scatter.powi(2) + leaks.powi(2) + error.powi(2) + LEAST_SHARE.powi(2)).sqrt()
    }
}

/// A drawing without power, with usual leakages and with perfect capacitors; the second is none where every
/// capacitor states its own.
pub(super) struct OffBoth {
    pub(super) leaking: PowerOff,
    pub(super) perfect: Option<PowerOff>,
}

fn seen((port, meter): (Port, &Ohmmeter), drawn: &Circuit, off: &OffBoth) -> Option<Seen> {
    let read = |off: &PowerOff| ohms_seen(off, port, meter).ok().flatten();
    let shown = read(&off.leaking)?;
    let Some(perfect) = &off.perfect else {
        return Some(Seen::of(shown));
    };
    Some(Seen {
        shown,
        leaks: leak_scatter(drawn, &off.leaking, port, meter),
        perfect: read(perfect)?,
    })
}

/// The reading of a job at a place of its list; none where its point is not drawn.
pub(super) fn row(
    (job, leaking): (&Job, Option<&Circuit>),
    comparison: &Comparison,
    reading: usize,
) -> Option<OhmRow> {
    let taken = job.readings.get(reading)?;
    let (at, side) = comparison.readings.get(reading)?.quantity.as_ref()?;
    let point = comparison.translation.quantities.get(*at)?;
    let settings = job.row(point.row).settings.to_vec();
    let port = taken.port?;
    let usual = taken.meter.with_usual_sides();
    let meter = usual.ohmmeter?;
    let off = PowerOff::new(job.circuit.powered_off(), &conditions(&settings)).ok()?;
    let drawn = ohms_seen(&off, port, &meter).ok()??;
    let in_order = match leaking {
        None => Seen::of(drawn),
        Some(leaking) => {
            let leaking = PowerOff::new(leaking.powered_off(), &conditions(&settings)).ok()?;
            let perfect = Some(off);
            let both = OffBoth { leaking, perfect };
            seen((port, &meter), &job.circuit, &both)?
        }
    };
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
        at_least: shown.and_then(|shown| kept(job, point.row, side.side.band, (shown, drawn))),
        expected: if expected.is_nan() {
            drawn.red
        } else {
            expected
        },
        drawn: drawn.red,
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
