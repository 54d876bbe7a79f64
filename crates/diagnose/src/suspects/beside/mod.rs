//! Readings beside the direct volts: resistances with the power off, and alternating volts.
//!
//! Such readings and a fault come in; the logarithm of how likely they are goes out, to be added to
//! that of the volts and currents. Each is weighed by itself. That parts move it and the volts
//! together is left aside.

mod along;
mod alternating;
mod leaks;
mod ohms;
mod windings;

use circuit::{Circuit, Conditions, Job, Quantity, Setting};
use solver::PowerOff;
use translate::Comparison;

use crate::suspects::bench_model::SizedFault;
use crate::suspects::evaluation::{Evaluated, ALIKE};
use crate::suspects::faulty::alteration;
use crate::suspects::likely_set::leaking;
use crate::suspects::reading::{Readings, WhyUnused};

use along::{between, middle_of, Along};
use alternating::AcRow;
use ohms::{OffBoth, OhmRow, Seen};

pub(crate) use leaks::leak_scatter;
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
    /// The drawing with usual leakages where none is stated; none where every capacitor states one.
    leaking: Option<Circuit>,
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
            leaking: Some(leaking(&job.circuit)).filter(|leaking| *leaking != job.circuit),
            rows: Vec::new(),
            ohms: Vec::new(),
            alternating: Vec::new(),
        };
        read.unused.retain(|unused| {
            let (row, list) = match unused.why {
                WhyUnused::Quantity(Quantity::Ohms) => (
                    ohms::row((job, found.leaking.as_ref()), comparison, unused.reading)
                        .map(BesideRow::Ohms),
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
        let Some((_, size)) = evaluated.faults.first_mut() else {
            return;
        };
        // How far a connection is broken is told to nobody, but follows what an ohmmeter shows as well.
        *size = mode.exp();
        evaluated.log_size_sigma = 0.5 * (high - low);
        if let Some(Some(told)) = evaluated.sizes.first_mut() {
            (told.low, told.to, told.high) = (low.exp(), mode.exp(), high.exp());
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
        let seen: Vec<Vec<Seen>> = (0..SIZES)
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
    fn seen(&self, faults: &[SizedFault]) -> Vec<Seen> {
        let mut solved: Vec<(&[Setting], Option<OffBoth>)> = Vec::new();
        let mut one = |row: &'_ OhmRow, settings| -> Seen {
            let known = solved.iter().position(|(own, _)| *own == settings);
            let place = known.unwrap_or_else(|| {
                solved.push((settings, self.off(settings, faults)));
                solved.len() - 1
            });
            let off = solved[place].1.as_ref();
            off.and_then(|off| row.seen(&self.job.circuit, off))
                .unwrap_or(row.in_order)
        };
        let each = self.rows.iter();
        each.map(|row| match row {
            BesideRow::Ohms(row) => one(row, row.settings.as_slice()),
            BesideRow::Alternating(row) => Seen::of(row.seen(self.job, faults)),
        })
        .collect()
    }

    /// The faulty drawing without power.
    fn off(&self, settings: &[Setting], faults: &[SizedFault]) -> Option<OffBoth> {
        let perfect = without_power(&self.job.circuit, settings, faults)?;
        Some(match &self.leaking {
            None => OffBoth {
                leaking: perfect,
                perfect: None,
            },
            Some(leaking) => OffBoth {
                leaking: without_power(leaking, settings, faults)?,
                perfect: Some(perfect),
            },
        })
    }

    /// Resistances, by their places among the job's readings, that are further off under these faults than so many
    /// standard deviations.
    /// None where semiconductors are drawn: what a junction shows hangs on the volts of the ohmmeter, which
    /// are not known so closely.
    pub(crate) fn ohms_off(&self, faults: &[SizedFault], sigmas: f64) -> Vec<usize> {
        if self.job.circuit.has_semiconductors() {
            return Vec::new();
        }
        let seen = self.seen(faults);
        let rows = self.rows.iter().zip(&seen);
        let ohms = rows.filter_map(|(row, seen)| match row {
            BesideRow::Ohms(row) => Some((row, seen)),
            BesideRow::Alternating(_) => None,
        });
        let each = ohms.zip(&self.ohms);
        each.filter(|((row, seen), _)| row.is_off(seen, sigmas))
            .map(|(_, reading)| *reading)
            .collect()
    }

    fn log_likelihood(&self, seen: &[Seen]) -> f64 {
        let each = self.rows.iter().zip(seen);
        each.map(|(row, seen)| match row {
            BesideRow::Ohms(row) => row.likelihood(seen).ln(),
            BesideRow::Alternating(row) => row.likelihood(seen.shown.red).ln(),
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
