//! The most likely numbers, by the damped Gauss-Newton method.
//!
//! Observations linearised at the drawn circuit come in. Each step solves the linearised problem, goes
//! towards its solution as far as that lowers the sum of squares, and computes all readings again
//! there. The variances of numbers and discrepancies are estimated before each step. The fit at the
//! minimum goes out.

use std::sync::Arc;

use circuit::{Conditions, Job};
use rayon::prelude::*;
use solver::Load;

use crate::discrepancy::Discrepancies;
use crate::error::ReconcileError;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::Taken;
use crate::observation::{ModelReading, NoObservation, Observation};
use crate::prior::Prior;
use crate::reader::model_reading;
use crate::states::States;

/// Gauss-Newton steps at most. Two or three are enough for most tables.
const MOST_STEPS: usize = 6;

/// Rounds in which sizes and probabilities of discrepancies are brought to agree.
pub(crate) const ROUNDS: usize = 3;

/// A larger table gets one round for each step, and the others at the minimum; each costs the cube of
/// the number of rows.
const MANY_ROWS: usize = 400;

/// A step is shortened so often at most.
const MOST_HALVINGS: usize = 6;

/// The numbers have converged where the tangents lead none further than this share of its standard
/// deviation.
const SETTLED: f64 = 0.03;

/// No number is taken further from what is written, in its standard deviations.
const FURTHEST: f64 = 8.0;

/// The search for the most likely numbers.
#[derive(Clone)]
pub(crate) struct Descent<'s> {
    pub(crate) job: Arc<Job>,
    pub(crate) drawn: Arc<States>,
    pub(crate) taken: &'s [Taken],
    /// Each row linearised at the present numbers: its model is the value of that tangent at the written
    /// numbers and no discrepancy.
    pub(crate) rows: Vec<Observation>,
    pub(crate) prior: Prior,
    pub(crate) discrepancies: Discrepancies,
    /// Rounds in which sizes and probabilities are brought to agree at each step.
    pub(crate) rounds: usize,
}

/// How many rounds a table of so many rows is given.
pub(crate) fn rounds(rows: usize) -> usize {
    if rows > MANY_ROWS {
        1
    } else {
        ROUNDS
    }
}

/// Numbers and discrepancies.
#[derive(Clone, Debug)]
pub(crate) struct Place {
    pub(crate) numbers: Vec<f64>,
    pub(crate) ports: Vec<f64>,
}

impl Descent<'_> {
    pub(crate) fn run(&mut self) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        let (mut fit, mut jacobian) = self.fitted()?;
        let mut volts: Vec<f64> = self.rows.iter().map(|row| row.model).collect();
        for _ in 0..MOST_STEPS {
            let place = self.place();
            let aim = self.aim(&fit, &jacobian);
            let cost = self.cost(&volts, &place);
            let Some((next, seen)) = self.step(&place, &aim, cost) else {
                break;
            };
            let moved = place.farthest(&next, &self.discrepancies);
            volts = seen.iter().map(|seen| seen.model).collect();
            self.take(&next, seen);
            (fit, jacobian) = self.fitted()?;
            if moved < SETTLED {
                break;
            }
        }
        // The rounds that were left out on the way are made up at the minimum.
        self.learned((fit, jacobian), ROUNDS - self.rounds)
    }

    /// Where the numbers and discrepancies are now, measured in their present widths.
    pub(crate) fn place(&self) -> Place {
        let ports = self.discrepancies.ports.iter();
        Place {
            numbers: self.prior.at.clone(),
            ports: ports.map(|port| port.at).collect(),
        }
    }

    /// The fit by the tangents, with discrepancies as large as the table says.
    pub(crate) fn fitted(&mut self) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        self.discrepancies.seen(&self.rows);
        let fitted = self.fit()?;
        self.learned(fitted, self.rounds)
    }

    /// The same after some rounds that estimate those sizes from the table.
    fn learned(
        &mut self,
        mut fitted: (Fit, ScaledJacobian),
        rounds: usize,
    ) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        for _ in 0..rounds {
            let (fit, mut jacobian) = fitted;
            self.discrepancies.learn(&fit.inverse, &fit.weighted);
            let ratios = self.prior.learn(&jacobian, &fit);
            self.rows.par_iter_mut().for_each(|row| {
                for (slope, ratio) in row.jacobian.iter_mut().zip(&ratios) {
                    *slope *= ratio;
                }
            });
            jacobian.scale(&ratios);
            fitted = self.fit_by(jacobian)?;
        }
        Ok(fitted)
    }

    /// For each row the sizes that the discrepancy of its port may have, with their probabilities
    /// estimated from the other ports, before any step is taken.
    ///
    /// # Errors
    /// [`ReconcileError`] if the covariance of the readings cannot be inverted.
    pub(crate) fn lacking_by_the_others(&self) -> Result<Vec<Vec<(f64, f64)>>, ReconcileError> {
        let mut apart = self.clone();
        let (fit, _) = apart.fitted()?;
        let found = &apart.discrepancies;
        Ok(found.by_the_others(&fit.inverse, &fit.weighted))
    }

    pub(crate) fn fit(&self) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        let rows: Vec<&Observation> = self.rows.iter().collect();
        self.fit_by(ScaledJacobian::of(&rows))
    }

    fn fit_by(&self, jacobian: ScaledJacobian) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        let rows: Vec<&Observation> = self.rows.iter().collect();
        let fit = Fit::discrepant(&rows, &jacobian, &self.discrepancies)?;
        Ok((fit, jacobian))
    }

    /// The solution of the linearised problem.
    pub(crate) fn aim(&self, fit: &Fit, jacobian: &ScaledJacobian) -> Place {
        let mut numbers: Vec<f64> = jacobian.times(&fit.weighted).iter().copied().collect();
        numbers.resize(self.prior.numbers.len(), 0.0);
        for number in &mut numbers {
            *number = number.clamp(-FURTHEST, FURTHEST);
        }
        let mut ports = vec![0.0; self.discrepancies.ports.len()];
        // û = V δᵀS⁻¹r
        for (row, port) in self.discrepancies.of_row.iter().enumerate() {
            let variance = self.discrepancies.ports[*port].variance;
            ports[*port] += variance * self.discrepancies.effect[row] * fit.weighted[row];
        }
        Place { numbers, ports }
    }

    /// Takes a step towards an aim, shortened where it does not lower the cost or where the circuit has
    /// no state.
    fn step(&self, from: &Place, aim: &Place, cost: f64) -> Option<(Place, Vec<ModelReading>)> {
        let mut share = 1.0;
        for _ in 0..=MOST_HALVINGS {
            let next = from.towards(aim, share);
            if let Some(seen) = self.readings_at(&next) {
                let volts: Vec<f64> = seen.iter().map(|seen| seen.model).collect();
                let lower = self.cost(&volts, &next);
                // At the minimum rounding may raise the cost slightly.
                if lower <= cost + 1e-6 * (1.0 + cost) {
                    return Some((next, seen));
                }
            }
            share /= 2.0;
        }
        None
    }

    /// Reads the whole table in the circuit there; none where some row finds no state.
    pub(crate) fn readings_at(&self, place: &Place) -> Option<Vec<ModelReading>> {
        let mut prior = self.prior.clone();
        prior.move_to(place.numbers.clone());
        let states = States::varied(&self.drawn, prior.changes());
        let mut ports = self.discrepancies.ports.clone();
        for (port, at) in ports.iter_mut().zip(&place.ports) {
            port.at = *at;
        }
        read_all(&states, &self.job, self.taken, |row| {
            let port = &ports[self.discrepancies.of_row[row]];
            (port.amperes(), port.volts())
        })
    }

    /// Replaces the tangents by those at the new point.
    pub(crate) fn take(&mut self, place: &Place, seen: Vec<ModelReading>) {
        self.prior.move_to(place.numbers.clone());
        for (port, at) in self.discrepancies.ports.iter_mut().zip(&place.ports) {
            port.at = *at;
        }
        for (index, (row, seen)) in self.rows.iter_mut().zip(seen).enumerate() {
            row.jacobian = self.prior.scaled(&seen.sensitivities);
            row.ohms = seen.ohms;
            let port = &self.discrepancies.ports[self.discrepancies.of_row[index]];
            let each = row.jacobian.iter().zip(&place.numbers);
            let by_numbers: f64 = each.map(|(slope, at)| slope * at).sum();
            row.model = seen.model - by_numbers - port.natural.effect(row.ohms) * port.at;
        }
    }

    /// The rows by their tangents here as they are without discrepancies and with every number spread by
    /// its own tolerance; `read` are the rows as they were read, whose errors are nobody's misprints.
    pub(crate) fn rows_as_written(&self, read: &[Observation]) -> Vec<Observation> {
        let each = self.rows.iter().zip(read).map(|(row, read)| {
            let jacobian = row.jacobian.iter().enumerate();
            Observation {
                jacobian: jacobian
                    .map(|(place, slope)| slope / self.prior.width(place))
                    .collect(),
                noise: read.noise,
                ..row.clone()
            }
        });
        each.collect()
    }

    /// `(v − h)ᵀW⁻¹(v − h) + zᵀz + uᵀV⁻¹u`
    fn cost(&self, volts: &[f64], place: &Place) -> f64 {
        let rows = || self.rows.iter().zip(volts);
        let mut misfit: f64 = rows()
            .map(|(row, volts)| (row.printed.value - volts).powi(2) / row.noise)
            .sum();
        // With c of each row W is w + ccᵀ, and rᵀW⁻¹r is less by (Σ c r/w)²/(1 + Σ c²/w).
        let mut by_range: Vec<(f64, f64)> = Vec::new();
        for (row, volts) in rows() {
            let Some(common) = row.common else { continue };
            if by_range.len() <= common.range {
                by_range.resize(common.range + 1, (0.0, 0.0));
            }
            let (score, weight) = &mut by_range[common.range];
            *score += common.volts * (row.printed.value - volts) / row.noise;
            *weight += common.volts.powi(2) / row.noise;
        }
        for (score, weight) in by_range {
            misfit -= score * score / (1.0 + weight);
        }
        let numbers: f64 = place.numbers.iter().map(|z| z * z).sum();
        let ports = self.discrepancies.ports.iter().zip(&place.ports);
        let ports: f64 = ports
            .filter(|(port, _)| port.variance > 0.0)
            .map(|(port, u)| u * u / port.variance)
            .sum();
        misfit + numbers + ports
    }
}

/// Reads a whole table, `lacking` being the current in amperes into the port of each row and the volts
/// in series with it; none where some row finds no state.
pub(crate) fn read_all(
    states: &States,
    job: &Job,
    taken: &[Taken],
    lacking: impl Fn(usize) -> (f64, f64) + Sync,
) -> Option<Vec<ModelReading>> {
    let each = taken.par_iter().enumerate();
    let seen: Vec<Result<ModelReading, NoObservation>> = each
        .map(|(row, taken)| {
            let conditions = Conditions {
                settings: job.manual[taken.entries[0]].settings.clone(),
                line_factor: 1.0,
            };
            let (amperes, volts) = lacking(row);
            let load = Load {
                siemens: taken.siemens(job),
                amperes,
            };
            let mut seen = model_reading(states, taken.port, &conditions, load)?;
            seen.model += volts;
            Ok(seen)
        })
        .collect();
    seen.into_iter()
        .collect::<Result<Vec<ModelReading>, NoObservation>>()
        .ok()
}

impl Place {
    fn towards(&self, aim: &Place, share: f64) -> Place {
        let between = |from: &[f64], to: &[f64]| -> Vec<f64> {
            from.iter()
                .zip(to)
                .map(|(a, b)| a + share * (b - a))
                .collect()
        };
        Place {
            numbers: between(&self.numbers, &aim.numbers),
            ports: between(&self.ports, &aim.ports),
        }
    }

    /// The largest change of a number, in standard deviations.
    fn farthest(&self, other: &Place, discrepancies: &Discrepancies) -> f64 {
        let numbers = self.numbers.iter().zip(&other.numbers);
        let numbers = numbers.map(|(a, b)| (a - b).abs());
        let ports = self
            .ports
            .iter()
            .zip(&other.ports)
            .zip(&discrepancies.ports);
        let ports = ports
            .filter(|(_, port)| port.variance > 0.0)
            .map(|((a, b), port)| (a - b).abs() / port.variance.sqrt());
        numbers.chain(ports).fold(0.0, f64::max)
    }
}
