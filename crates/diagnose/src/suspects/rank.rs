//! All suspects of a job, ranked.

use std::sync::Arc;

use circuit::{Job, Quantity};
use rayon::prelude::*;
use translate::{compare, Comparison};

use crate::hazard::WorstCaseVolts;
use crate::suspects::amperes::{with_currents, WithAmmeters};
use crate::suspects::bench_model::{BenchModel, Probe};
use crate::suspects::beside::{dead_windings, BesideReadings};
use crate::suspects::conclusion::conclusion;
use crate::suspects::evaluation::{Effort, Evaluated, Evaluator, InOrder};
use crate::suspects::group::{gathered, AmbiguityGroup};
use crate::suspects::hypotheses::{candidates, Candidate};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::{Joint, Shown};
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
use crate::suspects::reading::{readings, ReadingUsed, Readings, Sources, Unused};
use crate::suspects::screening::Screening;
use crate::suspects::steps::Steps;
use crate::suspects::unread::unread_points;
use crate::suspects::weighing::{not_leading, posterior};
use reconcile::{ReconcileError, ValueStatus};

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
    let evaluator = evaluator(&with_ammeters, &mut read)?;
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
        (screenings, &steps),
        (&in_order, options.pairs),
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

/// Every fault evaluated after screening, the plausible ones in full. The best
/// of a few is found first, so that the others need not go on once they lie far below it.
fn evaluated(
    evaluator: &Evaluator<'_>,
    candidates: &[Candidate],
    (screenings, steps): (Vec<Result<Screening, ReconcileError>>, &Steps<'_>),
    (in_order, pairs): (&Evaluated, bool),
) -> Option<Vec<Result<Evaluated, ReconcileError>>> {
    let least = Screening::least(screenings.iter().flatten()).min(in_order.chi_squared.0);
    // With pairs, evaluate implausible single faults too: each may be one of the two.
    let in_full = |screening: &Screening| pairs || screening.is_plausible(least);
    let one = |candidate: &Candidate, screening: Screening, unless_below: f64| {
        let effort = match in_full(&screening) {
            true => Effort::InFull { unless_below },
            false => Effort::ScreeningOnly,
        };
        evaluator.single((candidate.hypothesis, candidate.sizes), screening, effort)
    };
    let mut first: Vec<(f64, usize)> = screenings
        .iter()
        .enumerate()
        .filter_map(|(place, screening)| Some((screening.as_ref().ok()?, place)))
        .filter(|(screening, _)| in_full(screening))
        .map(|(screening, place)| (screening.chi_squared(), place))
        .collect();
    first.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    first.truncate(FIRST_TRIED);
    let best = first
        .par_iter()
        .filter_map(|(_, place)| {
            let screening = screenings[*place].as_ref().ok()?.clone();
            let evaluated = one(&candidates[*place], screening, f64::NEG_INFINITY).ok()?;
            Some(evaluated.log_likelihood_at_mode)
        })
        .reduce(|| in_order.log_likelihood, f64::max);
    let unless_below = if pairs {
        f64::NEG_INFINITY
    } else {
        best - FAR_BELOW
    };
    candidates
        .par_iter()
        .zip(screenings)
        .map(|(candidate, screening)| {
            let evaluated = screening.and_then(|screening| one(candidate, screening, unless_below));
            steps.one().then_some(evaluated)
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
        .filter(|entry| reconciled.value_status(*entry) != ValueStatus::Believed)
        .collect()
}

/// Share of what a fault moves by which the laws of tubes and semiconductors may be off (common
/// practice, no source; resistors have no such error).
const LAW_ERROR: f64 = 0.05;

/// The bench, and the set in order as the readings see it.
fn evaluator<'a>(
    made: &'a WithAmmeters,
    read: &mut Readings,
) -> Result<Evaluator<'a>, ReconcileError> {
    let bench = BenchModel::new(&made.second, &made.drawn, read.states.clone())?;
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
    let probes: Vec<Probe> = read.used.iter().map(Probe::of).collect();
    let (response, sensitivities) = bench.sensitivities(&[], &probes)?;
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
    Ok(Evaluator {
        in_order: InOrder {
            joint: Arc::new(Joint::new(&sensitivities, &bench.known, &shown)?),
            sensitivities: Arc::new(sensitivities),
            response,
        },
        law_error: match made.drawn.parts().iter().any(has_laws) {
            true => LAW_ERROR,
            false => 0.0,
        },
        bench,
        probes,
        shown,
        readings: read.used.iter().map(|used| used.reading).collect(),
    })
}
