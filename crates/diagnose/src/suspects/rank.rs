//! All suspects of a job, ranked.

use circuit::{Job, Quantity};
use translate::{compare, Comparison};

use crate::suspects::all_faults::{evaluated, EvaluatedFault};
use crate::suspects::amperes::with_currents;
use crate::suspects::beside::{dead_windings, BesideReadings};
use crate::suspects::conclusion::{by_chance, conclusion, CONTRADICTION};
use crate::suspects::doubted::{against_print, doubted, leave_out};
use crate::suspects::evaluation::{Evaluated, Evaluator, UNEXPLAINED};
use crate::suspects::failing::{fails, not_leading};
use crate::suspects::group::{gathered, AmbiguityGroup, Posterior};
use crate::suspects::hypotheses::{candidates, Candidate};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::log_sum;
use crate::suspects::likely_set::on_the_bench;
use crate::suspects::misread::wrong_readings;
use crate::suspects::nameless::none_of_these;
use crate::suspects::next::{next_probes, NextProbe};
use crate::suspects::next_ohms::next_ohms;
use crate::suspects::next_parts::{next_parts, NextPart};
use crate::suspects::options::{GoOn, SuspectOptions};
use crate::suspects::pairs::pairs;
use crate::suspects::priors::{slips, NONE_OF_THESE, NOTHING_WRONG};
use crate::suspects::ranking::{NotComputed, Suspects};
use crate::suspects::reading::{readings, ReadingUsed, Readings, Sources};
use crate::suspects::unread::{unread_points, UnreadPoint};
use crate::worst_case::WorstCaseVolts;
use reconcile::ReconcileError;

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
    let (doubted, confirmed) = doubted(job, comparison, options.set.as_deref())?;
    let sources = Sources {
        comparison,
        doubted: &doubted,
    };
    let mut read = readings(job, &sources, options.set.as_deref());
    leave_out(&mut read, &confirmed);
    let beside = BesideReadings::take(job, comparison, &mut read);
    let unread = unread_points(job, &sources, &mut read);
    let second = on_the_bench(comparison.translation.reconciled.second_set());
    let with_ammeters = with_currents(job, &sources, second, &mut read);
    let evaluator = Evaluator::new(&with_ammeters, &mut read, &job.manual)?;
    let ranking = Ranking {
        job,
        comparison,
        options,
        in_order: evaluator.of_one_size(&[(Hypothesis::NothingWrong, 1.0)])?,
        evaluator: &evaluator,
        read: &read,
        beside: &beside,
        unread: &unread,
    };
    let mut candidates = candidates(&job.circuit, &options.ages);
    if !beside.alternating.is_empty() {
        candidates.extend(dead_windings(&job.circuit, &options.ages));
    }
    let in_order = &ranking.in_order;
    let Some(each_fault) = evaluated(&evaluator, candidates, in_order, options.pairs, go_on) else {
        return Ok(None);
    };
    let (weighed, not_computed) = ranking.weighed(each_fault);
    let mut posteriors = posterior(weighed);
    // In its other state a set fails beyond doubt and is in order.
    let in_other_state = evaluator.bench.in_other_state;
    if !in_other_state && fails(comparison, &read, &doubted) {
        not_leading(&mut posteriors);
    }
    let mut gathered = gathered(&posteriors, &evaluator.shown);
    beside_off(&beside, &posteriors, &mut gathered);
    let (next, next_parts) = ranking.advice(&posteriors, &gathered);
    let next_ohms = next_ohms(job, options.probes, (&posteriors, &gathered), &beside.ohms);
    let mut hypotheses: Vec<AmbiguityGroup> =
        gathered.into_iter().map(|(_, suspect)| suspect).collect();
    in_own_units(&mut hypotheses, &read.used);
    Ok(Some(Suspects {
        conclusion: conclusion(&hypotheses, read.used.len() + beside.len()),
        hypotheses,
        against_print: against_print(comparison, &read.used, &doubted),
        readings: read.used,
        unused: read.unused,
        ohms: beside.ohms,
        alternating: beside.alternating,
        doubted,
        in_other_state,
        not_computed,
        next,
        next_ohms,
        next_parts,
    }))
}

/// All that the faults are tried with.
struct Ranking<'a> {
    job: &'a Job,
    comparison: &'a Comparison,
    options: &'a SuspectOptions,
    evaluator: &'a Evaluator<'a>,
    /// The set in order, tried against the readings.
    in_order: Evaluated,
    read: &'a Readings,
    beside: &'a BesideReadings<'a>,
    unread: &'a [UnreadPoint],
}

/// A trial, and its probability before the readings.
type Weighed = (Evaluated, f64);

impl Ranking<'_> {
    /// Everything that may be wrong, with its prior, and the faults that could not be computed.
    fn weighed(&self, each_fault: Vec<EvaluatedFault>) -> (Vec<Weighed>, Vec<NotComputed>) {
        let mut weighed = self.no_part();
        let mut not_computed = Vec::new();
        let mut singles: Vec<(Candidate, Evaluated, f64)> = Vec::new();
        let whole: f64 = each_fault.iter().map(|(fault, _)| fault.weight).sum();
        let part_share = (1.0 - NOTHING_WRONG - NONE_OF_THESE) / whole.max(f64::MIN_POSITIVE);
        for (candidate, evaluated) in each_fault {
            let prior = candidate.weight * part_share;
            let why = match evaluated {
                Ok(mut evaluated) if evaluated.log_likelihood.is_finite() => {
                    if let Some(hidden) = evaluated.hidden.take() {
                        let share = hidden.share;
                        weighed.push((*hidden, prior * share));
                    }
                    let share = evaluated.share;
                    if self.options.pairs {
                        singles.push((candidate, evaluated.clone(), prior));
                    }
                    weighed.push((evaluated, prior * share));
                    continue;
                }
                Ok(evaluated) => ReconcileError::NotPositive {
                    readings: evaluated.predicted.len(),
                },
                Err(why) => why,
            };
            not_computed.push(NotComputed {
                hypothesis: candidate.hypothesis,
                prior,
                why,
            });
        }
        if self.options.pairs {
            weighed.extend(pairs(self.evaluator, &singles, NOTHING_WRONG));
        }
        let each = weighed.iter().map(|(trial, _)| trial.log_likelihood);
        let best = each.fold(f64::NEG_INFINITY, f64::max);
        parallel::map(&mut weighed, |(trial, _)| self.beside.weigh(trial, best));
        (weighed, not_computed)
    }

    /// What blames no part: a set in order, none of the faults tried, a reading that is wrong.
    fn no_part(&self) -> Vec<Weighed> {
        let (evaluator, in_order) = (self.evaluator, &self.in_order);
        let (all_right, one_wrong) = slips(self.read.used.len());
        let reconciled = &self.comparison.translation.reconciled;
        let reach = self.read.used.iter().map(|used| {
            // What an ammeter drops says nothing of the sources.
            let is_volts = used.quantity == Quantity::DcVolts;
            let most = is_volts.then(|| reconciled.volts_by_sources(used.port));
            most.flatten().unwrap_or(f64::INFINITY)
        });
        let reach: Vec<f64> = reach.collect();
        let nameless = none_of_these(evaluator, in_order, &reach);
        let wrong = wrong_readings(self.job, evaluator, in_order, self.read, self.unread);
        [(in_order.clone(), all_right), (nameless, NONE_OF_THESE)]
            .into_iter()
            .chain(wrong.into_iter().map(|evaluated| (evaluated, one_wrong)))
            .collect()
    }

    /// What to measure next: at places of the circuit, and after a step on a part.
    fn advice(
        &self,
        posteriors: &[Posterior],
        gathered: &[(Vec<usize>, AmbiguityGroup)],
    ) -> (Vec<NextProbe>, Vec<NextPart>) {
        let (options, evaluator) = (self.options, self.evaluator);
        if options.probes == 0 {
            return (Vec::new(), Vec::new());
        }
        let reconciled = &self.comparison.translation.reconciled;
        let place = (self.job, &WorstCaseVolts::of(reconciled));
        let found = (posteriors, gathered);
        let (read, unread) = (self.read, self.unread);
        (
            next_probes(place, options, evaluator, read, unread, found),
            next_parts(place, options, evaluator, (read, unread), found),
        )
    }
}

/// Which resistances each suspect leaves unexplained.
fn beside_off(
    beside: &BesideReadings<'_>,
    posteriors: &[Posterior],
    gathered: &mut [(Vec<usize>, AmbiguityGroup)],
) {
    if beside.ohms.is_empty() {
        return;
    }
    parallel::map(gathered, |(members, suspect)| {
        let first = members.first().map(|place| &posteriors[*place].evaluated);
        // *None of these* is no circuit.
        let first = first.filter(|own| own.faults[0].0 != Hypothesis::NoneOfThese);
        suspect.ohms_unexplained =
            first.map_or(Vec::new(), |own| beside.ohms_off(&own.faults, UNEXPLAINED));
    });
}

/// Predictions in volts, those of currents turned into amperes.
fn in_own_units(suspects: &mut [AmbiguityGroup], used: &[ReadingUsed]) {
    for suspect in suspects {
        let each = suspect.predicted.iter_mut().zip(&mut suspect.sigma);
        for ((predicted, sigma), used) in each.zip(used) {
            *predicted /= used.volts_per_unit();
            *sigma /= used.volts_per_unit();
        }
        for member in &mut suspect.members {
            for (predicted, used) in member.predicted.iter_mut().zip(used) {
                *predicted /= used.volts_per_unit();
            }
        }
    }
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
