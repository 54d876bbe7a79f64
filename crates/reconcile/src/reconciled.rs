//! Manual and drawing weighed against each other: the most likely numbers of the circuit and what
//! the drawing lacks at each port, given both.
//!
//! ```text
//! v = h(θ, d) + e        θ ~ N(θ₀, P)    d ~ N(0, V)    e ~ N(0, W)
//! (θ̂, d̂) = argmin (v − h)ᵀW⁻¹(v − h) + (θ − θ₀)ᵀP⁻¹(θ − θ₀) + dᵀV⁻¹d
//! ```
//!
//! by the method of Gauss and Newton, each reading and its derivatives taken anew at every step in
//! the full nonlinear circuit. How far numbers and discrepancies may lie off is learned with them.
//! A value that is a slip of the pen is left out.

#[cfg(test)]
mod linear_jobs;

use std::sync::Arc;

use circuit::{spread_of, Conditions, Job, PartKind, PartParameter, Port};
use rayon::prelude::*;
use solver::{Load, Solution, SolveError};

use crate::belief::Belief;
use crate::discrepancy::Discrepancies;
use crate::error::ReconcileError;
use crate::fit::{Agreement, Fit, LikelyNumber};
use crate::misprinted::is_misprint;
use crate::peel::{peel, TakenOut};
use crate::prior::Prior;
use crate::range_choice::RangeChoice;
use crate::row::{see, NoRow, Reader, Row, Seen};
use crate::sheet::{sheet, Meters, Sheet, Taken};
use crate::slopes::Slopes;
use crate::states::States;

/// Steps of Gauss and Newton at most. Two or three settle most tables.
const MOST_STEPS: usize = 6;

/// Rounds in which sizes and probabilities of discrepancies are brought to agree.
const ROUNDS: usize = 3;

/// A table of more rows teaches the sizes so well that one round a step will do; each costs the cube
/// of the rows.
const MANY_ROWS: usize = 200;

/// A step is shortened so often at most.
const MOST_HALVINGS: usize = 6;

/// The numbers are settled where none moves by more than this share of its standard deviation.
const SETTLED: f64 = 0.03;

/// Standard deviation of a misprinted value, as so many times what it says.
const UNREADABLE: f64 = 100.0;

/// What contact potentials of tubes may add to the sources, in volts.
const CONTACT_VOLTS: f64 = 2.0;

/// No number is taken further from what is written, in its standard deviations.
const FURTHEST: f64 = 8.0;

/// A manual and a drawing, reconciled.
#[derive(Debug)]
pub struct Reconciled {
    pub(crate) job: Arc<Job>,
    pub(crate) reader: Reader,
    pub(crate) sheet: Sheet,
    /// As the drawn circuit sees the table, with the doubted values taken out.
    pub(crate) drawn: Fit,
    pub(crate) drawn_slopes: Slopes,
    pub(crate) doubted: Vec<TakenOut>,
    /// What is thought of the value of each row.
    pub(crate) standing: Vec<Standing>,
    /// As the reconciled circuit sees it.
    pub(crate) fit: Fit,
    pub(crate) slopes: Slopes,
    pub(crate) prior: Prior,
    pub(crate) discrepancies: Discrepancies,
    /// The circuit with its most likely numbers.
    pub(crate) states: States,
    /// The row of each entry of the manual.
    pub(crate) row_of: Vec<Option<usize>>,
}

/// What is thought of a printed value.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Standing {
    /// It agrees with the drawing and the other values.
    #[default]
    Believed,
    /// It contradicts them, and may be right all the same: the drawing may be wrong there.
    Doubted,
    /// It contradicts them, and is one of them with a slip of the pen. It is left out.
    Misprint,
}

fn standing(job: &Job, sheet: &Sheet, drawn: &Fit, doubted: &[TakenOut]) -> Vec<Standing> {
    let of = |(row, taken): (usize, &Taken)| {
        if !doubted.iter().any(|out| out.row == row) {
            return Standing::Believed;
        }
        let figure = &job.manual[taken.entries[0]].figure;
        match is_misprint(figure, &drawn.without(row)) {
            true => Standing::Misprint,
            false => Standing::Doubted,
        }
    };
    sheet.taken.iter().enumerate().map(of).collect()
}

/// Reconciles a job's manual with its drawing.
///
/// # Errors
/// [`ReconcileError`] if the circuit has no trustworthy solution under some row's conditions, or
/// the covariance of the readings cannot be inverted.
pub fn reconcile(job: &Job) -> Result<Reconciled, ReconcileError> {
    reconcile_by(job, |descent| descent.run())
}

/// Reconciles them by some way down.
fn reconcile_by(
    job: &Job,
    down: impl FnOnce(&mut Descent<'_>) -> Result<(Fit, Slopes), ReconcileError>,
) -> Result<Reconciled, ReconcileError> {
    let job = Arc::new(job.clone());
    let mut reader = Reader::new(&job);
    let sheet = sheet(&mut reader, &job, Meters::AS_STATED)?;
    let rows: Vec<&Row> = sheet.rows.iter().collect();
    let drawn_slopes = Slopes::of(&rows);
    let mut drawn = Fit::new(&rows, &drawn_slopes)?;
    let doubted = peel(&mut drawn)?;
    let readings: Vec<(Port, f64)> = sheet
        .taken
        .iter()
        .map(|taken| (taken.port, taken.siemens(&job)))
        .collect();
    let discrepancies = Discrepancies::new(&sheet.rows, &readings);
    let standing = standing(&job, &sheet, &drawn, &doubted);
    let mut rows = sheet.rows.clone();
    for (row, standing) in rows.iter_mut().zip(&standing) {
        if *standing == Standing::Misprint {
            row.noise = (UNREADABLE * row.printed.value).powi(2);
        }
    }
    let mut descent = Descent {
        job: Arc::clone(&job),
        drawn: Arc::clone(&reader.states),
        taken: &sheet.taken,
        rows,
        prior: reader.prior.clone(),
        discrepancies,
    };
    let (fit, slopes) = down(&mut descent)?;
    let Descent {
        prior,
        discrepancies,
        ..
    } = descent;
    let states = States::varied(&reader.states, prior.changes());
    let mut row_of = vec![None; job.manual.len()];
    for (row, taken) in sheet.taken.iter().enumerate() {
        for entry in &taken.entries {
            row_of[*entry] = Some(row);
        }
    }
    Ok(Reconciled {
        job,
        reader,
        sheet,
        drawn,
        drawn_slopes,
        doubted,
        standing,
        fit,
        slopes,
        prior,
        discrepancies,
        states,
        row_of,
    })
}

impl Reconciled {
    /// How well the believed values and the drawn circuit agree as a whole, before any discrepancy
    /// is allowed for.
    pub fn agreement(&self) -> Agreement {
        self.drawn.agreement()
    }

    /// Every number that the values depend on, as manual and drawing together make it likely.
    pub fn numbers(&self) -> Vec<LikelyNumber> {
        self.fit.most_likely(&self.slopes, &self.prior.numbers)
    }

    /// The job, as it was read.
    pub fn job(&self) -> &Job {
        &self.job
    }

    /// The circuit as drawn under some conditions.
    ///
    /// # Errors
    /// [`SolveError`] where it has no trustworthy solution under them.
    pub fn drawn(&self, conditions: &Conditions) -> Result<Arc<Solution>, SolveError> {
        self.reader.states.at(conditions)
    }

    /// The circuit with its most likely numbers under some conditions, without discrepancies.
    ///
    /// # Errors
    /// [`SolveError`] where it has no trustworthy solution under them.
    pub fn solution(&self, conditions: &Conditions) -> Result<Arc<Solution>, SolveError> {
        self.states.at(conditions)
    }

    /// The range that an entry was read on, where it is part of the fit.
    pub fn range(&self, entry: usize) -> Option<RangeChoice> {
        Some(self.sheet.taken[self.row(entry)?].range)
    }

    /// The first of the entries that print the same reading, where it is part of the fit.
    pub fn first_entry(&self, entry: usize) -> Option<usize> {
        Some(self.sheet.taken[self.row(entry)?].entries[0])
    }

    /// Variance of the rounding and the meter of an entry's printed value, in V²; 0 where it is not
    /// part of the fit.
    pub fn printed_noise(&self, entry: usize) -> f64 {
        self.row(entry)
            .map_or(0.0, |row| self.sheet.rows[row].noise)
    }

    fn row(&self, entry: usize) -> Option<usize> {
        self.row_of.get(entry).copied().flatten()
    }

    /// Most volts of either sign that the drawn sources can produce anywhere: their sum at the
    /// upper end of their tolerances, and the little that contact potentials add.
    pub fn reach(&self) -> f64 {
        let supplies = self.job.circuit.parts().iter();
        let volts = supplies.filter_map(|part| match &part.kind {
            PartKind::Supply(supply) => {
                let tolerance = spread_of(part, PartParameter::Volts).half_width;
                Some(supply.volts.abs() + tolerance)
            }
            _ => None,
        });
        volts.sum::<f64>() * self.job.line_factor().max(1.0) + CONTACT_VOLTS
    }

    /// What is thought of an entry's printed value; a value that is not part of the fit is believed.
    pub fn standing(&self, entry: usize) -> Standing {
        self.row(entry)
            .map_or(Standing::Believed, |row| self.standing[row])
    }

    /// What is to be thought of the manual's values.
    ///
    /// # Errors
    /// As [`reconcile`].
    pub fn belief(mut self) -> Result<Belief, ReconcileError> {
        crate::belief::belief_of(&mut self)
    }
}

/// The way down to the most likely numbers.
struct Descent<'s> {
    job: Arc<Job>,
    drawn: Arc<States>,
    taken: &'s [Taken],
    /// Each row by its tangent where the numbers are now: its model is what that tangent makes of
    /// the numbers as written and no discrepancy.
    rows: Vec<Row>,
    prior: Prior,
    discrepancies: Discrepancies,
}

/// Numbers and discrepancies.
#[derive(Clone, Debug)]
struct Place {
    numbers: Vec<f64>,
    ports: Vec<f64>,
}

impl Descent<'_> {
    fn run(&mut self) -> Result<(Fit, Slopes), ReconcileError> {
        let (mut fit, mut slopes) = self.fitted()?;
        let mut volts: Vec<f64> = self.rows.iter().map(|row| row.model).collect();
        for _ in 0..MOST_STEPS {
            let place = self.place();
            let aim = self.aim(&fit, &slopes);
            let cost = self.cost(&volts, &place);
            let Some((next, seen)) = self.step(&place, &aim, cost) else {
                break;
            };
            let moved = place.farthest(&next, &self.discrepancies);
            volts = seen.iter().map(|seen| seen.model).collect();
            self.take(&next, seen);
            (fit, slopes) = self.fitted()?;
            if moved < SETTLED {
                break;
            }
        }
        Ok((fit, slopes))
    }

    /// Where the numbers and discrepancies are now, measured in their present widths.
    fn place(&self) -> Place {
        let mut numbers = self.prior.at.clone();
        numbers.resize(self.prior.numbers.len(), 0.0);
        let ports = self.discrepancies.ports.iter();
        Place {
            numbers,
            ports: ports.map(|port| port.at).collect(),
        }
    }

    /// The fit by the tangents, with discrepancies as large as the table says.
    fn fitted(&mut self) -> Result<(Fit, Slopes), ReconcileError> {
        self.discrepancies.seen(&self.rows);
        let mut fitted = self.fit()?;
        let rounds = if self.rows.len() > MANY_ROWS {
            1
        } else {
            ROUNDS
        };
        for _ in 0..rounds {
            let (fit, slopes) = &fitted;
            self.discrepancies.learn(&fit.inverse, &fit.weighted);
            let ratios = self.prior.learn(slopes, fit);
            for row in &mut self.rows {
                for (slope, ratio) in row.slopes.iter_mut().zip(&ratios) {
                    *slope *= ratio;
                }
            }
            fitted = self.fit()?;
        }
        Ok(fitted)
    }

    fn fit(&self) -> Result<(Fit, Slopes), ReconcileError> {
        let rows: Vec<&Row> = self.rows.iter().collect();
        let slopes = Slopes::of(&rows);
        let fit = Fit::discrepant(&rows, &slopes, &self.discrepancies)?;
        Ok((fit, slopes))
    }

    /// Where the tangents lead.
    fn aim(&self, fit: &Fit, slopes: &Slopes) -> Place {
        let mut numbers: Vec<f64> = slopes.times(&fit.weighted).iter().copied().collect();
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

    /// Goes towards an aim, less far where that does not lower the cost or where the circuit
    /// finds no state.
    fn step(&self, from: &Place, aim: &Place, cost: f64) -> Option<(Place, Vec<Seen>)> {
        let mut share = 1.0;
        for _ in 0..=MOST_HALVINGS {
            let next = from.towards(aim, share);
            if let Some(seen) = self.look(&next) {
                let volts: Vec<f64> = seen.iter().map(|seen| seen.model).collect();
                let lower = self.cost(&volts, &next);
                // At the foot rounding may lift it a hair.
                if lower <= cost + 1e-6 * (1.0 + cost) {
                    return Some((next, seen));
                }
            }
            share /= 2.0;
        }
        None
    }

    /// Reads the whole table in the circuit there; none where some row finds no state.
    fn look(&self, place: &Place) -> Option<Vec<Seen>> {
        let mut prior = self.prior.clone();
        prior.at.clone_from(&place.numbers);
        let states = States::varied(&self.drawn, prior.changes());
        let mut ports = self.discrepancies.ports.clone();
        for (port, at) in ports.iter_mut().zip(&place.ports) {
            port.at = *at;
        }
        let each = (0..self.rows.len()).into_par_iter();
        let seen: Vec<Result<Seen, NoRow>> = each
            .map(|row| {
                let taken = &self.taken[row];
                let entry = &self.job.manual[taken.entries[0]];
                let conditions = Conditions {
                    settings: entry.settings.clone(),
                    line_factor: 1.0,
                };
                let port = &ports[self.discrepancies.of_row[row]];
                let load = Load {
                    siemens: taken.siemens(&self.job),
                    amperes: port.amperes(),
                };
                let mut seen = see(&states, taken.port, &conditions, load)?;
                seen.model += port.volts();
                Ok(seen)
            })
            .collect();
        seen.into_iter().collect::<Result<Vec<Seen>, NoRow>>().ok()
    }

    /// Puts the tangents there in the place of those before.
    fn take(&mut self, place: &Place, seen: Vec<Seen>) {
        self.prior.at.clone_from(&place.numbers);
        for (port, at) in self.discrepancies.ports.iter_mut().zip(&place.ports) {
            port.at = *at;
        }
        for (index, (row, seen)) in self.rows.iter_mut().zip(seen).enumerate() {
            row.slopes = self.prior.scaled(&seen.pulls);
            row.ohms = seen.ohms;
            let port = &self.discrepancies.ports[self.discrepancies.of_row[index]];
            let each = row.slopes.iter().zip(&self.prior.at);
            let by_numbers: f64 = each.map(|(slope, at)| slope * at).sum();
            row.model = seen.model - by_numbers - port.natural.effect(row.ohms) * port.at;
        }
    }

    /// `(v − h)ᵀW⁻¹(v − h) + zᵀz + uᵀV⁻¹u`
    fn cost(&self, volts: &[f64], place: &Place) -> f64 {
        let rows = self.rows.iter().zip(volts);
        let misfit: f64 = rows
            .map(|(row, volts)| (row.printed.value - volts).powi(2) / row.noise)
            .sum();
        let numbers: f64 = place.numbers.iter().map(|z| z * z).sum();
        let ports = self.discrepancies.ports.iter().zip(&place.ports);
        let ports: f64 = ports
            .filter(|(port, _)| port.variance > 0.0)
            .map(|(port, u)| u * u / port.variance)
            .sum();
        misfit + numbers + ports
    }
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

    /// The longest way of a number, in standard deviations.
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
