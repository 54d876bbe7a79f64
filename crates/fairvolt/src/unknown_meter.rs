//! A manual that does not name its meter: the class is inferred from the table.
//!
//! A job comes in; the job with the likeliest class put in goes out, and beside it the job with the
//! next class where the table does not decide. The probability of a class is computed by
//! `reconcile`.

use circuit::{Job, Meter, Quantity};
use reconcile::{alike, decisive, meter_classes, ClassInference, ReconcileError};
use thiserror::Error;

/// A job whose entries all have a meter.
#[derive(Debug)]
pub(crate) struct ResolvedMeters {
    /// The job, with the likeliest class put in.
    pub(crate) job: Job,
    /// How likely each class is; none where the manual names its meters.
    pub(crate) inference: Option<ClassInference>,
    /// The next class that loads a point otherwise, and the job with it; none where the table
    /// decides.
    pub(crate) alternative: Option<(Meter, Job)>,
}

/// Why the meter of a job remains unknown.
#[derive(Debug, Error)]
pub(crate) enum UnresolvedMeters {
    /// None of the values read with it can be predicted.
    #[error(
        "the manual does not name the meter of {values} of its values, and the drawn circuit \
         predicts none of them, so the meter cannot be told from them"
    )]
    Untold {
        /// How many direct-volt values have no meter.
        values: usize,
    },
    /// The table cannot be judged.
    #[error("which meter the manual was read with cannot be told: {0}")]
    Unjudged(#[from] ReconcileError),
}

/// Puts a class in for a meter that the manual does not name; a job that names its meters comes
/// back as it is.
///
/// # Errors
/// [`UnresolvedMeters`] if the table tells nothing of the meter.
pub(crate) fn resolve_meters(job: &Job) -> Result<ResolvedMeters, UnresolvedMeters> {
    let unknown = job.unknown_meter_entries();
    let volts = |index: &&usize| job.manual[**index].quantity == Quantity::DcVolts;
    let values = unknown.iter().filter(volts).count();
    if values == 0 {
        // Only direct volts are carried over; what stands in for the others is never used.
        return Ok(ResolvedMeters {
            job: job.clone(),
            inference: None,
            alternative: None,
        });
    }
    let inference = meter_classes(job, &unknown)?;
    let classes = &inference.likelihoods;
    let Some(best) = classes.first() else {
        return Err(UnresolvedMeters::Untold { values });
    };
    let next = match decisive(classes) {
        Some(_) => None,
        None => classes
            .iter()
            .skip(1)
            .find(|class| !alike(&class.meter, &best.meter)),
    };
    Ok(ResolvedMeters {
        job: job.with_unknown_meter(&best.meter),
        alternative: next.map(|next| {
            let job = job.with_unknown_meter(&next.meter);
            (next.meter.clone(), job)
        }),
        inference: Some(inference),
    })
}
