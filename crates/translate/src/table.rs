//! The manual's whole table, carried over.

use circuit::Job;
use rayon::prelude::*;
use reconcile::ReconcileError;

use crate::point::{carry, NotCarried, PointOutcome};
use reconcile::States;

/// A job's manual, carried over point by point.
#[derive(Clone, Debug)]
pub struct Translation {
    /// One for each entry of the manual, in its order.
    pub points: Vec<PointOutcome>,
}

/// Carries every entry of the manual over to every bench meter.
///
/// # Errors
/// [`ReconcileError::Unsolved`] if a circuit that some point rests on has no trustworthy
/// solution.
pub fn translate(job: &Job) -> Result<Translation, ReconcileError> {
    let states = States::new(job);
    let points: Vec<PointOutcome> = (0..job.manual.len())
        .into_par_iter()
        .map(|index| carry(job, &states, index))
        .collect();
    for point in &points {
        if let Err(NotCarried::Unsolved(error)) = &point.outcome {
            return Err(error.clone().into());
        }
    }
    Ok(Translation { points })
}
