//! The document of the suspects of a job: those probable enough, and where to probe next.

mod next;
mod records;

use circuit::Job;
use diagnose::{AmbiguityGroup, Conclusion, Member, Misreading, Size, Suspects, USUAL_AGE};

use super::kind::Kind;
use super::{finite, of_jobs};
use crate::error::ReportError;
use crate::suspects::{
    blamed, fault_words, shown, size_unit, suspect_words, unit_of, unused_words, verdict,
};
use crate::views::SuspectsView;

pub(super) use records::Body;
use records::{
    Age, LeftOut, Misread, NotUsed, NotWeighed, One, Predicted, Record, Second, SizeRecord, Verdict,
};

/// Suspects of at least this probability are given, besides those that a table shows.
const LEAST: f64 = 1e-3;

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/suspects/4",
    commands: "fairvolt suspects",
    about: "What may be wrong with the set by its readings, and where to probe next. With `--explain PART` \
            the same document holds that part's suspects only, whatever their probability.",
};

/// A probability; a sum of shares may pass 1 by its rounding.
fn probability(share: f64) -> Option<f64> {
    finite(share).map(|share| share.clamp(0.0, 1.0))
}

/// The documents of some jobs.
pub(crate) fn suspects(views: &[SuspectsView<'_>]) -> Result<String, ReportError> {
    of_jobs(
        &KIND,
        views,
        |view| (Some(view.job), view.diagnostics),
        body,
    )
}

fn body<'a>(view: &SuspectsView<'a>) -> Body<'a> {
    let (job, suspects) = (view.job, view.suspects);
    let (given, left): (Vec<_>, Vec<_>) = suspects
        .hypotheses
        .iter()
        .enumerate()
        .partition(|(rank, suspect)| is_given(view, *rank, suspect));
    Body {
        verdict: verdict_of(job, suspects),
        readings_used: suspects.counted(),
        hypotheses: given
            .into_iter()
            .map(|(rank, suspect)| record(view, rank, suspect))
            .collect(),
        left_out: LeftOut {
            suspects: left.len(),
            probability: probability(left.iter().map(|(_, one)| one.probability).sum()),
        },
        next_probe: suspects
            .next
            .iter()
            .map(|one| next::probe(job, one))
            .collect(),
        next_ohms: suspects
            .next_ohms
            .iter()
            .map(|one| next::ohm_probe(job, one))
            .collect(),
        next_steps: (suspects.next_parts.iter())
            .map(|one| next::step(job, one))
            .collect(),
        resistances_used: points_of(job, &suspects.ohms),
        alternating_used: points_of(job, &suspects.alternating),
        doubted: suspects
            .doubted
            .iter()
            .filter_map(|entry| Some(job.manual.get(*entry)?.point.as_str()))
            .collect(),
        unused: suspects
            .unused
            .iter()
            .filter_map(|unused| {
                Some(NotUsed {
                    point: &job.readings.get(unused.reading)?.point,
                    why: unused_words(unused),
                })
            })
            .collect(),
        not_computed: suspects
            .not_computed
            .iter()
            .map(|one| NotWeighed {
                part: blamed(job, &one.hypothesis),
                fault: one.hypothesis.name(),
                words: fault_words(job, &one.hypothesis, None),
                prior: probability(one.prior),
                why: one.why.to_string(),
            })
            .collect(),
        age: job.age.unwrap_or(USUAL_AGE),
        ages: job
            .ages
            .iter()
            .map(|(class, factor)| Age {
                class,
                factor: finite(*factor),
            })
            .collect(),
    }
}

/// What is to be explained, whatever its probability; else what is worth a thought.
fn is_given(view: &SuspectsView<'_>, rank: usize, suspect: &AmbiguityGroup) -> bool {
    match view.explain {
        Some(asked) => suspect
            .members
            .iter()
            .any(|member| asked.is_of(&view.job.circuit, member)),
        None => {
            suspect.probability >= LEAST || shown(view.suspects).any(|(place, _)| place == rank)
        }
    }
}

fn verdict_of(job: &Job, suspects: &Suspects) -> Verdict {
    let (kind, chi_squared, chance) = match suspects.conclusion {
        Conclusion::Leads => ("leads", None, None),
        Conclusion::TooFewReadings { .. } => ("too few readings", None, None),
        Conclusion::CannotTellYet { .. } => ("cannot tell yet", None, None),
        Conclusion::Contradicted {
            chi_squared,
            probability,
            ..
        } => ("contradicted", finite(chi_squared), finite(probability)),
    };
    Verdict {
        kind,
        words: verdict(job, suspects),
        chi_squared,
        chance,
    }
}

fn record<'a>(view: &SuspectsView<'a>, rank: usize, suspect: &'a AmbiguityGroup) -> Record<'a> {
    let job = view.job;
    let point = |place: usize| -> Option<&'a str> {
        let used = view.suspects.readings.get(place)?;
        Some(&job.readings.get(used.reading)?.point)
    };
    let points = |places: &[usize]| -> Vec<&'a str> {
        places.iter().filter_map(|place| point(*place)).collect()
    };
    let used = view.suspects.readings.iter().enumerate();
    let mut members = suspect.members.iter().map(|member| one(job, member));
    Record {
        rank: rank + 1,
        leader: members.next().unwrap_or_default(),
        probability_together: probability(suspect.probability),
        prior_together: probability(suspect.prior),
        chi_squared: finite(suspect.chi_squared),
        predicted: used
            .filter_map(|(place, used)| {
                Some(Predicted {
                    point: point(place)?,
                    unit: unit_of(used.quantity),
                    read: used.shown.and_then(finite),
                    value: finite(*suspect.predicted.get(place)?),
                    standard_deviation: finite(*suspect.sigma.get(place)?),
                })
            })
            .collect(),
        explained: points(&suspect.explained),
        unexplained: {
            let ohms = suspect.ohms_unexplained.iter();
            let ohms = ohms.filter_map(|reading| Some(job.readings.get(*reading)?.point.as_str()));
            let mut odd: Vec<&str> = points(&suspect.unexplained);
            odd.extend(ohms);
            odd
        },
        indistinguishable_from: members.collect(),
    }
}

fn one<'a>(job: &'a Job, member: &Member) -> One<'a> {
    let mut faults = member.faults.iter();
    let first = faults.next();
    let reading = first.and_then(|(fault, _)| job.readings.get(fault.reading()?));
    One {
        words: suspect_words(job, member),
        part: first.and_then(|(fault, _)| blamed(job, fault)),
        fault: first.map_or("", |(fault, _)| fault.name()),
        size: first.and_then(|(_, size)| size.map(size_record)),
        second: faults.next().map(|(fault, size)| Second {
            part: blamed(job, fault),
            fault: fault.name(),
            size: size.map(size_record),
        }),
        reading: reading.map(|reading| reading.point.as_str()),
        misread: member.misread.and_then(|way| match way {
            // Their kind stands in the words; the record keeps its fields.
            Misreading::Unexplained | Misreading::SwappedDigits { .. } | Misreading::OtherSign => {
                None
            }
            Misreading::OtherScale { factor } => Some(Misread {
                factor: finite(factor),
                point: None,
            }),
            Misreading::OtherPoint { entry } => Some(Misread {
                factor: None,
                point: job.manual.get(entry).map(|entry| entry.point.as_str()),
            }),
        }),
        prior: probability(member.prior),
        probability: probability(member.probability),
        log_likelihood: finite(member.log_likelihood),
    }
}

fn size_record(size: Size) -> SizeRecord {
    SizeRecord {
        from: size.from.and_then(finite),
        to: finite(size.to),
        low: finite(size.low),
        high: finite(size.high),
        unit: size_unit(size.unit),
    }
}

/// Points of some readings.
fn points_of<'a>(job: &'a Job, readings: &[usize]) -> Vec<&'a str> {
    let each = readings.iter();
    each.filter_map(|reading| Some(job.readings.get(*reading)?.point.as_str()))
        .collect()
}
