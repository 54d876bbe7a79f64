//! A set with a reading that fails its comparison beyond doubt is never said to be in order.

use translate::Comparison;

use crate::suspects::group::Posterior;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::reading::{ReadingUsed, Readings};

/// Probability of lying inside its band below which a reading speaks against a set in order.
const FAILS: f64 = 0.01;

/// Whether some used reading fails its comparison with the manual beyond doubt. What is read at a
/// doubted value proves nothing against the set.
pub(crate) fn fails(comparison: &Comparison, read: &Readings, doubted: &[usize]) -> bool {
    let believed = |used: &&ReadingUsed| used.entry.is_none_or(|entry| !doubted.contains(&entry));
    read.used.iter().filter(believed).any(|used| {
        let compared = comparison.readings.get(used.reading);
        let judgement = compared.map(|compared| &compared.judgement);
        judgement.is_some_and(|own| {
            own.is_finding() && own.conformity.is_some_and(|share| share < FAILS)
        })
    })
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
