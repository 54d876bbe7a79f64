//! The most likely numbers, by the damped Gauss-Newton method.
//!
//! Observations linearised at the drawn circuit come in. Each step solves the linearised problem, goes
//! towards its solution as far as that lowers the sum of squares, and computes all readings again
//! there. The variances of numbers and discrepancies are estimated before each step, in rounds that keep the
//! tangents as long as these hold. The fit at the minimum goes out.

mod place;
#[cfg(test)]
mod settled_sizes;
mod sizes;

pub(crate) use place::Place;
pub(crate) use sizes::rounds;
#[cfg(test)]
pub(crate) use sizes::ROUNDS;

use std::sync::Arc;

use circuit::{Conditions, Job};
use solver::Load;

use crate::discrepancy::Discrepancies;
use crate::error::ReconcileError;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::Taken;
use crate::observation::{ModelReading, Observation};
use crate::prior::Prior;
use crate::reader::model_reading;
use crate::states::States;

/// Gauss-Newton steps at most. Two or three are enough for most tables.
const MOST_STEPS: usize = 6;

/// Standard deviation given to a misprinted value, as a multiple of the value.
const UNREADABLE: f64 = 100.0;

/// A step is shortened so often at most.
const MOST_HALVINGS: usize = 6;

/// The numbers have converged where the tangents lead none further than this share of its standard
/// deviation.
const SETTLED: f64 = 0.03;

/// The tangents hold where they mistake no reading by more than this share of a printed value's standard
/// deviation.
const STRAIGHT: f64 = 0.1;

/// The same share, where a last step is not read any more.
const NEGLIGIBLE: f64 = 1e-3;

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
    /// The fit where it starts, if that is known.
    pub(crate) start: Option<(Fit, ScaledJacobian)>,
}

impl Descent<'_> {
    /// Leaves misprints out, so that they do not influence the size of anything. `sized` sizes the
    /// discrepancies anew.
    pub(crate) fn leave_out(
        &mut self,
        misprints: &[bool],
        sized: impl FnOnce(&[Observation]) -> Discrepancies,
    ) {
        let each = self.rows.iter_mut().zip(misprints);
        for (row, _) in each.filter(|(_, misprint)| **misprint) {
            row.printed.value = row.model;
        }
        self.discrepancies = sized(&self.rows);
        let each = self.rows.iter_mut().zip(misprints);
        for (row, _) in each.filter(|(_, misprint)| **misprint) {
            row.noise = (UNREADABLE * row.model).powi(2).max(row.noise);
        }
    }

    /// Goes down to the minimum: at most [`MOST_STEPS`] readings of the whole table.
    ///
    /// # Errors
    /// [`ReconcileError`] if the covariance of the readings cannot be inverted.
    pub(crate) fn run(&mut self) -> Result<(Fit, ScaledJacobian), ReconcileError> {
        let mut fitted = match self.start.take() {
            Some(start) => start,
            None => self.fitted()?,
        };
        let mut volts: Vec<f64> = self.rows.iter().map(|row| row.model).collect();
        let mut curvature = f64::INFINITY;
        for _ in 0..MOST_STEPS {
            let place = self.place();
            let aim = self.aim(&fitted.0, &fitted.1);
            let left = place.farthest(&aim, self);
            if left < SETTLED && curvature * left * left < NEGLIGIBLE {
                break;
            }
            let cost = self.cost(&volts, &place);
            let Some((next, seen)) = self.step(&place, &aim, cost) else {
                break;
            };
            let moved = place.farthest(&next, self);
            let error = self.tangent_error(&next, &seen);
            curvature = error / (moved * moved);
            volts = seen.iter().map(|seen| seen.model).collect();
            self.take(&next, seen);
            fitted = self.fitted()?;
            if moved < SETTLED {
                break;
            }
            fitted = self.settled(fitted, curvature)?;
        }
        // The rounds that were left out on the way are made up at the minimum.
        self.learned(fitted, sizes::ROUNDS - self.rounds)
    }

    /// By how much the tangents have mistaken the readings at a point, in standard deviations of the
    /// printed values.
    fn tangent_error(&self, place: &Place, seen: &[ModelReading]) -> f64 {
        let each = self.rows.iter().zip(seen).enumerate();
        let errors = each.map(|(index, (row, seen))| {
            let slopes = row.jacobian.iter().zip(&place.numbers);
            let by_numbers: f64 = slopes.map(|(slope, at)| slope * at).sum();
            let port = self.discrepancies.of_row[index];
            let by_port = self.discrepancies.effect[index] * place.ports[port];
            (seen.model - row.model - by_numbers - by_port).abs() / row.noise.sqrt()
        });
        errors.fold(0.0, |most: f64, error| match error.is_nan() {
            true => f64::INFINITY,
            false => most.max(error),
        })
    }

    /// Where the numbers and discrepancies are now, measured in their present widths.
    pub(crate) fn place(&self) -> Place {
        let ports = self.discrepancies.ports.iter();
        Place {
            numbers: self.prior.at.clone(),
            ports: ports.map(|port| port.at).collect(),
        }
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
                printed: row.printed,
                model: row.model,
                ohms: row.ohms,
                common: row.common,
            }
        });
        each.collect()
    }

    /// Logarithm of how likely the table is, by the tangents at a minimum, with all sizes that numbers and
    /// discrepancies may have.
    pub(crate) fn log_evidence(&self, (fit, jacobian): &(Fit, ScaledJacobian)) -> f64 {
        let by_sizes = self.prior.log_gain(jacobian, fit) + self.discrepancies.log_gain(fit);
        fit.log_likelihood() + by_sizes
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
    let each = taken.iter().enumerate();
    parallel::map_while_some(each, |(row, taken)| {
        let conditions = Conditions {
            settings: job.manual[taken.entries[0]].settings.clone(),
            line_factor: 1.0,
        };
        let (amperes, volts) = lacking(row);
        let load = Load {
            siemens: taken.siemens(job),
            amperes,
        };
        let mut seen = model_reading(states, taken.port, &conditions, load).ok()?;
        seen.model += volts;
        Some(seen)
    })
}
