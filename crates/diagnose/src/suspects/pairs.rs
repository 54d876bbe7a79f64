//! Two faults at once: the best single faults, two at a time.
//!
//! Their prior is the product of both, relative to a set in order. Sizes are fitted in turns, each
//! with the other held; the likelihood is averaged over both as if they did not depend on each
//! other.

use rayon::prelude::*;

use crate::suspects::hypotheses::Candidate;
use crate::suspects::trial::{Trials, Tried};
use crate::suspects::view::Sized;

/// How many single faults are paired.
const BEST: usize = 12;

/// How often the sizes take turns.
const TURNS: usize = 2;

/// Every pair of the best single faults that sit in different parts, with its prior.
pub(crate) fn pairs(
    trials: &Trials<'_>,
    singles: &[(Candidate, Tried, f64)],
    nothing_wrong: f64,
) -> Vec<(Tried, f64)> {
    let mut order: Vec<usize> = (0..singles.len()).collect();
    let log = |place: usize| singles[place].1.log_likelihood + singles[place].2.ln();
    order.sort_by(|a, b| log(*b).total_cmp(&log(*a)).then(a.cmp(b)));
    let mut best: Vec<usize> = Vec::new();
    for place in order {
        // One fault of a part is enough: the others are ways to say the same.
        let part = singles[place].0.hypothesis.part;
        let known = best
            .iter()
            .any(|kept| singles[*kept].0.hypothesis.part == part);
        if !known && best.len() < BEST {
            best.push(place);
        }
    }
    let both: Vec<(usize, usize)> = (0..best.len())
        .flat_map(|i| (i + 1..best.len()).map(move |j| (i, j)))
        .map(|(i, j)| (best[i], best[j]))
        .collect();
    both.par_iter()
        .filter_map(|(a, b)| {
            let tried = pair(trials, &singles[*a], &singles[*b])?;
            Some((tried, singles[*a].2 * singles[*b].2 / nothing_wrong))
        })
        .filter(|(tried, _)| tried.log_likelihood.is_finite())
        .collect()
}

fn pair(
    trials: &Trials<'_>,
    a: &(Candidate, Tried, f64),
    b: &(Candidate, Tried, f64),
) -> Option<Tried> {
    let own = |one: &(Candidate, Tried, f64)| one.1.faults.first().copied();
    let (mut first, mut second): (Sized, Sized) = (own(a)?, own(b)?);
    let (mut paid_first, mut paid_second) = (0.0, 0.0);
    let mut sizes = [None, None];
    for _ in 0..TURNS {
        for (turn, fitted) in sizes.iter_mut().enumerate() {
            let (moving, held, candidate) = if turn == 0 {
                (&mut first, second, &a.0)
            } else {
                (&mut second, first, &b.0)
            };
            let Some(bounds) = candidate.sizes else {
                continue;
            };
            let tried = trials.of_many_sizes(moving.0, &bounds, held).ok()?;
            moving.1 = tried.faults.first()?.1;
            // What averaging over this size costs, against its best.
            let paid = tried.log_likelihood - tried.log_likelihood_at_mode;
            if turn == 0 {
                paid_first = paid;
            } else {
                paid_second = paid;
            }
            *fitted = tried.sizes.first().copied().flatten();
        }
        if a.0.sizes.is_none() || b.0.sizes.is_none() {
            break;
        }
    }
    let mut tried = trials.of_one_size(&[first, second]).ok()?;
    tried.sizes = sizes.to_vec();
    tried.log_likelihood = tried.log_likelihood_at_mode + paid_first + paid_second;
    Some(tried)
}
