//! The manual's whole table, carried over.

use std::sync::Arc;

use circuit::Job;
use reconcile::{reconcile, ReconcileError, Reconciled};

use crate::not_carried::NotCarried;
use crate::point::{carry, PointOutcome};
use crate::quantity::{quantities, NoAnswer, QuantityPoint};
use crate::unprinted::{unprinted, Predicted};

/// A job's manual, carried over point by point.
#[derive(Clone, Debug)]
pub struct Translation {
    /// The manual and the drawing, reconciled.
    pub reconciled: Arc<Reconciled>,
    /// One for each entry of the manual, in its order.
    pub points: Vec<PointOutcome>,
    /// What the drawing says where the manual prints no value, by rows and bench meters.
    pub unprinted: Vec<Predicted>,
    /// Rows that are no direct volts, with those among them that print no value.
    pub quantities: Vec<QuantityPoint>,
}

/// Carries every entry of the manual over to every bench meter.
///
/// # Errors
/// [`ReconcileError`] if a circuit that some point rests on has no trustworthy solution, or the manual's
/// values cannot be weighed against it.
pub fn translate(job: &Job) -> Result<Translation, ReconcileError> {
    translate_reconciled(&Arc::new(reconcile(job)?))
}

/// The same of a manual that is reconciled with its drawing already.
///
/// # Errors
/// As [`translate`].
pub fn translate_reconciled(reconciled: &Arc<Reconciled>) -> Result<Translation, ReconcileError> {
    let job = reconciled.job();
    let points = || -> Vec<PointOutcome> {
        parallel::map(0..job.manual.len(), |index| carry(reconciled, index))
    };
    let beside = || (unprinted(reconciled), quantities(job));
    let (points, (unprinted, quantities)) = parallel::join(points, beside);
    for point in &points {
        if let Err(NotCarried::Unsolved(error)) = &point.outcome {
            return Err(error.clone().into());
        }
    }
    Ok(Translation {
        reconciled: Arc::clone(reconciled),
        points,
        unprinted,
        quantities,
    })
}

impl Translation {
    /// Whether the circuit refused an answer and no row has one.
    pub fn is_unsolved(&self) -> bool {
        let by_circuit = |point: &PointOutcome| {
            matches!(
                point.outcome,
                Err(NotCarried::NoState(_) | NotCarried::Unsolved(_))
            )
        };
        let refused = self.points.iter().any(by_circuit)
            || self
                .quantities
                .iter()
                .any(|row| matches!(row.outcome, Err(NoAnswer::Unsolved(_))));
        let answered = self.points.iter().any(|point| point.outcome.is_ok())
            || self.quantities.iter().any(|row| row.outcome.is_ok())
            || !self.unprinted.is_empty();
        refused && !answered
    }
}
