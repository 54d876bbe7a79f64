//! All suspects of a job, ranked.

use std::sync::Arc;

use circuit::Job;
use rayon::prelude::*;
use translate::{compare, Comparison};

use crate::hazard::Reach;
use crate::suspects::amperes::{with_currents, WithAmmeters};
use crate::suspects::beside::{dead_windings, BesideReadings};
use crate::suspects::fault::Hypothesis;
use crate::suspects::glance::Glance;
use crate::suspects::group::{gathered, Suspect};
use crate::suspects::hypotheses::{candidates, Candidate};
use crate::suspects::likelihood::{Joint, Shown};
use crate::suspects::likely_set::with_usual_leaks;
use crate::suspects::misread::wrong_readings;
use crate::suspects::nameless::none_of_these;
use crate::suspects::next::{next_probes, unread_points};
use crate::suspects::next_ohms::next_ohms;
use crate::suspects::next_parts::next_parts;
use crate::suspects::pairs::pairs;
use crate::suspects::priors::{slips, NONE_OF_THESE, NOTHING_WRONG};
use crate::suspects::ranking::{GoOn, NotComputed, SuspectOptions, Suspects};
use crate::suspects::reading::{readings, ReadingUsed, Readings, Sources, Unused};
use crate::suspects::settled::settled;
use crate::suspects::steps::Steps;
use crate::suspects::trial::{Effort, InOrder, Trials, Tried};
use crate::suspects::view::{Bench, Look};
use crate::suspects::weighing::{not_leading, posterior};
use reconcile::{ReconcileError, Standing};

/// Faults that are tried first, and natural logarithms below the best of them from where a trial is
/// not worth going on: a share of 10⁻¹¹, beside which no prior matters.
const FIRST_TRIED: usize = 12;
const FAR_BELOW: f64 = 25.0;

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
    let trials = trials(&with_ammeters, &mut read)?;
    let in_order = trials.of_one_size(&[(Hypothesis::NOTHING_WRONG, 1.0)])?;
    let mut candidates = candidates(&job.circuit, &options.ages);
    if !beside.alternating.is_empty() {
        candidates.extend(dead_windings(&job.circuit, &options.ages));
    }
    let (all_right, one_wrong) = slips(read.used.len());
    let whole: f64 = candidates.iter().map(|candidate| candidate.weight).sum();
    let part_share = (1.0 - NOTHING_WRONG - NONE_OF_THESE) / whole.max(f64::MIN_POSITIVE);

    // Each fault is a step at its first look, and another when it is tried.
    let steps = Steps::new(2 * candidates.len(), go_on);
    let glances: Option<Vec<Result<Glance, ReconcileError>>> = candidates
        .par_iter()
        .map(|candidate| {
            let glance = trials.glance(candidate.hypothesis, candidate.sizes.as_ref());
            steps.one().then_some(glance)
        })
        .collect();
    let Some(glances) = glances else {
        return Ok(None);
    };
    let tried = tried(
        &trials,
        &candidates,
        (glances, &steps),
        (&in_order, options.pairs),
    );
    let Some(tried) = tried else {
        return Ok(None);
    };
    let fails = fails(comparison, &read, &doubted);
    let mut weighed = vec![
        (in_order.clone(), all_right),
        (none_of_these(&trials, &in_order), NONE_OF_THESE),
    ];
    weighed.extend(
        wrong_readings(job, &trials, &in_order, &read, &unread)
            .into_iter()
            .map(|tried| (tried, one_wrong)),
    );
    let mut not_computed = Vec::new();
    let mut singles: Vec<(Candidate, Tried, f64)> = Vec::new();
    for (candidate, tried) in candidates.into_iter().zip(tried) {
        let prior = candidate.weight * part_share;
        match tried {
            Ok(mut tried) if tried.log_likelihood.is_finite() => {
                if let Some(hidden) = tried.hidden.take() {
                    let share = hidden.share;
                    weighed.push((*hidden, prior * share));
                }
                weighed.push((tried.clone(), prior * tried.share));
                singles.push((candidate, tried, prior));
            }
            Ok(tried) => not_computed.push(NotComputed {
                hypothesis: candidate.hypothesis,
                prior,
                why: ReconcileError::NotPositive {
                    readings: tried.predicted.len(),
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
        weighed.extend(pairs(&trials, &singles, NOTHING_WRONG));
    }
    let each = weighed.iter().map(|(tried, _)| tried.log_likelihood);
    let best = each.fold(f64::NEG_INFINITY, f64::max);
    weighed
        .par_iter_mut()
        .for_each(|(tried, _)| beside.weigh(tried, best));
    let mut weighed = posterior(weighed);
    if fails {
        not_leading(&mut weighed);
    }
    let gathered = gathered(&weighed, &trials.shown);
    let (next, next_parts) = match options.probes {
        0 => (Vec::new(), Vec::new()),
        _ => {
            let place = (job, &Reach::of(&comparison.translation.reconciled));
            let found = (weighed.as_slice(), gathered.as_slice());
            (
                next_probes(place, options, &trials, &read, &unread, found),
                next_parts(place, options, &trials, (&read, &unread), found),
            )
        }
    };
    let next_ohms = next_ohms(job, options.probes, (&weighed, &gathered), &beside.ohms);
    let mut hypotheses: Vec<Suspect> = gathered.into_iter().map(|(_, suspect)| suspect).collect();
    in_own_units(&mut hypotheses, &read.used);
    Ok(Some(Suspects {
        settled: settled(&hypotheses, read.used.len() + beside.len()),
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
fn in_own_units(suspects: &mut [Suspect], used: &[ReadingUsed]) {
    for suspect in suspects {
        let each = suspect.predicted.iter_mut().zip(&mut suspect.sigma);
        for ((predicted, sigma), used) in each.zip(used) {
            *predicted /= used.volts_per_unit();
            *sigma /= used.volts_per_unit();
        }
    }
}

/// Every fault tried after its first look, those that the readings may speak for in full. The best
/// of a few is found first, so that the others need not go on once they lie far below it.
fn tried(
    trials: &Trials<'_>,
    candidates: &[Candidate],
    (glances, steps): (Vec<Result<Glance, ReconcileError>>, &Steps<'_>),
    (in_order, pairs): (&Tried, bool),
) -> Option<Vec<Result<Tried, ReconcileError>>> {
    let least = Glance::least(glances.iter().flatten()).min(in_order.chi_squared.0);
    // What is hopeless alone may be half of the truth.
    let in_full = |glance: &Glance| pairs || glance.is_plausible(least);
    let one = |candidate: &Candidate, glance: Glance, unless_below: f64| {
        let effort = match in_full(&glance) {
            true => Effort::InFull { unless_below },
            false => Effort::FirstLook,
        };
        trials.single((candidate.hypothesis, candidate.sizes), glance, effort)
    };
    let mut first: Vec<(f64, usize)> = glances
        .iter()
        .enumerate()
        .filter_map(|(place, glance)| Some((glance.as_ref().ok()?, place)))
        .filter(|(glance, _)| in_full(glance))
        .map(|(glance, place)| (glance.chi_squared(), place))
        .collect();
    first.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    first.truncate(FIRST_TRIED);
    let best = first
        .par_iter()
        .filter_map(|(_, place)| {
            let glance = glances[*place].as_ref().ok()?.clone();
            let tried = one(&candidates[*place], glance, f64::NEG_INFINITY).ok()?;
            Some(tried.log_likelihood_at_mode)
        })
        .reduce(|| in_order.log_likelihood, f64::max);
    let unless_below = if pairs {
        f64::NEG_INFINITY
    } else {
        best - FAR_BELOW
    };
    candidates
        .par_iter()
        .zip(glances)
        .map(|(candidate, glance)| {
            let tried = glance.and_then(|glance| one(candidate, glance, unless_below));
            steps.one().then_some(tried)
        })
        .collect()
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
        .filter(|entry| reconciled.standing(*entry) != Standing::Believed)
        .collect()
}

/// Share of what a fault moves by which the laws of tubes and semiconductors may be off (common
/// practice, no source; resistors have no such error).
const LAW_ERROR: f64 = 0.05;

/// The bench, and the set in order as the readings see it.
fn trials<'a>(made: &'a WithAmmeters, read: &mut Readings) -> Result<Trials<'a>, ReconcileError> {
    let bench = Bench::new(&made.second, &made.drawn, read.states.clone())?;
    // A point that no current reaches has no voltage to compare.
    let floating = |used: &ReadingUsed| bench.floats(used.state, used.port);
    let (gone, used) = std::mem::take(&mut read.used)
        .into_iter()
        .partition(floating);
    read.used = used;
    read.unused
        .extend(gone.into_iter().map(|used: ReadingUsed| Unused {
            reading: used.reading,
            why: crate::suspects::WhyUnused::Floating,
        }));
    let looks: Vec<Look> = read.used.iter().map(look).collect();
    let (view, spread) = bench.spread(&[], &looks)?;
    let shown = Shown {
        volts: (read
            .used
            .iter()
            .map(|used| Some(used.shown? * used.volts_per_unit())))
        .collect(),
        full_scale: (read.used.iter())
            .map(|used| used.range.full_scale * used.volts_per_unit())
            .collect(),
        noise: (read.used.iter())
            .map(|used| used.noise * used.volts_per_unit().powi(2))
            .collect(),
    };
    let has_laws = |part: &circuit::Part| matches!(part.kind, circuit::PartKind::Device(_));
    Ok(Trials {
        in_order: InOrder {
            joint: Arc::new(Joint::new(&spread, &bench.known, &shown)?),
            spread: Arc::new(spread),
            view,
        },
        law_error: match made.drawn.parts().iter().any(has_laws) {
            true => LAW_ERROR,
            false => 0.0,
        },
        bench,
        looks,
        shown,
        readings: read.used.iter().map(|used| used.reading).collect(),
    })
}

/// Where a reading was taken, and with what load.
pub(crate) fn look(used: &ReadingUsed) -> Look {
    Look {
        port: used.port,
        siemens: used.siemens(),
        state: used.state,
    }
}
