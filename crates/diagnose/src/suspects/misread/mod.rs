//! A reading that is not what it is taken for, in a set that is otherwise in order.
//!
//! A slip is of a known kind, and each kind has its own cost over all values that it might have
//! produced: the point one place off, two digits that changed places, the value of another line, the
//! scale of another range, the sign; or a value from nowhere, which is spread over the whole range.
//! How often people do which is common practice without a source.

mod instead;
mod ways;

use circuit::{Job, Quantity};

use crate::suspects::bench_model::Probe;
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::{log_sum, Shown};
use crate::suspects::misread::instead::Instead;
use crate::suspects::misread::ways::{ways_to, NOWHERE};
use crate::suspects::misreading::Misreading;
use crate::suspects::reading::Readings;
use crate::suspects::unread::UnreadPoint;

/// A reading this close to what the others say, in standard deviations, needs no explanation.
const NEAR: f64 = 2.5;

/// Probability of an overrange that the point did not cause.
const STRAY_OVERRANGE: f64 = 0.1;

/// Each used reading tried as wrong.
pub(crate) fn wrong_readings(
    job: &Job,
    evaluator: &Evaluator<'_>,
    in_order: &Evaluated,
    read: &Readings,
    unread: &[UnreadPoint],
) -> Vec<Evaluated> {
    let points: Vec<(usize, Probe)> = read
        .used
        .iter()
        .filter(|used| used.quantity == Quantity::DcVolts)
        .filter_map(|used| used.entry.map(|entry| (entry, Probe::of(used))))
        .chain(unread.iter().map(|point| (point.entry, point.probe)))
        .collect();
    parallel::map(read.used.iter().enumerate(), |(place, used)| {
        let hypothesis = Hypothesis::ReadingWrong {
            reading: used.reading,
        };
        // Slips are known for volts; a current noted wrongly is a value from nowhere.
        let is_volts = used.quantity == Quantity::DcVolts;
        let instead = match is_volts && is_far(in_order, &evaluator.shown, place) {
            true => Instead::of(
                evaluator,
                &job.readings[used.reading],
                (used, place),
                &points,
            ),
            false => None,
        };
        evaluated_as_wrong(evaluator, in_order, place, hypothesis, instead.as_ref())
    })
}

/// Whether a reading is so far from what the others say that it asks for an explanation; an
/// overrange has none.
fn is_far(in_order: &Evaluated, shown: &Shown, place: usize) -> bool {
    let joint = &in_order.joint;
    let Some(row) = joint.valued.iter().position(|valued| *valued == place) else {
        return false;
    };
    let weighted = &joint.covariance.inverse * joint.residuals(shown, &in_order.predicted);
    weighted[row].abs() / joint.covariance.inverse[(row, row)].sqrt() > NEAR
}

/// Tries one reading as wrong. `in_order` is the trial of the set in order, `place` the reading's
/// place among those used.
fn evaluated_as_wrong(
    evaluator: &Evaluator<'_>,
    in_order: &Evaluated,
    place: usize,
    hypothesis: Hypothesis,
    instead: Option<&Instead>,
) -> Evaluated {
    let shown = &evaluator.shown;
    let joint = &in_order.joint;
    let residuals = joint.residuals(shown, &in_order.predicted);
    let mut evaluated = in_order.clone();
    evaluated.hides = false;
    evaluated.faults = vec![(hypothesis, 1.0)];
    evaluated.sizes = vec![None];
    let Some(row) = joint.valued.iter().position(|valued| *valued == place) else {
        let mut others = shown.clone();
        others.full_scale[place] = 0.0;
        // Beyond a full scale of nothing lies everything.
        let rest = joint.log_likelihood(&others, &in_order.predicted);
        evaluated.log_likelihood = rest + STRAY_OVERRANGE.ln();
        evaluated.log_likelihood_at_mode = evaluated.log_likelihood;
        evaluated.misread = Some(Misreading::Unexplained);
        return evaluated;
    };
    // Leaving out reading k: χ² falls by [S⁻¹r]_k²/[S⁻¹]_kk, |S| is multiplied by [S⁻¹]_kk.
    let weighted = &joint.covariance.inverse * &residuals;
    let own = joint.covariance.inverse[(row, row)];
    let chi_squared = (joint.chi_squared(&residuals) - weighted[row].powi(2) / own).max(0.0);
    let log_rest = -0.5 * chi_squared + joint.log_height()
        - 0.5 * (own.ln() - std::f64::consts::TAU.ln())
        + joint.log_overranges(shown, &in_order.predicted);
    let value = shown.volts[place].unwrap_or(0.0);
    // A value from nowhere may be any that the range of what is expected holds, however small the
    // one is that was noted.
    let expected = 1.5 * in_order.predicted[place].abs();
    let range = shown.full_scale[place].max(value.abs()).max(expected);
    let mut ways = vec![(
        Misreading::Unexplained,
        log_rest + (NOWHERE / (2.0 * range)).ln(),
    )];
    if let Some(instead) = instead {
        ways.extend(ways_to(evaluator, in_order, (place, value), instead));
    }
    let mut best = ways[0];
    for way in &ways {
        if way.1 > best.1 {
            best = *way;
        }
    }
    evaluated.log_likelihood = log_sum(ways.iter().map(|way| way.1));
    evaluated.log_likelihood_at_mode = best.1;
    evaluated.misread = Some(best.0);
    evaluated.predicted[place] = value;
    evaluated.chi_squared = (chi_squared, joint.valued.len() - 1);
    evaluated
}
