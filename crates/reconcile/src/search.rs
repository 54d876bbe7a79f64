//! Misprints and most likely numbers, found in turn.
//!
//! The table as read comes in. Values that the drawing contradicts are doubted first; the numbers
//! are fitted without those that are misprints; at the minimum the tangents may make other values
//! doubted, and then both begin anew. What was found in the last round goes out.

mod elsewhere;

use std::sync::Arc;

use circuit::{Job, PartKind};

use crate::descent::{rounds, Descent};
use crate::discrepancy::{Discrepancies, MeteredPort};
use crate::doubts::Doubts;
use crate::error::ReconcileError;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::ManualTable;
use crate::prior::Prior;
use crate::reader::Reader;
use crate::value_status::{value_status, ValueStatus};

/// Rounds of doubting and fitting at most.
const MOST_ROUNDS: usize = 3;

/// A fit, and the Jacobian that belongs to it.
pub(crate) type Fitted = (Fit, ScaledJacobian);

/// The search for misprints and most likely numbers.
pub(crate) struct Search<'s> {
    reader: &'s Reader,
    job: &'s Arc<Job>,
    table: &'s ManualTable,
    /// The port of each row with the manual's load.
    readings: Vec<MeteredPort>,
    /// Whether the circuit has no device.
    is_linear: bool,
    /// Where each descent begins: at the numbers as written.
    written: Descent<'s>,
    /// The same with its sizes found, once these were needed.
    started: Option<Descent<'s>>,
    doubts: Doubts,
}

/// What the search has found.
pub(crate) struct SearchResult {
    pub(crate) doubts: Doubts,
    /// The status of the value of each row.
    pub(crate) value_status: Vec<ValueStatus>,
    pub(crate) prior: Prior,
    pub(crate) discrepancies: Discrepancies,
    /// Whether a number is far from what is written.
    pub(crate) elsewhere: bool,
    pub(crate) fit: Fitted,
}

impl<'s> Search<'s> {
    /// # Errors
    /// [`ReconcileError`] if the covariance of the readings cannot be inverted.
    pub(crate) fn new(
        reader: &'s Reader,
        job: &'s Arc<Job>,
        table: &'s ManualTable,
    ) -> Result<Self, ReconcileError> {
        let taken = table.taken.iter();
        let readings: Vec<MeteredPort> = taken
            .map(|taken| MeteredPort::new(&job.circuit, taken.port, taken.siemens(job)))
            .collect();
        let mut parts = job.circuit.parts().iter();
        let is_linear = !parts.any(|part| matches!(part.kind, PartKind::Device(_)));
        let written = Descent {
            job: Arc::clone(job),
            drawn: Arc::clone(&reader.states),
            taken: &table.taken,
            rows: table.rows.clone(),
            prior: reader.prior.clone(),
            discrepancies: Discrepancies::new(&table.rows, &readings, is_linear),
            rounds: rounds(table.rows.len()),
            start: None,
        };
        Ok(Self {
            doubts: Doubts::of(&table.rows)?.iterated(reader, job, table)?,
            reader,
            job,
            table,
            readings,
            is_linear,
            written,
            started: None,
        })
    }

    /// Runs it. `down` takes a descent to its minimum.
    ///
    /// # Errors
    /// [`ReconcileError`] if the covariance of the readings cannot be inverted.
    pub(crate) fn run(
        mut self,
        mut down: impl FnMut(&mut Descent<'s>) -> Result<Fitted, ReconcileError>,
    ) -> Result<SearchResult, ReconcileError> {
        let mut known: Option<(Vec<bool>, Descent<'s>, Fitted)> = None;
        let mut round = 1;
        loop {
            let value_status = self.value_status()?;
            let each = value_status.iter();
            let misprints: Vec<bool> = each.map(|one| one.is_left_out()).collect();
            // What else is doubted does not matter to the search.
            let (descent, fit) = match known {
                Some((same, descent, fit)) if same == misprints => (descent, fit),
                _ => {
                    let mut descent = self.without(&misprints);
                    let fit = down(&mut descent)?;
                    (descent, fit)
                }
            };
            // At the minimum, the tangents may make other values doubted.
            if round < MOST_ROUNDS {
                let before = self.doubts.rows_out();
                let here = Doubts::of(&descent.rows_as_written(&self.table.rows))?;
                if here.rows_out() != before {
                    self.doubts = here.iterated(self.reader, self.job, self.table)?;
                    round += 1;
                    if self.doubts.rows_out() != before {
                        known = Some((misprints, descent, fit));
                        continue;
                    }
                }
            }
            let other = self.elsewhere((&descent, &fit), &misprints, &mut down)?;
            let elsewhere = other.is_some();
            let (descent, fit) = other.unwrap_or((descent, fit));
            return Ok(SearchResult {
                doubts: self.doubts,
                value_status,
                prior: descent.prior,
                discrepancies: descent.discrepancies,
                elsewhere,
                fit,
            });
        }
    }

    /// The status of each row's value, by the present doubts.
    fn value_status(&mut self) -> Result<Vec<ValueStatus>, ReconcileError> {
        if self.doubts.out.is_empty() {
            return Ok(vec![ValueStatus::Believed; self.table.rows.len()]);
        }
        let start = match self.started.take() {
            Some(start) => start,
            None => self.written.clone().started()?,
        };
        let lacking = start.lacking_by_the_others();
        self.started = Some(start);
        let doubts = (&self.doubts, self.written.prior.numbers.as_slice());
        Ok(value_status(
            (self.job, &self.reader.states),
            self.table,
            doubts,
            &lacking,
        ))
    }

    /// A descent from the written numbers, without the misprints.
    fn without(&self, misprints: &[bool]) -> Descent<'s> {
        if !misprints.contains(&true) {
            return self.started.as_ref().unwrap_or(&self.written).clone();
        }
        let mut descent = self.written.clone();
        descent.leave_out(misprints, |rows| {
            Discrepancies::new(rows, &self.readings, self.is_linear)
        });
        descent
    }
}
