//! Readings beside the direct volts: resistances with the power off, and alternating volts.
//!
//! Such readings and a fault come in; the logarithm of how likely they are goes out, to be added to
//! that of the volts and currents. Each is weighed by itself. That parts move it and the volts
//! together is left aside.

mod alternating;
mod ohms;
mod windings;

use circuit::{Circuit, Conditions, Job, Quantity, Setting};
use solver::PowerOff;
use translate::{Comparison, OhmsSeen};

use crate::suspects::bench_model::SizedFault;
use crate::suspects::evaluation::{Evaluated, ALIKE};
use crate::suspects::faulty::alteration;
use crate::suspects::reading::{Readings, WhyUnused};

use alternating::AcRow;
use ohms::OhmRow;

pub(crate) use ohms::CONTACT_OHMS;
pub(crate) use windings::dead_windings;

/// Share of readings that are anything, as likely at one place of the scale as at another.
const ANYTHING: f64 = 1e-3;

/// No reading is better known than this share: leads, contacts, temperature.
pub(crate) const LEAST_SHARE: f64 = 0.01;

/// Sizes at which a fault's circuit is solved, and half of their span in standard deviations.
const SIZES: usize = 9;
const SPAN: f64 = 2.5;

/// Points of the integral between them.
const POINTS: usize = 400;

/// Natural logarithms below the best by volts from where nothing rescues a fault: a share of 10⁻¹¹,
/// and what each reading may say at most, that of a reading that is anything.
const FAR_BELOW: f64 = 25.0;
const EACH_AT_MOST: f64 = 12.0;

/// A fault stands by itself where these readings are more likely with it by so much of the logarithm: by one
/// standard deviation of one reading, as for the volts.
const SPEAKS: f64 = 0.5 * ALIKE * ALIKE;

/// One reading.
enum BesideRow {
    Ohms(OhmRow),
    Alternating(Box<AcRow>),
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
pub(crate) struct BesideReadings<'a> {
    job: &'a Job,
    rows: Vec<BesideRow>,
    /// Resistances, by their places among the job's readings.
    pub(crate) ohms: Vec<usize>,
    /// Alternating volts, likewise.
    pub(crate) alternating: Vec<usize>,
}

impl<'a> BesideReadings<'a> {
    /// Those among the readings that say nothing of volts; they leave that list.
    pub(crate) fn take(job: &'a Job, comparison: &Comparison, read: &mut Readings) -> Self {
        let mut found = BesideReadings {
            job,
            rows: Vec::new(),
            ohms: Vec::new(),
            alternating: Vec::new(),
        };
        read.unused.retain(|unused| {
            let (row, list) = match unused.why {
                WhyUnused::Quantity(Quantity::Ohms) => (
                    ohms::row(job, comparison, unused.reading).map(BesideRow::Ohms),
                    &mut found.ohms,
                ),
                WhyUnused::Quantity(Quantity::AcVolts) => (
                    alternating::row(job, comparison, unused.reading)
                        .map(|row| BesideRow::Alternating(Box::new(row))),
                    &mut found.alternating,
                ),
                _ => return true,
            };
            let Some(row) = row else {
                return true;
            };
            found.rows.push(row);
            list.push(unused.reading);
            false
        });
        found
    }

    /// How many there are.
    pub(crate) fn len(&self) -> usize {
        self.rows.len()
    }

    /// Adds what they say to a trial, unless it is lost beside the best by the volts.
    pub(crate) fn weigh(&self, evaluated: &mut Evaluated, best: f64) {
        let lost = best - FAR_BELOW - EACH_AT_MOST * self.rows.len() as f64;
        if self.rows.is_empty() || evaluated.log_likelihood < lost {
            return;
        }
        // A part that has risen has not fallen: sizes stay on their side of what is written.
        let size = evaluated.sizes.first().copied().flatten();
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
        let found = self.along(&evaluated.faults, evaluated.log_size_sigma, side);
        // What hides from the volts does not hide where these speak for it.
        if evaluated.hides && found.most - self.log_likelihood(&self.seen(&[])) > SPEAKS {
            evaluated.hides = false;
        }
        evaluated.log_likelihood += found.mean;
        evaluated.log_likelihood_at_mode += found.most;
        let Some([low, mode, high]) = found.sizes else {
            return;
        };
        if let (Some((_, size)), Some(Some(told))) =
            (evaluated.faults.first_mut(), evaluated.sizes.first_mut())
        {
            *size = mode.exp();
            (told.low, told.to, told.high) = (low.exp(), mode.exp(), high.exp());
            evaluated.log_size_sigma = 0.5 * (high - low);
        }
    }

    /// Along the sizes that the volts leave open.
    fn along(&self, faults: &[SizedFault], log_size_sigma: f64, side: Side) -> Along {
        let Some((first, rest)) = faults.split_first() else {
            return Along::default();
        };
        if log_size_sigma <= 0.0 {
            let found = self.log_likelihood(&self.seen(faults));
            return Along {
                mean: found,
                most: found,
                sizes: None,
            };
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
        let (mut whole, mut most) = (0.0, f64::NEG_INFINITY);
        let mut weights = Vec::with_capacity(POINTS);
        for point in 0..POINTS {
            let at = point as f64 / (POINTS - 1) as f64;
            let size = low + (high - low) * at;
            let sigmas = (size - middle) / log_size_sigma;
            let weight = (-0.5 * sigmas * sigmas).exp();
            let log = self.log_likelihood(&between(&seen, at));
            whole += weight;
            weights.push((size, weight * log.exp()));
            most = most.max(log);
        }
        let sum: f64 = weights.iter().map(|(_, weight)| weight).sum();
        Along {
            mean: (sum / whole).max(f64::MIN_POSITIVE).ln(),
            most,
            sizes: middle_of(&weights, sum),
        }
    }

    /// What the faulty drawing reads; as in order where it has no operating point.
    fn seen(&self, faults: &[SizedFault]) -> Vec<OhmsSeen> {
        let mut solved: Vec<(&[Setting], Option<PowerOff>)> = Vec::new();
        let mut one = |row: &'_ OhmRow, settings| -> OhmsSeen {
            let known = solved.iter().position(|(own, _)| *own == settings);
            let place = known.unwrap_or_else(|| {
                solved.push((settings, without_power(&self.job.circuit, settings, faults)));
                solved.len() - 1
            });
            let off = solved[place].1.as_ref();
            off.and_then(|off| row.seen(off)).unwrap_or(row.in_order)
        };
        let each = self.rows.iter();
        each.map(|row| match row {
            BesideRow::Ohms(row) => one(row, row.settings.as_slice()),
            BesideRow::Alternating(row) => row.seen(self.job, faults),
        })
        .collect()
    }

    fn log_likelihood(&self, seen: &[OhmsSeen]) -> f64 {
        let each = self.rows.iter().zip(seen);
        each.map(|(row, seen)| match row {
            BesideRow::Ohms(row) => row.likelihood(seen).ln(),
            BesideRow::Alternating(row) => row.likelihood(seen.red).ln(),
        })
        .sum()
    }
}

/// The drawing with these faults and without power; none where it has no solution.
pub(crate) fn without_power(
    circuit: &Circuit,
    settings: &[Setting],
    faults: &[SizedFault],
) -> Option<PowerOff> {
    let altered = alteration(circuit, &conditions(settings), faults);
    let off = circuit.altered(&altered).powered_off();
    PowerOff::new(off, &altered.conditions).ok()
}

fn conditions(settings: &[Setting]) -> Conditions {
    Conditions {
        settings: settings.to_vec(),
        line_factor: 1.0,
    }
}

/// What readings say along the sizes of a fault.
#[derive(Default)]
struct Along {
    /// Logarithm of the likelihood, averaged over the sizes that the volts leave open.
    mean: f64,
    /// The same at its best.
    most: f64,
    /// Logarithms of the size: the ends of the middle 68 %, with the most probable between them.
    sizes: Option<[f64; 3]>,
}

/// The most probable of weighed sizes and the ends of the middle 68 %; none if nothing weighs.
fn middle_of(weights: &[(f64, f64)], whole: f64) -> Option<[f64; 3]> {
    if whole.is_nan() || whole <= 0.0 {
        return None;
    }
    let mode = weights.iter().max_by(|a, b| a.1.total_cmp(&b.1))?.0;
    let at = |share: f64| {
        let mut sum = 0.0;
        let mut all = weights.iter();
        let found = all.find(|(_, weight)| {
            sum += weight;
            sum >= share * whole
        });
        found.map(|(size, _)| *size)
    };
    Some([at(0.16)?, mode, at(0.84)?])
}

/// Readings between those at even steps of the size, by their logarithm.
fn between(seen: &[Vec<OhmsSeen>], at: f64) -> Vec<OhmsSeen> {
    let place = at * (seen.len() - 1) as f64;
    let low = (place.floor() as usize).min(seen.len() - 2);
    let share = place - low as f64;
    let mix = |a: f64, b: f64| match a.is_finite() && b.is_finite() {
        true => {
            let log = |value: f64| value.max(1e-6).ln();
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
