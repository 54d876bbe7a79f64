//! What is found out about a job's manual before it is carried over: its meter, where it names
//! none, and which of its values are to be doubted.

use std::sync::Arc;

use circuit::Meter;
use reconcile::{belief_of, explained_belief, Belief, ClassInference, ReconcileError, Reconciled};
use report::{ManualView, Otherwise};
use translate::{compare, Comparison};

use crate::unknown_meter::ResolvedMeters;

/// Findings about one manual.
#[derive(Default)]
pub(crate) struct Findings {
    belief: Option<Belief>,
    /// Why there is no belief, in words.
    pub(crate) not_judged: Option<String>,
    classes: Option<ClassInference>,
    otherwise: Option<(Meter, Comparison)>,
}

impl Findings {
    /// Judges the manual of a settled job.
    pub(crate) fn of(resolved: &ResolvedMeters, reconciled: &Arc<Reconciled>) -> Self {
        Findings {
            belief: Some(belief_of(reconciled)),
            classes: resolved.inference.clone(),
            ..Findings::default()
        }
    }

    /// The same with the slips that would explain what is doubted.
    pub(crate) fn explained(resolved: &ResolvedMeters, reconciled: &Arc<Reconciled>) -> Self {
        let (belief, not_judged) = match explained_belief(reconciled) {
            Ok(belief) => (Some(belief), None),
            Err(error) => (None, Some(error.to_string())),
        };
        Findings {
            belief,
            not_judged,
            classes: resolved.inference.clone(),
            otherwise: None,
        }
    }

    /// The same with the answers of the next class, where the table does not decide.
    ///
    /// # Errors
    /// [`ReconcileError`] if the circuit has no trustworthy solution.
    pub(crate) fn with_alternative(
        mut self,
        resolved: &ResolvedMeters,
    ) -> Result<Self, ReconcileError> {
        if let Some((meter, job)) = &resolved.alternative {
            self.otherwise = Some((meter.clone(), compare(job)?));
        }
        Ok(self)
    }

    /// For a report.
    pub(crate) fn view(&self) -> ManualView<'_> {
        ManualView {
            belief: self.belief.as_ref(),
            classes: self.classes.as_ref(),
            otherwise: self
                .otherwise
                .as_ref()
                .map(|(meter, comparison)| Otherwise { meter, comparison }),
        }
    }
}
