//! All suspects of a job, ranked.

use circuit::{Job, Quantity};
use rayon::prelude::*;
use translate::{compare, Comparison};

use crate::suspects::all_faults::evaluated;
use crate::suspects::amperes::with_currents;
use crate::suspects::beside::{dead_windings, BesideReadings};
use crate::suspects::conclusion::{by_chance, conclusion, CONTRADICTION};
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::group::{gathered, AmbiguityGroup, Posterior};
use crate::suspects::hypotheses::{candidates, Candidate};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::log_sum;
use crate::suspects::likely_set::with_usual_leaks;
use crate::suspects::misread::wrong_readings;
use crate::suspects::nameless::none_of_these;
use crate::suspects::next::next_probes;
use crate::suspects::next_ohms::next_ohms;
use crate::suspects::next_parts::next_parts;
use crate::suspects::options::{GoOn, SuspectOptions};
use crate::suspects::pairs::pairs;
use crate::suspects::priors::{slips, NONE_OF_THESE, NOTHING_WRONG};
use crate::suspects::ranking::{NotComputed, Suspects};
use crate::suspects::reading::{readings, ReadingUsed, Readings, Sources};
use crate::suspects::screening::Screening;
use crate::suspects::steps::Steps;
use crate::suspects::unread::unread_points;
use crate::worst_case::WorstCaseVolts;
use reconcile::{ReconcileError, ValueStatus};

/// Ranks everything that may be wrong with the set on the bench.
///
/// # Errors
/// [`ReconcileError`] if the circuit in order has no trustworthy solution, or the covariance of its
/// readings cannot be inverted.
pub fn suspects(job: &Job, options: &SuspectOptions) -> Result<Suspects, ReconcileError> {
    suspects_of(job, &compare(job)?, options)
}

/// The same of readings that are compared with the manual already.
///
/// # Errors
/// As [`suspects`].
pub fn suspects_of(
    job: &Job,
    comparison: &Comparison,
    options: &SuspectOptions,
) -> Result<Suspects, ReconcileError> {
    let found = suspects_watched(job, comparison, options, &|_, _| true)?;
    // Nobody stopped it.
    found.ok_or(ReconcileError::NotPositive { readings: 0 })
}

/// The same for somebody who watches how far it is, and may stop it; none where that was done.
///
/// # Errors
/// As [`suspects`].
pub fn suspects_watched(
    job: &Job,
    comparison: &Comparison,
    options: &SuspectOptions,
    go_on: GoOn<'_>,
) -> Result<Option<Suspects>, ReconcileError> {
    let doubted = doubted(comparison);
    let sources = Sources {
        comparison,
        doubted: &doubted,
    };
    let mut read = readings(job, &sources, options.set.as_deref());
    let beside = BesideReadings::take(job, comparison, &mut read);
    let unread = unread_points(job, &sources, &mut read);
    let second = with_usual_leaks(comparison.translation.reconciled.second_set());
    let with_ammeters = with_currents(job, &sources, second, &mut read);
    let evaluator = Evaluator::new(&with_ammeters, &mut read)?;
    let in_order = evaluator.of_one_size(&[(Hypothesis::NothingWrong, 1.0)])?;
    let mut candidates = candidates(&job.circuit, &options.ages);
    if !beside.alternating.is_empty() {
        candidates.extend(dead_windings(&job.circuit, &options.ages));
    }
    let (all_right, one_wrong) = slips(read.used.len());
    let whole: f64 = candidates.iter().map(|candidate| candidate.weight).sum();
    let part_share = (1.0 - NOTHING_WRONG - NONE_OF_THESE) / whole.max(f64::MIN_POSITIVE);

    // Each fault is one step at screening, and another when it is evaluated.
    let steps = Steps::new(2 * candidates.len(), go_on);
    let screenings: Option<Vec<Result<Screening, ReconcileError>>> = candidates
        .par_iter()
        .map(|candidate| {
            let screening = evaluator.screening(candidate.hypothesis, candidate.sizes.as_ref());
            steps.one().then_some(screening)
        })
        .collect();
    let Some(screenings) = screenings else {
        return Ok(None);
    };
    let evaluated = evaluated(
        &evaluator,
        &candidates,
        screenings,
        &in_order,
        options.pairs,
        &steps,
    );
    let Some(evaluated) = evaluated else {
        return Ok(None);
    };
    let fails = fails(comparison, &read, &doubted);
    let reconciled = &comparison.translation.reconciled;
    let reach = read.used.iter().map(|used| {
        // What an ammeter drops says nothing of the sources.
        let is_volts = used.quantity == Quantity::DcVolts;
        let most = is_volts.then(|| reconciled.volts_by_sources(used.port));
        most.flatten().unwrap_or(f64::INFINITY)
    });
    let reach: Vec<f64> = reach.collect();
    let mut posteriors = vec![
        (in_order.clone(), all_right),
        (none_of_these(&evaluator, &in_order, &reach), NONE_OF_THESE),
    ];
    posteriors.extend(
        wrong_readings(job, &evaluator, &in_order, &read, &unread)
            .into_iter()
            .map(|evaluated| (evaluated, one_wrong)),
    );
    let mut not_computed = Vec::new();
    let mut singles: Vec<(Candidate, Evaluated, f64)> = Vec::new();
    for (candidate, evaluated) in candidates.into_iter().zip(evaluated) {
        let prior = candidate.weight * part_share;
        match evaluated {
            Ok(mut evaluated) if evaluated.log_likelihood.is_finite() => {
                if let Some(hidden) = evaluated.hidden.take() {
                    let share = hidden.share;
                    posteriors.push((*hidden, prior * share));
                }
                posteriors.push((evaluated.clone(), prior * evaluated.share));
                singles.push((candidate, evaluated, prior));
            }
            Ok(evaluated) => not_computed.push(NotComputed {
                hypothesis: candidate.hypothesis,
                prior,
                why: ReconcileError::NotPositive {
                    readings: evaluated.predicted.len(),
                },
            }),
            Err(why) => not_computed.push(NotComputed {
                hypothesis: candidate.hypothesis,
                prior,
                why,
            }),
        }
    }
    if options.pairs {
        posteriors.extend(pairs(&evaluator, &singles, NOTHING_WRONG));
    }
    let each = posteriors
        .iter()
        .map(|(evaluated, _)| evaluated.log_likelihood);
    let best = each.fold(f64::NEG_INFINITY, f64::max);
    posteriors
        .par_iter_mut()
        .for_each(|(evaluated, _)| beside.weigh(evaluated, best));
    let mut posteriors = posterior(posteriors);
    if fails {
        not_leading(&mut posteriors);
    }
    let gathered = gathered(&posteriors, &evaluator.shown);
    let (next, next_parts) = match options.probes {
        0 => (Vec::new(), Vec::new()),
        _ => {
            let place = (job, &WorstCaseVolts::of(&comparison.translation.reconciled));
            let found = (posteriors.as_slice(), gathered.as_slice());
            (
                next_probes(place, options, &evaluator, &read, &unread, found),
                next_parts(place, options, &evaluator, (&read, &unread), found),
            )
        }
    };
    let next_ohms = next_ohms(job, options.probes, (&posteriors, &gathered), &beside.ohms);
    let mut hypotheses: Vec<AmbiguityGroup> =
        gathered.into_iter().map(|(_, suspect)| suspect).collect();
    in_own_units(&mut hypotheses, &read.used);
    Ok(Some(Suspects {
        conclusion: conclusion(&hypotheses, read.used.len() + beside.len()),
        hypotheses,
        readings: read.used,
        unused: read.unused,
        ohms: beside.ohms,
        alternating: beside.alternating,
        doubted,
        not_computed,
        next,
        next_ohms,
        next_parts,
    }))
}

/// Predictions in volts, those of currents turned into amperes.
fn in_own_units(suspects: &mut [AmbiguityGroup], used: &[ReadingUsed]) {
    for suspect in suspects {
        let each = suspect.predicted.iter_mut().zip(&mut suspect.sigma);
        for ((predicted, sigma), used) in each.zip(used) {
            *predicted /= used.volts_per_unit();
            *sigma /= used.volts_per_unit();
        }
    }
}

/// Probability of lying inside its band below which a reading speaks against a set in order.
const FAILS: f64 = 0.01;

/// Whether some used reading fails its comparison with the manual beyond doubt. What is read at a
/// doubted value proves nothing against the set.
fn fails(comparison: &Comparison, read: &Readings, doubted: &[usize]) -> bool {
    let believed = |used: &&ReadingUsed| used.entry.is_none_or(|entry| !doubted.contains(&entry));
    read.used.iter().filter(believed).any(|used| {
        let compared = comparison.readings.get(used.reading);
        let judgement = compared.map(|compared| &compared.judgement);
        judgement.is_some_and(|own| {
            own.is_finding() && own.conformity.is_some_and(|share| share < FAILS)
        })
    })
}

/// Values of the manual that cannot be believed.
fn doubted(comparison: &Comparison) -> Vec<usize> {
    let reconciled = &comparison.translation.reconciled;
    let entries = 0..reconciled.job().manual.len();
    entries
        .filter(|entry| reconciled.value_status(*entry) != ValueStatus::Believed)
        .collect()
}

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
fn posterior(evaluated: Vec<(Evaluated, f64)>) -> Vec<Posterior> {
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
fn not_leading(posteriors: &mut [Posterior]) {
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
