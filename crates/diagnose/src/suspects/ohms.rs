//! What readings of resistance say of a fault.
//!
//! Readings with the power off and a fault come in; the logarithm of how likely they are goes out, to
//! be added to that of the volts. The reading of a faulty set is that of a set in order times what
//! the drawing says the fault changes; it scatters as the parts and both ohmmeters let it, on its
//! logarithm, and now and then a reading is anything at all. That parts move volts and ohms together is
//! left aside.

use circuit::{Circuit, Conditions, Job, Ohmmeter, Port, Quantity, Setting};
use solver::PowerOff;
use statrs::function::erf::erfc;
use translate::{ohms_seen, Comparison, OhmsSeen};

use crate::suspects::faulty::alteration;
use crate::suspects::reading::{Readings, WhyUnused};
use crate::suspects::trial::Tried;
use crate::suspects::view::Sized;

/// Share of readings that are anything, as likely at one place of the scale as at another.
const ANYTHING: f64 = 1e-3;

/// Length of the scale in natural logarithms, from 0.1 Ω to 100 MΩ.
const SCALE: f64 = 20.7;

/// What leads and contacts add, in ohms: less is not told from nothing.
const CONTACT_OHMS: f64 = 0.3;

/// No reading is better known than this share: leads, contacts, temperature.
const LEAST_SHARE: f64 = 0.01;

/// Sizes at which a fault's circuit is solved, and half of their span in standard deviations.
const SIZES: usize = 9;
const SPAN: f64 = 2.5;

/// Points of the integral between them.
const POINTS: usize = 400;

/// One reading.
struct Row {
    port: Port,
    settings: Vec<Setting>,
    meter: Ohmmeter,
    counts: Option<u32>,
    /// Ohms; none for an overrange.
    shown: Option<f64>,
    /// What a set in order should show, red lead at the point.
    expected: f64,
    /// Its scatter from set to set, as a share.
    scatter: f64,
    /// The drawing's own reading in order.
    in_order: OhmsSeen,
}

/// Logarithms between which the size of a fault lies.
#[derive(Clone, Copy)]
struct Side {
    least: f64,
    most: f64,
}

impl Default for Side {
    fn default() -> Self {
        Side {
            least: f64::NEG_INFINITY,
            most: f64::INFINITY,
        }
    }
}

/// All of them.
pub(crate) struct OhmReadings<'a> {
    circuit: &'a Circuit,
    rows: Vec<Row>,
    /// Their places among the job's readings.
    pub(crate) readings: Vec<usize>,
}

impl<'a> OhmReadings<'a> {
    /// The readings of resistance among those that say nothing of volts; they leave that list.
    pub(crate) fn take(job: &'a Job, comparison: &Comparison, read: &mut Readings) -> Self {
        let mut found = OhmReadings {
            circuit: &job.circuit,
            rows: Vec::new(),
            readings: Vec::new(),
        };
        read.unused.retain(|unused| {
            if unused.why != WhyUnused::Quantity(Quantity::Ohms) {
                return true;
            }
            match row(job, comparison, unused.reading) {
                Some(row) => {
                    found.rows.push(row);
                    found.readings.push(unused.reading);
                    false
                }
                None => true,
            }
        });
        found
    }

    /// Adds what they say to a trial.
    pub(crate) fn weigh(&self, tried: &mut Tried) {
        if self.rows.is_empty() {
            return;
        }
        // A part that has risen has not fallen: sizes stay on their side of what is written.
        let size = tried.sizes.first().copied().flatten();
        let from = size.and_then(|size| Some((size.from.filter(|from| *from > 0.0)?, size.to)));
        let side = from.map_or(Side::default(), |(from, to)| match to > from {
            true => Side {
                least: from.ln(),
                ..Side::default()
            },
            false => Side {
                most: from.ln(),
                ..Side::default()
            },
        });
        let (mean, most) = self.along(&tried.faults, tried.log_size_sigma, side);
        tried.log_likelihood += mean;
        tried.log_likelihood_at_mode += most;
    }

    /// Logarithm of the likelihood, averaged over the sizes that the volts leave open, and at its
    /// best.
    fn along(&self, faults: &[Sized], log_size_sigma: f64, side: Side) -> (f64, f64) {
        let Some((first, rest)) = faults.split_first() else {
            return (0.0, 0.0);
        };
        if log_size_sigma <= 0.0 {
            let found = self.log_likelihood(&self.seen(faults));
            return (found, found);
        }
        let middle = first.1.ln();
        let low = (middle - SPAN * log_size_sigma).max(side.least);
        let high = (middle + SPAN * log_size_sigma).min(side.most);
        let step = (high - low) / (SIZES - 1) as f64;
        let seen: Vec<Vec<OhmsSeen>> = (0..SIZES)
            .map(|k| {
                let log = low + step * k as f64;
                let own = std::iter::once((first.0, log.exp()));
                self.seen(&own.chain(rest.iter().copied()).collect::<Vec<_>>())
            })
            .collect();
        let (mut whole, mut sum, mut most) = (0.0, 0.0, f64::NEG_INFINITY);
        for point in 0..POINTS {
            let at = point as f64 / (POINTS - 1) as f64;
            let sigmas = (low + (high - low) * at - middle) / log_size_sigma;
            let weight = (-0.5 * sigmas * sigmas).exp();
            let log = self.log_likelihood(&between(&seen, at));
            whole += weight;
            sum += weight * log.exp();
            most = most.max(log);
        }
        ((sum / whole).max(f64::MIN_POSITIVE).ln(), most)
    }

    /// What the faulty drawing reads; as in order where it has no operating point.
    fn seen(&self, faults: &[Sized]) -> Vec<OhmsSeen> {
        let mut solved: Vec<(&[Setting], Option<PowerOff>)> = Vec::new();
        self.rows
            .iter()
            .map(|row| {
                let known = solved
                    .iter()
                    .position(|(own, _)| *own == row.settings.as_slice());
                let place = known.unwrap_or_else(|| {
                    let conditions = conditions(&row.settings);
                    let altered = alteration(self.circuit, &conditions, faults);
                    let off = self.circuit.altered(&altered).powered_off();
                    let off = PowerOff::new(off, &altered.conditions).ok();
                    solved.push((&row.settings, off));
                    solved.len() - 1
                });
                let off = solved[place].1.as_ref();
                let seen = off.and_then(|off| ohms_seen(off, row.port, &row.meter).ok().flatten());
                seen.unwrap_or(row.in_order)
            })
            .collect()
    }

    fn log_likelihood(&self, seen: &[OhmsSeen]) -> f64 {
        let each = self.rows.iter().zip(seen);
        each.map(|(row, seen)| row.likelihood(seen).ln()).sum()
    }
}

impl Row {
    /// Nobody notes which lead was where: either way round is as likely.
    fn likelihood(&self, seen: &OhmsSeen) -> f64 {
        let red = self.density(self.predicted(seen.red, self.in_order.red));
        let ratio = self.expected / self.in_order.red;
        let turned = match ratio.is_finite() && ratio > 0.0 {
            true => seen.exchanged * ratio,
            false => seen.exchanged,
        };
        let plain = 0.5 * (red + self.density(turned));
        let anything = match self.shown {
            Some(_) => 1.0 / SCALE,
            None => 0.5,
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

    /// Density of what was shown on the logarithm of ohms; of an overrange its probability.
    fn density(&self, ohms: f64) -> f64 {
        let most = self.meter.most();
        let Some(shown) = self.shown else {
            return match ohms < most * 1e3 {
                true => {
                    let away = (most / ohms.max(CONTACT_OHMS)).ln();
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
fn row(job: &Job, comparison: &Comparison, reading: usize) -> Option<Row> {
    let taken = job.readings.get(reading)?;
    let (at, side) = comparison.readings.get(reading)?.quantity.as_ref()?;
    let point = comparison.translation.quantities.get(*at)?;
    let settings = point.row.settings(job).to_vec();
    let port = taken.port?;
    let usual = taken.meter.with_usual_sides();
    let meter = usual.ohmmeter?;
    let off = PowerOff::new(job.circuit.powered_off(), &conditions(&settings)).ok()?;
    let in_order = ohms_seen(&off, port, &meter).ok()??;
    let expected = side.side.expected;
    let scatter = side
        .side
        .another_set
        .map_or(0.0, |set| set.standard / expected);
    Some(Row {
        port,
        settings,
        counts: usual.counts,
        meter,
        shown: match &taken.shown {
            circuit::Shown::Value(figure) => Some(figure.value),
            circuit::Shown::Overrange => None,
        },
        expected: if expected.is_nan() {
            in_order.red
        } else {
            expected
        },
        scatter: if scatter.is_finite() { scatter } else { 0.0 },
        in_order,
    })
}

fn conditions(settings: &[Setting]) -> Conditions {
    Conditions {
        settings: settings.to_vec(),
        line_factor: 1.0,
    }
}

/// Readings between those at even steps of the size, by the logarithm of ohms.
fn between(seen: &[Vec<OhmsSeen>], at: f64) -> Vec<OhmsSeen> {
    let place = at * (seen.len() - 1) as f64;
    let low = (place.floor() as usize).min(seen.len() - 2);
    let share = place - low as f64;
    let mix = |a: f64, b: f64| match a.is_finite() && b.is_finite() {
        true => {
            let log = |ohms: f64| ohms.max(1e-6).ln();
            (log(a) * (1.0 - share) + log(b) * share).exp()
        }
        false if share < 0.5 => a,
        false => b,
    };
    let pairs = seen[low].iter().zip(&seen[low + 1]);
    pairs
        .map(|(a, b)| OhmsSeen {
            red: mix(a.red, b.red),
            exchanged: mix(a.exchanged, b.exchanged),
        })
        .collect()
}
