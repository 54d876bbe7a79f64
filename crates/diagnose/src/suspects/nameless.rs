//! Something that no fault of a single part is: a wire at the wrong lug, a slip in the drawing, more
//! faults than one.
//!
//! Nothing is known of it but that it leaves some readings as they were and moves others anywhere
//! that the sources reach: each reading is as in order, or lies evenly within what the circuit can show.
//! Readings of one point with one meter move together, for no circuit shows two values there. Beyond that
//! readings are taken one by one, without what they share, for nothing says which of them still share it.

use std::sync::Arc;

use crate::suspects::bench_model::Probe;
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::log_sum;

/// Share of the readings that it moves.
const MOVED: f64 = 0.5;

/// A reading further off than this many standard deviations counts as moved.
const OFF: f64 = 2.0;

/// Share of the readings that it moves beyond what the drawn sources reach: a source that is not drawn, or
/// drawn with too few volts (common practice, no source).
const BEYOND_SOURCES: f64 = 0.01;

/// It as a trial; `reach` are the most volts of either sign that the sources can produce at each reading's
/// port, infinite where nothing bounds them.
pub(crate) fn none_of_these(
    evaluator: &Evaluator<'_>,
    in_order: &Evaluated,
    reach: &[f64],
) -> Evaluated {
    let shown = &evaluator.shown;
    let joint = &in_order.joint;
    let values = shown.volts.iter().enumerate();
    let values = values.filter_map(|(place, volts)| Some((place, (*volts)?)));
    let reached = values.map(|(place, volts)| volts.abs().min(reach[place]));
    let most = in_order.predicted.iter().map(|volts| volts.abs());
    let most = reached.chain(most).fold(0.0, f64::max);
    let mut evaluated = in_order.clone();
    evaluated.hides = false;
    evaluated.faults = vec![(Hypothesis::NoneOfThese, 1.0)];
    evaluated.sizes = vec![None];
    evaluated.joint = Arc::clone(joint);
    let mut log_likelihood = 0.0;
    let mut unmoved = (0.0, 0);
    for group in of_one_point(&joint.valued, &evaluator.probes) {
        let (mut own, mut moved) = ((1.0 - MOVED).ln(), MOVED.ln());
        let (first, _) = group[0];
        for (place, sign) in group {
            let sigma = joint.sigma[place];
            let volts = shown.volts[place].unwrap_or(0.0);
            let off = (volts - in_order.predicted[place]) / sigma;
            own += log_normal(off, sigma);
            moved += match place == first {
                true if volts.abs() <= reach[place] + sigma => -(2.0 * (most + sigma)).ln(),
                true => (BEYOND_SOURCES / (2.0 * (volts.abs() + most))).ln(),
                false => {
                    let standard = (shown.noise[place] + shown.noise[first]).sqrt();
                    let apart = sign * volts - shown.volts[first].unwrap_or(0.0);
                    log_normal(apart / standard, standard)
                }
            };
            if off.abs() > OFF {
                evaluated.predicted[place] = volts;
            } else {
                unmoved = (unmoved.0 + off * off, unmoved.1 + 1);
            }
        }
        log_likelihood += log_sum([own, moved].into_iter());
    }
    // An overrange is as likely as not.
    let overranges = shown.volts.iter().filter(|volts| volts.is_none()).count();
    log_likelihood += overranges as f64 * MOVED.ln();
    evaluated.log_likelihood = log_likelihood;
    evaluated.log_likelihood_at_mode = log_likelihood;
    evaluated.chi_squared = unmoved;
    evaluated
}

/// Readings in groups of one point, meter and state, each with its sign beside the first of its group.
fn of_one_point(valued: &[usize], probes: &[Probe]) -> Vec<Vec<(usize, f64)>> {
    let mut groups: Vec<Vec<(usize, f64)>> = Vec::new();
    for place in valued {
        let own = probes[*place];
        let known = groups.iter_mut().find_map(|group| {
            let sign = own.sign_beside(&probes[group[0].0])?;
            Some((group, sign))
        });
        match known {
            Some((group, sign)) => group.push((*place, sign)),
            None => groups.push(vec![(*place, 1.0)]),
        }
    }
    groups
}

/// The logarithm of a normal density so many standard deviations from its mean.
fn log_normal(off: f64, standard: f64) -> f64 {
    -0.5 * off * off - (standard * std::f64::consts::TAU.sqrt()).ln()
}
