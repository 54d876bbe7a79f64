//! Manual and drawing reconciled: the most likely numbers of the circuit and what the drawing lacks at
//! each port, given both.
//!
//! ```text
//! v = h(θ, d) + e        θ ~ N(θ₀, P)    d ~ N(0, V)    e ~ N(0, W)
//! (θ̂, d̂) = argmin (v − h)ᵀW⁻¹(v − h) + (θ − θ₀)ᵀP⁻¹(θ − θ₀) + dᵀV⁻¹d
//! ```
//!
//! by the method of Gauss and Newton, each reading and its derivatives taken anew at every step in
//! the full nonlinear circuit. The variances of numbers and discrepancies are estimated with them.
//! A value that is a slip of the pen is left out.

#[cfg(test)]
mod large_tables;
#[cfg(test)]
mod linear_jobs;

use std::sync::Arc;

use circuit::{spread_of, sums_by_island, Conditions, Job, PartParameter, Port};
use solver::{Solution, SolveError};

use crate::agreement::Agreement;
use crate::data_snooping::TakenOut;
use crate::descent::Descent;
use crate::discrepancy::Discrepancies;
use crate::error::ReconcileError;
use crate::fit::{Fit, LikelyNumber};
use crate::jacobian::ScaledJacobian;
use crate::manual_table::{read_table, ManualTable, Meters, WhyLeftOut};
use crate::prior::Prior;
use crate::range_choice::RangeChoice;
use crate::reader::Reader;
use crate::search::{Search, SearchResult};
use crate::states::States;
use crate::value_status::ValueStatus;

/// Largest contribution of tubes' contact potentials beside the sources, in volts.
const CONTACT_VOLTS: f64 = 2.0;

/// A manual and a drawing, reconciled.
#[derive(Debug)]
pub struct Reconciled {
    pub(crate) job: Arc<Job>,
    pub(crate) reader: Reader,
    pub(crate) table: ManualTable,
    /// The fit to the drawn circuit, with the doubted values left out.
    pub(crate) drawn: Fit,
    pub(crate) drawn_jacobian: ScaledJacobian,
    pub(crate) doubted: Vec<TakenOut>,
    /// The status of the value of each row.
    pub(crate) value_status: Vec<ValueStatus>,
    /// The fit to the reconciled circuit.
    pub(crate) fit: Fit,
    pub(crate) jacobian: ScaledJacobian,
    pub(crate) prior: Prior,
    pub(crate) discrepancies: Discrepancies,
    /// Whether the search found a number far from what is written.
    pub(crate) elsewhere: bool,
    /// The circuit with its most likely numbers.
    pub(crate) states: States,
    /// The row of each entry of the manual.
    pub(crate) row_of: Vec<Option<usize>>,
    /// For each node the sum of the direct sources of its island, in volts.
    worst_case_volts: Vec<f64>,
}

fn worst_case_volts(job: &Job) -> Vec<f64> {
    sums_by_island(&job.circuit, |part| {
        part.kind.supply().map_or(0.0, |supply| {
            let line = match supply.follows_line {
                true => job.line_factor().max(1.0),
                false => 1.0,
            };
            let tolerance = spread_of(part, PartParameter::Volts).half_width;
            (supply.volts.abs() + tolerance) * line * job.highest_share(part)
        })
    })
}

/// Reconciles a job's manual with its drawing.
///
/// # Errors
/// [`ReconcileError`] if the circuit has no trustworthy solution under some row's conditions, or
/// the covariance of the readings cannot be inverted.
pub fn reconcile(job: &Job) -> Result<Reconciled, ReconcileError> {
    // All of it inside the pool of threads: from outside, each parallel loop hands over to the pool and back.
    parallel::within(|| reconcile_by(job, |descent| descent.run()))
}

/// Reconciles them with a given search.
pub(crate) fn reconcile_by(
    job: &Job,
    mut down: impl FnMut(&mut Descent<'_>) -> Result<(Fit, ScaledJacobian), ReconcileError>,
) -> Result<Reconciled, ReconcileError> {
    let job = Arc::new(job.clone());
    let mut reader = Reader::new(&job);
    let table = read_table(&mut reader, &job, Meters::AS_STATED)?;
    let found = Search::new(&reader, &job, &table)?.run(&mut down)?;
    let SearchResult {
        doubts,
        value_status,
        prior,
        discrepancies,
        elsewhere,
        fit: (fit, jacobian),
    } = found;
    let states = States::varied(&reader.states, prior.changes());
    let mut row_of = vec![None; job.manual.len()];
    for (row, taken) in table.taken.iter().enumerate() {
        for entry in &taken.entries {
            row_of[*entry] = Some(row);
        }
    }
    Ok(Reconciled {
        worst_case_volts: worst_case_volts(&job),
        job,
        reader,
        table,
        drawn: doubts.fit,
        drawn_jacobian: doubts.jacobian,
        doubted: doubts.out,
        value_status,
        fit,
        jacobian,
        prior,
        discrepancies,
        elsewhere,
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
        self.fit.most_likely(&self.jacobian, &self.prior.numbers)
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

    /// Why the drawn circuit's own reading of an entry is no answer, where arithmetic leaves it too few
    /// digits. A circuit with slightly other numbers may read anything there.
    pub fn too_few_digits(&self, entry: usize) -> Option<&SolveError> {
        let mut left = self.table.left_out.iter();
        match &left.find(|left| left.entry == entry)?.why {
            WhyLeftOut::NoState(error) if error.has_a_state() => Some(error),
            _ => None,
        }
    }

    /// The range that an entry was read on, where it is part of the fit.
    pub fn range(&self, entry: usize) -> Option<RangeChoice> {
        Some(self.table.taken[self.row(entry)?].range)
    }

    /// The first of the entries that print the same reading, where it is part of the fit.
    pub fn first_entry(&self, entry: usize) -> Option<usize> {
        Some(self.table.taken[self.row(entry)?].entries[0])
    }

    /// Variance of the rounding and the meter of an entry's printed value, in V²; 0 where it is not
    /// part of the fit.
    pub fn printed_noise(&self, entry: usize) -> f64 {
        self.row(entry)
            .map_or(0.0, |row| self.table.rows[row].whole_noise())
    }

    /// Standard deviation in volts, at full scale, of what readings of an entry's range have in common; 0
    /// where they have nothing.
    pub fn scale_noise(&self, entry: usize) -> f64 {
        let row = self.row(entry).map(|row| {
            let full_scale = self.table.taken[row].range.range.full_scale;
            (&self.table.rows[row], full_scale)
        });
        row.and_then(|(row, full_scale)| {
            let common = row.common?;
            Some((common.volts * full_scale / row.printed.value).abs())
        })
        .unwrap_or(0.0)
    }

    /// Variance of an entry's printed value without what readings of its range have in common, in V².
    pub fn own_noise(&self, entry: usize) -> f64 {
        self.row(entry)
            .map_or(0.0, |row| self.table.rows[row].noise)
    }

    fn row(&self, entry: usize) -> Option<usize> {
        self.row_of.get(entry).copied().flatten()
    }

    /// Most volts of either sign that the sources of a port's island can produce: their sum at the
    /// upper end of their tolerances, and the little that contact potentials add.
    pub fn worst_case_volts(&self, port: Port) -> f64 {
        self.volts_by_sources(port).unwrap_or(CONTACT_VOLTS)
    }

    /// The same; none where the port's island has no direct source, so that nothing drawn bounds it.
    pub fn volts_by_sources(&self, port: Port) -> Option<f64> {
        let [plus, minus] = [port.plus, port.minus].map(|node| self.worst_case_volts[node.0]);
        let most = plus.max(minus);
        (most > 0.0).then_some(most + CONTACT_VOLTS)
    }

    /// The status of an entry's printed value; a value that is not part of the fit is believed.
    pub fn value_status(&self, entry: usize) -> ValueStatus {
        self.row(entry)
            .map_or(ValueStatus::Believed, |row| self.value_status[row])
    }
}
