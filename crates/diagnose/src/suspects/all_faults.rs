//! Every fault tried against the readings.
//!
//! All candidates come in; the trial of each goes out, in full where its screening makes that worth its time. How
//! one fault is tried is not known here ([`crate::suspects::trial`]).

use std::sync::Arc;

use reconcile::ReconcileError;

use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::hypotheses::Candidate;
use crate::suspects::options::GoOn;
use crate::suspects::screening::Screening;
use crate::suspects::spreads_kept::{most_spreads, Kept};
use crate::suspects::steps::Steps;
use crate::suspects::trial::Effort;

/// Faults that are tried first, and natural logarithms below the best of them from where a trial is
/// not worth going on: a share of 10⁻¹¹, beside which no prior matters.
const FIRST_TRIED: usize = 12;
const FAR_BELOW: f64 = 25.0;

/// A fault of a part, and what its trial gave.
pub(crate) type EvaluatedFault = (Candidate, Result<Evaluated, ReconcileError>);

/// Every fault screened, then evaluated, the plausible ones in full; none where somebody stopped
/// it. The best of a few is found first, so that the others need not go on once they lie far below it.
pub(crate) fn evaluated(
    evaluator: &Evaluator<'_>,
    candidates: Vec<Candidate>,
    nothing_wrong: &Evaluated,
    pairs: bool,
    go_on: GoOn<'_>,
) -> Option<Vec<EvaluatedFault>> {
    // Each fault is one step at screening, and another when it is evaluated.
    let steps = Steps::new(2 * candidates.len(), go_on);
    let screenings = parallel::map_while_some(&candidates, |candidate| {
        let screening = evaluator.screening(candidate.hypothesis, candidate.sizes.as_ref());
        steps.one().then_some(screening)
    })?;
    let least = Screening::least(screenings.iter().flatten()).min(nothing_wrong.chi_squared.0);
    // With pairs, evaluate implausible single faults too: each may be one of the two.
    let in_full = |screening: &Screening| pairs || screening.is_plausible(least);
    let one = |candidate: &Candidate, screening: Screening, unless_below: f64| {
        let effort = match in_full(&screening) {
            true => Effort::InFull { unless_below },
            false => Effort::ScreeningOnly,
        };
        evaluator.single(candidate.hypothesis, candidate.sizes, screening, effort)
    };
    let mut first: Vec<(f64, usize)> = screenings
        .iter()
        .enumerate()
        .filter_map(|(place, screening)| Some((screening.as_ref().ok()?, place)))
        .filter(|(screening, _)| in_full(screening))
        .map(|(screening, place)| (screening.chi_squared, place))
        .collect();
    first.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    first.truncate(FIRST_TRIED);
    let first = parallel::filter_map(first, |(_, place)| {
        let screening = screenings[place].as_ref().ok()?.clone();
        let evaluated = one(&candidates[place], screening, f64::NEG_INFINITY).ok()?;
        Some(evaluated.log_likelihood_at_mode)
    });
    let best = first
        .into_iter()
        .fold(nothing_wrong.log_likelihood, f64::max);
    let unless_below = if pairs {
        f64::NEG_INFINITY
    } else {
        best - FAR_BELOW
    };
    let spreads = Kept::new(most_spreads(evaluator));
    let in_order = &evaluator.in_order;
    let each = candidates.into_iter().zip(screenings).enumerate();
    let mut all = parallel::map_while_some(each, |(place, (candidate, screening))| {
        let mut evaluated =
            screening.and_then(|screening| one(&candidate, screening, unless_below));
        if let Ok(own) = &mut evaluated {
            if !Arc::ptr_eq(&own.joint, &in_order.joint) {
                let counts = own.log_likelihood_at_mode + candidate.weight.ln();
                spreads.keep(counts, place, own.scatter_as(in_order.spread()));
            }
        }
        steps.one().then_some((candidate, evaluated))
    })?;
    for (place, spread) in spreads.given_back() {
        if let Ok(own) = &mut all[place].1 {
            own.scatter_as(spread);
        }
    }
    Some(all)
}
