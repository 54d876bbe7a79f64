//! Probabilities from weights and likelihoods, and what misfit makes of them.

use crate::suspects::group::Weighed;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::log_sum;
use crate::suspects::settled::{by_chance, CONTRADICTION};
use crate::suspects::trial::Tried;

/// Least share of its weight that misfit leaves a fault: its likelihood has counted that already.
const LEAST_BELIEVED: f64 = 1e-6;

/// Share of its weight that a fault keeps in spite of its own misfit: where chance exceeds `rᵀS⁻¹r`
/// less often than [`CONTRADICTION`], something else is at work, which *none of these* stands for. A set
/// in order has a rule of its own.
fn believable(tried: &Tried) -> f64 {
    let (chi_squared, readings) = tried.chi_squared;
    let named = matches!(
        tried.faults[0].0,
        Hypothesis::NothingWrong | Hypothesis::NoneOfThese
    );
    match named || tried.hides {
        true => 1.0,
        false => (by_chance(chi_squared, readings) / CONTRADICTION).clamp(LEAST_BELIEVED, 1.0),
    }
}

/// Probability ∝ prior × likelihood, by what is believable of it.
pub(crate) fn posterior(tried: Vec<(Tried, f64)>) -> Vec<Weighed> {
    let log =
        |(tried, prior): &(Tried, f64)| tried.log_likelihood + prior.ln() + believable(tried).ln();
    let whole = log_sum(tried.iter().map(log));
    tried
        .into_iter()
        .map(|one| Weighed {
            probability: (log(&one) - whole).exp(),
            prior: one.1,
            tried: one.0,
        })
        .collect()
}

/// A set with a reading that fails beyond doubt is never said to be in order: where that would lead,
/// something that is none of the faults tried leads by a hair, and both stand for one another.
pub(crate) fn not_leading(weighed: &mut [Weighed]) {
    let is = |one: &Weighed, hypothesis| one.tried.faults[0].0 == hypothesis;
    let nameless = |one: &Weighed| is(one, Hypothesis::NoneOfThese);
    let Some(place) = weighed.iter().position(nameless) else {
        return;
    };
    // A fault that no reading tells from a set in order explains the reading that fails no better.
    let as_in_order = |one: &&Weighed| one.tried.hides && !nameless(one);
    let sum: f64 = weighed
        .iter()
        .filter(as_in_order)
        .map(|one| one.probability)
        .sum();
    let next = weighed
        .iter()
        .filter(|one| !as_in_order(one) && !nameless(one))
        .fold(0.0f64, |most, one| most.max(one.probability));
    if sum > next {
        let both = sum + weighed[place].probability;
        let kept = sum.min(0.499 * both) / sum;
        let as_in_order = weighed.iter_mut().filter(|one| as_in_order(&&**one));
        as_in_order.for_each(|one| one.probability *= kept);
        weighed[place].probability = both - kept * sum;
    }
}
