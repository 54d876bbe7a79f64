//! Doubts, judged anew where the believed values put the circuit.
//!
//! What all else says of a value is worked out by tangents. Those at the numbers as written are far from
//! true where the table says that the numbers are others, or where a misprint has bent what the
//! neighbours say. So the table is read anew with the numbers that the believed values make likely, and
//! judged by the tangents there, until the same values are doubted twice. No discrepancy is allowed for
//! in this, and no number spread further than its tolerance: a doubt is what speaks for either.

use std::sync::Arc;

use circuit::Job;

use crate::data_snooping::{data_snooping, TakenOut};
use crate::descent::read_all;
use crate::error::ReconcileError;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::{ManualTable, Taken};
use crate::observation::Observation;
use crate::reader::Reader;
use crate::states::States;

/// The table is read anew so often at most. Two rounds settle nearly all.
const MOST_ROUNDS: usize = 4;

/// A table in which no value lies further off, in standard deviations, is not read anew: tangents that
/// are wrong by half of what would be a doubt have not been seen where all agrees.
const NEAR: f64 = 2.0;

/// No number is taken further from what is written, in its standard deviations, for this: limits that are
/// rectangular end at 1.7.
const FURTHEST: f64 = 3.0;

/// A table as the drawn circuit sees it, with the doubted values taken out.
#[derive(Clone, Debug)]
pub(crate) struct Doubts {
    pub(crate) fit: Fit,
    pub(crate) jacobian: ScaledJacobian,
    pub(crate) out: Vec<TakenOut>,
}

impl Doubts {
    /// Of rows by their tangents.
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

    /// The doubted values of a table, from rows by some tangents on.
    ///
    /// # Errors
    /// As [`Doubts::of`].
    pub(crate) fn iterated(
        reader: &Reader,
        job: &Arc<Job>,
        table: &ManualTable,
        rows: &[Observation],
    ) -> Result<Self, ReconcileError> {
        let mut doubts = Doubts::of(rows)?;
        for _ in 0..MOST_ROUNDS {
            if !doubts.may_change() {
                break;
            }
            let Some(rows) = doubts.read_anew(reader, job, table) else {
                break;
            };
            let next = Doubts::of(&rows)?;
            let same = next.rows_out() == doubts.rows_out();
            doubts = next;
            if same {
                break;
            }
        }
        Ok(doubts)
    }

    /// Whether others are doubted by the tangents of these rows.
    ///
    /// # Errors
    /// As [`Doubts::of`].
    pub(crate) fn differ_by(&self, rows: &[Observation]) -> Result<bool, ReconcileError> {
        Ok(Doubts::of(rows)?.rows_out() != self.rows_out())
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

    /// The rows by their tangents at the numbers that the believed values make likely; none where the
    /// circuit finds no state there.
    fn read_anew(
        &self,
        reader: &Reader,
        job: &Arc<Job>,
        table: &ManualTable,
    ) -> Option<Vec<Observation>> {
        let mut prior = reader.prior.clone();
        let likely = self.jacobian.times(&self.fit.weighted);
        prior.at = likely
            .iter()
            .map(|sigmas| sigmas.clamp(-FURTHEST, FURTHEST))
            .collect();
        prior.at.resize(prior.numbers.len(), 0.0);
        let states = States::varied(&reader.states, prior.changes());
        let taken: &[Taken] = &table.taken;
        let seen = read_all(&states, job, taken, |_| (0.0, 0.0))?;
        let rows = table.rows.iter().zip(seen).map(|(row, seen)| {
            let jacobian = prior.scaled(&seen.sensitivities);
            let each = jacobian.iter().zip(&prior.at);
            Observation {
                model: seen.model - each.map(|(slope, at)| slope * at).sum::<f64>(),
                ohms: seen.ohms,
                jacobian,
                ..row.clone()
            }
        });
        Some(rows.collect())
    }
}
