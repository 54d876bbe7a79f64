//! Probabilities from weights and likelihoods, and what misfit makes of them.

use crate::suspects::conclusion::{by_chance, CONTRADICTION};
use crate::suspects::evaluation::Evaluated;
use crate::suspects::group::Posterior;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::log_sum;

/// Least share of its weight that misfit leaves a fault: its likelihood has counted that already.
const LEAST_BELIEVED: f64 = 1e-6;

/// Share of its weight that a fault keeps in spite of its own misfit: where chance exceeds `rᵀS⁻¹r`
/// less often than [`CONTRADICTION`], something else is at work, which *none of these* stands for. A set
/// in order has a rule of its own.
fn believable(evaluated: &Evaluated) -> f64 {
    let (chi_squared, readings) = evaluated.chi_squared;
    let named = matches!(
        evaluated.faults[0].0,
        Hypothesis::NothingWrong | Hypothesis::NoneOfThese
    );
    match named || evaluated.hides {
        true => 1.0,
        false => (by_chance(chi_squared, readings) / CONTRADICTION).clamp(LEAST_BELIEVED, 1.0),
    }
}

/// Probability ∝ prior × likelihood, by what is believable of it.
pub(crate) fn posterior(evaluated: Vec<(Evaluated, f64)>) -> Vec<Posterior> {
    let log = |(evaluated, prior): &(Evaluated, f64)| {
        evaluated.log_likelihood + prior.ln() + believable(evaluated).ln()
    };
    let whole = log_sum(evaluated.iter().map(log));
    evaluated
        .into_iter()
        .map(|one| Posterior {
            probability: (log(&one) - whole).exp(),
            prior: one.1,
            evaluated: one.0,
        })
        .collect()
}

/// A set with a reading that fails beyond doubt is never said to be in order: where that would lead,
/// something that is none of the faults tried leads by a small margin, and both are given as one
/// suspect.
pub(crate) fn not_leading(posteriors: &mut [Posterior]) {
    let is = |one: &Posterior, hypothesis| one.evaluated.faults[0].0 == hypothesis;
    let nameless = |one: &Posterior| is(one, Hypothesis::NoneOfThese);
    let Some(place) = posteriors.iter().position(nameless) else {
        return;
    };
    // A fault that no reading tells from a set in order explains the reading that fails no better.
    let as_in_order = |one: &&Posterior| one.evaluated.hides && !nameless(one);
    let sum: f64 = posteriors
        .iter()
        .filter(as_in_order)
        .map(|one| one.probability)
        .sum();
    let next = posteriors
        .iter()
        .filter(|one| !as_in_order(one) && !nameless(one))
        .fold(0.0f64, |most, one| most.max(one.probability));
    if sum > next {
        let both = sum + posteriors[place].probability;
        let kept = sum.min(0.499 * both) / sum;
        let as_in_order = posteriors.iter_mut().filter(|one| as_in_order(&&**one));
        as_in_order.for_each(|one| one.probability *= kept);
        posteriors[place].probability = both - kept * sum;
    }
}
