//! The manual's whole table, carried over.

use circuit::Job;
use rayon::prelude::*;
use solver::SolveError;
use thiserror::Error;

use crate::point::{carry, NotCarried, PointOutcome};
use crate::states::States;

/// A job's manual, carried over point by point.
#[derive(Clone, Debug)]
pub struct Translation {
    /// One for each entry of the manual, in its order.
    pub points: Vec<PointOutcome>,
}

/// Why nothing could be translated.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum TranslateError {
    /// The circuit has no trustworthy solution.
    #[error("the circuit has no trustworthy solution: {0}")]
    Unsolved(#[from] SolveError),
}

/// Carries every entry of the manual over to every bench meter.
///
/// # Errors
/// [`TranslateError::Unsolved`] if a circuit that some point rests on has no trustworthy
/// solution.
pub fn translate(job: &Job) -> Result<Translation, TranslateError> {
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
