//! Something that no fault of a single part is: a wire at the wrong lug, a slip in the drawing, more
//! faults than one.
//!
//! Nothing is known of it but that it leaves some readings as they were and moves others anywhere:
//! each reading is as in order, or lies evenly within what the circuit can show. Readings are taken
//! one by one here, without what they share, for nothing says which of them still share it.

use std::sync::Arc;

use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::fault::Hypothesis;
use crate::suspects::likelihood::log_sum;

/// Share of the readings that it moves.
const MOVED: f64 = 0.5;

/// A reading further off than this many standard deviations counts as moved.
const OFF: f64 = 2.0;

/// It as a trial.
pub(crate) fn none_of_these(evaluator: &Evaluator<'_>, in_order: &Evaluated) -> Evaluated {
    let shown = &evaluator.shown;
    let joint = &in_order.joint;
    let most = shown
        .volts
        .iter()
        .flatten()
        .chain(&in_order.predicted)
        .fold(0.0f64, |most, volts| most.max(volts.abs()));
    let mut evaluated = in_order.clone();
    evaluated.hides = false;
    evaluated.faults = vec![(Hypothesis::NONE_OF_THESE, 1.0)];
    evaluated.sizes = vec![None];
    evaluated.joint = Arc::clone(joint);
    let mut log_likelihood = 0.0;
    let mut unmoved = (0.0, 0);
    for place in &joint.valued {
        let sigma = joint.sigma[*place];
        let volts = shown.volts[*place].unwrap_or(0.0);
        let off = (volts - in_order.predicted[*place]) / sigma;
        let anywhere = 2.0 * (most + sigma);
        let own = -0.5 * off * off - (sigma * std::f64::consts::TAU.sqrt()).ln();
        let ways = [(1.0 - MOVED).ln() + own, (MOVED / anywhere).ln()];
        log_likelihood += log_sum(ways.into_iter());
        if off.abs() > OFF {
            evaluated.predicted[*place] = volts;
        } else {
            unmoved = (unmoved.0 + off * off, unmoved.1 + 1);
        }
    }
    // An overrange is as likely as not.
    let overranges = shown.volts.iter().filter(|volts| volts.is_none()).count();
    log_likelihood += overranges as f64 * MOVED.ln();
    evaluated.log_likelihood = log_likelihood;
    evaluated.log_likelihood_at_mode = log_likelihood;
    evaluated.chi_squared = unmoved;
    evaluated
}
