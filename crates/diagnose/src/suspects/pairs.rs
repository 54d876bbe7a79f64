//! Two faults at once: the best single faults, two at a time, and the very best with whatever explains
//! most of what they leave.
//!
//! Their prior is the product of both, relative to a set in order. Sizes are fitted in turns, each
//! with the other held; the likelihood is averaged over both as if they did not depend on each
//! other.

use crate::suspects::bench_model::SizedFault;
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::hypotheses::Candidate;

/// How many single faults are paired.
const BEST: usize = 12;

/// How many of those are tried with any second fault, and with how many of these in full.
const VERY_BEST: usize = 4;
const SECONDS: usize = 8;

/// Sizes at which a second fault is screened.
const SIZES: usize = 4;

/// How often the sizes take turns.
const TURNS: usize = 2;

/// Every pair of the best single faults that sit in different parts, with its prior.
pub(crate) fn pairs(
    evaluator: &Evaluator<'_>,
    singles: &[(Candidate, Evaluated, f64)],
    nothing_wrong: f64,
) -> Vec<(Evaluated, f64)> {
    let mut order: Vec<usize> = (0..singles.len()).collect();
    let log = |place: usize| singles[place].1.log_likelihood + singles[place].2.ln();
    order.sort_by(|a, b| log(*b).total_cmp(&log(*a)).then(a.cmp(b)));
    let mut best: Vec<usize> = Vec::new();
    for place in order {
        // One fault of a part is enough: the others are ways to say the same.
        let part = singles[place].0.hypothesis.part();
        let known = best
            .iter()
            .any(|kept| singles[*kept].0.hypothesis.part() == part);
        if !known && best.len() < BEST {
            best.push(place);
        }
    }
    let mut both: Vec<(usize, usize, Option<f64>)> = (0..best.len())
        .flat_map(|i| (i + 1..best.len()).map(move |j| (i, j)))
        .map(|(i, j)| (best[i], best[j], None))
        .collect();
    for a in best.iter().take(VERY_BEST) {
        let known = |b: usize| both.iter().any(|pair| [pair.0, pair.1] == [*a, b]);
        let more = seconds(evaluator, singles, *a);
        let more: Vec<_> = more.into_iter().filter(|(b, _)| !known(*b)).collect();
        both.extend(more.into_iter().map(|(b, size)| (*a, b, Some(size))));
    }
    parallel::filter_map(both, |(a, b, size)| {
        let evaluated = pair(evaluator, &singles[a], &singles[b], size)?;
        let is_possible = evaluated.log_likelihood.is_finite();
        is_possible.then_some((evaluated, singles[a].2 * singles[b].2 / nothing_wrong))
    })
}

/// The faults that explain most of what one leaves unexplained, in its own spread, each with the size
/// at which it does.
fn seconds(
    evaluator: &Evaluator<'_>,
    singles: &[(Candidate, Evaluated, f64)],
    a: usize,
) -> Vec<(usize, f64)> {
    let (candidate, evaluated, _) = &singles[a];
    let Some(first) = evaluated.faults.first().copied() else {
        return Vec::new();
    };
    let part = candidate.hypothesis.part();
    let others = singles.iter().enumerate();
    let others = others.filter(|(_, other)| other.0.hypothesis.part() != part);
    let mut found: Vec<(f64, usize, f64)> = parallel::filter_map(others, |(b, other)| {
        let sizes = match other.0.sizes {
            Some(sizes) => sizes.spaced(SIZES).into_iter().map(f64::exp).collect(),
            None => vec![1.0],
        };
        let each = sizes.into_iter().filter_map(move |size| {
            let faults = [first, (other.0.hypothesis, size)];
            let response = evaluator.bench.response(&faults, &evaluator.probes).ok()?;
            let chi_squared = evaluator
                .chi_squared(&evaluated.joint, &evaluator.predicted(&response))
                .0;
            (chi_squared < evaluated.chi_squared.0).then_some((chi_squared, b, size))
        });
        each.min_by(|x, y| x.0.total_cmp(&y.0))
    });
    found.sort_by(|x, y| x.0.total_cmp(&y.0).then(x.1.cmp(&y.1)));
    found.truncate(SECONDS);
    found.into_iter().map(|(_, b, size)| (b, size)).collect()
}

fn pair(
    evaluator: &Evaluator<'_>,
    a: &(Candidate, Evaluated, f64),
    b: &(Candidate, Evaluated, f64),
    size: Option<f64>,
) -> Option<Evaluated> {
    let own = |one: &(Candidate, Evaluated, f64)| one.1.faults.first().copied();
    let (mut first, mut second): (SizedFault, SizedFault) = (own(a)?, own(b)?);
    second.1 = size.unwrap_or(second.1);
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
            let evaluated = evaluator.of_many_sizes(moving.0, &bounds, held).ok()?;
            moving.1 = evaluated.faults.first()?.1;
            // What averaging over this size costs, against its best.
            let paid = evaluated.log_likelihood - evaluated.log_likelihood_at_mode;
            if turn == 0 {
                paid_first = paid;
            } else {
                paid_second = paid;
            }
            *fitted = evaluated.sizes.first().copied().flatten();
        }
        if a.0.sizes.is_none() || b.0.sizes.is_none() {
            break;
        }
    }
    let mut evaluated = evaluator.of_one_size(&[first, second]).ok()?;
    evaluated.sizes = sizes.to_vec();
    evaluated.log_likelihood = evaluated.log_likelihood_at_mode + paid_first + paid_second;
    Some(evaluated)
}
