//! Doubted values, found by data snooping that is repeated where the believed values put the circuit.
//!
//! The prediction of a value from all others uses tangents. Tangents at the written numbers are wrong
//! where the table implies other numbers, or where a misprint distorts the predictions of its
//! neighbours. So the table is computed again at the numbers that the believed values make likely, and
//! judged by the tangents there, until two rounds doubt the same values. Discrepancies, and numbers
//! beyond their tolerances, are not allowed here: a doubt is the evidence for either.

use std::sync::Arc;

use circuit::Job;

use crate::data_snooping::{data_snooping, TakenOut};
use crate::descent::read_all;
use crate::error::ReconcileError;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::ManualTable;
use crate::observation::Observation;
use crate::prior::Prior;
use crate::reader::Reader;
use crate::states::States;

/// Rounds at most. Two are enough for nearly all tables.
const MOST_ROUNDS: usize = 4;

/// A table in which no value deviates by more, in standard deviations, gets no further round: where all
/// values agree, tangents have not been found wrong by as much as half of a doubt.
const NEAR: f64 = 2.0;

/// Largest deviation of a number from its written value in these rounds, in its standard deviations:
/// rectangular limits end at 1.7.
const FURTHEST: f64 = 3.0;

/// The fit of a table to the drawn circuit, with the doubted values left out.
#[derive(Clone, Debug)]
pub(crate) struct Doubts {
    pub(crate) fit: Fit,
    pub(crate) jacobian: ScaledJacobian,
    pub(crate) out: Vec<TakenOut>,
}

impl Doubts {
    /// The doubted values of these observations by their tangents.
    ///
    /// # Errors
    /// [`ReconcileError`] if the covariance of the readings cannot be inverted.
    pub(crate) fn of(rows: &[Observation]) -> Result<Self, ReconcileError> {
        let rows: Vec<&Observation> = rows.iter().collect();
        let jacobian = ScaledJacobian::of(&rows);
        let mut fit = Fit::new(&rows, &jacobian)?;
        let out = data_snooping(&mut fit)?;
        Ok(Doubts { fit, jacobian, out })
    }

    /// The doubted values of a table, by repeated rounds from these.
    ///
    /// # Errors
    /// As [`Doubts::of`].
    pub(crate) fn iterated(
        self,
        reader: &Reader,
        job: &Arc<Job>,
        table: &ManualTable,
    ) -> Result<Self, ReconcileError> {
        let mut doubts = self;
        let mut known = vec![doubts.rows_out()];
        for round in 1..=MOST_ROUNDS {
            if !doubts.may_change() {
                break;
            }
            let Some(rows) = doubts.read_anew(reader, job, table) else {
                break;
            };
            doubts = Doubts::of(&rows)?;
            let out = doubts.rows_out();
            // Two sets may lead to each other for ever: then the one of the even rounds is taken.
            let is_circle = round % 2 == 0 && known[round - 2] == out;
            if is_circle || known[round - 1] == out {
                break;
            }
            known.push(out);
        }
        Ok(doubts)
    }

    /// Whether better tangents might change what is doubted.
    fn may_change(&self) -> bool {
        !self.out.is_empty() || self.fit.sigmas().iter().any(|sigma| *sigma > NEAR)
    }

    /// The rows taken out, in the order of the table.
    pub(crate) fn rows_out(&self) -> Vec<usize> {
        let mut rows: Vec<usize> = self.out.iter().map(|out| out.row).collect();
        rows.sort_unstable();
        rows
    }

    /// The observations linearised at the numbers that the believed values make likely; none where the
    /// circuit has no state there.
    fn read_anew(
        &self,
        reader: &Reader,
        job: &Arc<Job>,
        table: &ManualTable,
    ) -> Option<Vec<Observation>> {
        let mut prior = reader.prior.clone();
        let likely = self.jacobian.times(&self.fit.weighted);
        let likely = likely.iter();
        prior.move_to(
            likely
                .map(|sigmas| sigmas.clamp(-FURTHEST, FURTHEST))
                .collect(),
        );
        read_with(reader, job, table, &mut prior)
    }
}

/// The rows of a table with the numbers where they are taken to be: each linearised there, its model being
/// the value of that tangent at the written numbers; none where the circuit has no state.
pub(crate) fn read_with(
    reader: &Reader,
    job: &Arc<Job>,
    table: &ManualTable,
    prior: &mut Prior,
) -> Option<Vec<Observation>> {
    let states = States::varied(&reader.states, prior.changes());
    let seen = read_all(&states, job, &table.taken, |_| (0.0, 0.0))?;
    let rows = table.rows.iter().zip(seen).map(|(row, seen)| {
        let jacobian = prior.scaled(&seen.sensitivities);
        let each = jacobian.iter().zip(&prior.at);
        Observation {
            model: seen.model - each.map(|(slope, at)| slope * at).sum::<f64>(),
            ohms: seen.ohms,
            jacobian,
            printed: row.printed,
            noise: row.noise,
            common: row.common,
        }
    });
    Some(rows.collect())
}
