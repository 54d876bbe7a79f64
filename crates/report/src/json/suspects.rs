//! The document of the suspects of a job: those worth a thought, and where to probe next.

use circuit::Job;
use diagnose::{Member, Misreading, NextProbe, Settled, Size, Suspect, Suspects, USUAL_AGE};
use schemars::JsonSchema;
use serde::Serialize;

use super::schema::{DocumentSchema, Kind};
use super::{finite, text, Document, JobName};
use crate::reports::ReportError;
use crate::suspects::{fault_words, place, shown, size_unit, suspect_words, unused_words, verdict};
use crate::views::{Explained, SuspectsView};

/// Suspects of at least this probability are given, besides those that a table shows.
const LEAST: f64 = 1e-3;

/// The kind of document.
const KIND: Kind = Kind {
    schema: "fairvolt/suspects/2",
    commands: "fairvolt suspects",
    about: "What may be wrong with the set by its readings, and where to probe next. With `--explain PART` \
            the same document holds that part's suspects only, whatever their probability.",
};

/// What the document holds, field by field.
pub(super) fn schema() -> DocumentSchema {
    DocumentSchema::of::<Body<'_>>(KIND)
}

#[derive(Serialize, JsonSchema)]
struct Body<'a> {
    /// What can be said as a whole.
    verdict: Verdict,
    /// How many readings count.
    readings_used: usize,
    /// Suspects, the most probable first: those of 0.1 % or more, and at least three. Where a part
    /// is to be explained, all of that part.
    hypotheses: Vec<Record<'a>>,
    /// Suspects not given.
    left_out: LeftOut,
    /// Where a further reading is expected to tell most, the best first.
    next_probe: Vec<Probe<'a>>,
    /// Readings that do not count.
    unused: Vec<NotUsed<'a>>,
    /// Points whose value in the manual is not believed; there the drawn circuit alone says what
    /// should be read.
    doubted: Vec<&'a str>,
    /// Faults that could not be worked out; the probabilities leave them out.
    not_computed: Vec<NotWeighed<'a>>,
    /// How old the set is taken to be, in years: what the job states, or the default.
    age: f64,
    /// Age factors that the job sets.
    ages: Vec<Age<'a>>,
}

#[derive(Serialize, JsonSchema)]
struct Verdict {
    /// leads: the first suspect is likelier than all others together; too few readings; cannot tell
    /// yet: no suspect is; contradicted: even the first leaves the readings improbable.
    #[schemars(extend("enum" = ["leads", "too few readings", "cannot tell yet", "contradicted"]))]
    kind: &'static str,
    /// The same in sentences.
    words: Vec<String>,
    /// Sum of squares of the first suspect's deviations; contradicted only.
    chi_squared: Option<f64>,
    /// Probability of as much or more by chance; contradicted only.
    chance: Option<f64>,
}

/// One suspect: the fault that stands for it, and the others that look the same.
#[derive(Serialize, JsonSchema)]
struct Record<'a> {
    /// Place in the ranking, from 1.
    rank: usize,
    #[serde(flatten)]
    leader: One<'a>,
    /// Probability of it and of all faults that no reading tells from it.
    probability_together: Option<f64>,
    /// The same before the readings.
    prior_together: Option<f64>,
    /// Sum of squares of the readings' deviations, their covariance taken in.
    chi_squared: Option<f64>,
    /// What it predicts for each used reading.
    predicted: Vec<Predicted<'a>>,
    /// Points that a set in order leaves unexplained and that it explains.
    explained: Vec<&'a str>,
    /// Points more than two standard deviations off.
    unexplained: Vec<&'a str>,
    /// Other faults that no reading tells from it.
    indistinguishable_from: Vec<One<'a>>,
}

#[derive(Default, Serialize, JsonSchema)]
struct One<'a> {
    /// The fault in words for people.
    words: String,
    /// Designator of the part. Null for a set in order and for a wrong reading.
    part: Option<&'a str>,
    /// The kind of fault, such as open, leaky, drifted high, low emission, nothing wrong, reading
    /// wrong or none of these.
    fault: &'static str,
    /// How large it is, fitted to the readings. Null for a fault without a size.
    size: Option<SizeRecord>,
    /// The other of two faults at once. Null for a single one.
    second: Option<Second<'a>>,
    /// Point of the reading that is wrong. Null for other faults.
    reading: Option<&'a str>,
    /// How a wrong reading probably went wrong. Null where that cannot be told, and for other
    /// faults.
    misread: Option<Misread<'a>>,
    /// Probability before the readings.
    prior: Option<f64>,
    /// Probability after them.
    probability: Option<f64>,
    /// Natural logarithm of the likelihood of the readings, averaged over the sizes.
    log_likelihood: Option<f64>,
}

/// The other of two faults at once.
#[derive(Serialize, JsonSchema)]
struct Second<'a> {
    /// Designator of its part.
    part: Option<&'a str>,
    /// Its kind.
    fault: &'static str,
    /// How large it is, fitted to the readings. Null for a fault without a size.
    size: Option<SizeRecord>,
}

#[derive(Serialize, JsonSchema)]
struct SizeRecord {
    /// What the part should have, in the unit. Null where it should have nothing of the kind.
    from: Option<f64>,
    /// What the readings make most likely. It may lie outside of low and high where that is at an
    /// end of what the readings leave open.
    to: Option<f64>,
    /// Lower limit of the middle 68 % of what they leave open.
    low: Option<f64>,
    /// Upper limit of it.
    high: Option<f64>,
    /// The unit; 1 for a share of what a part in order gives.
    #[schemars(extend("enum" = ["Ω", "V", "A", "1"]))]
    unit: &'static str,
}

#[derive(Serialize, JsonSchema)]
struct Misread<'a> {
    /// What was noted is this many times what the meter showed: the scale of another range. Null
    /// for another point.
    factor: Option<f64>,
    /// The point that it was taken at instead. Null for another scale.
    point: Option<&'a str>,
}

#[derive(Serialize, JsonSchema)]
struct Predicted<'a> {
    /// The reading's point.
    point: &'a str,
    /// What was read, volts. Null for an overrange.
    read: Option<f64>,
    /// What it predicts, volts.
    value: Option<f64>,
    /// Standard deviation of the reading against the prediction, volts.
    standard_deviation: Option<f64>,
}

#[derive(Serialize, JsonSchema)]
struct LeftOut {
    /// How many.
    suspects: usize,
    /// Their probability together.
    probability: Option<f64>,
}

#[derive(Serialize, JsonSchema)]
struct Probe<'a> {
    /// What the red probe touches.
    at: String,
    /// What the black probe touches.
    against: String,
    /// The manual's label. Null for a bare node.
    point: Option<String>,
    /// The bench meter.
    meter: Option<&'a str>,
    /// Full scale of its range, volts.
    range: Option<f64>,
    /// Expected drop of the entropy of the suspects, bits.
    gain_bits: Option<f64>,
    /// The most that the place may reach, volts.
    may_reach: Option<f64>,
    /// Whether that is dangerous to touch.
    hazard: bool,
    /// Whether the point was read already and should be read again, for its reading may be wrong.
    again: bool,
    /// What the leading faults predict there.
    predictions: Vec<Prediction>,
}

#[derive(Serialize, JsonSchema)]
struct Prediction {
    /// The suspect's place in the ranking.
    rank: usize,
    /// Which of the suspect's members, in their order.
    member: usize,
    /// Volts.
    value: Option<f64>,
}

#[derive(Serialize, JsonSchema)]
struct NotUsed<'a> {
    /// Its point.
    point: &'a str,
    /// Why it does not count.
    why: String,
}

#[derive(Serialize, JsonSchema)]
struct NotWeighed<'a> {
    /// Designator of the part.
    part: Option<&'a str>,
    /// The kind of fault.
    fault: &'static str,
    /// The fault in words for people.
    words: String,
    /// Probability before the readings.
    prior: Option<f64>,
    /// Why.
    why: String,
}

#[derive(Serialize, JsonSchema)]
struct Age<'a> {
    /// The class.
    class: &'a str,
    /// How many times likelier than usual a fault is in it.
    factor: Option<f64>,
}

/// A probability; a sum of shares may pass 1 by its rounding.
fn probability(share: f64) -> Option<f64> {
    finite(share).map(|share| share.clamp(0.0, 1.0))
}

/// The documents of some jobs.
pub(crate) fn suspects(views: &[SuspectsView<'_>]) -> Result<String, ReportError> {
    let documents: Vec<_> = views
        .iter()
        .map(|view| Document {
            schema: KIND.schema,
            job: Some(JobName::of(view.job)),
            diagnostics: view.diagnostics,
            body: body(view),
        })
        .collect();
    text(&documents)
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
        readings_used: suspects.readings.len(),
        hypotheses: given
            .into_iter()
            .map(|(rank, suspect)| record(view, rank, suspect))
            .collect(),
        left_out: LeftOut {
            suspects: left.len(),
            probability: probability(left.iter().map(|(_, one)| one.probability).sum()),
        },
        next_probe: suspects.next.iter().map(|next| probe(job, next)).collect(),
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
                part: designator(job, &one.hypothesis),
                fault: one.hypothesis.fault.name(),
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
fn is_given(view: &SuspectsView<'_>, rank: usize, suspect: &Suspect) -> bool {
    let asked = |member: &Member| match view.explain {
        Some(Explained::Part(id)) => member
            .faults
            .iter()
            .any(|(fault, _)| fault.part == Some(id)),
        Some(Explained::NothingWrong) => member
            .faults
            .iter()
            .any(|(fault, _)| fault.fault == diagnose::Fault::NothingWrong),
        None => false,
    };
    match view.explain {
        Some(_) => suspect.members.iter().any(asked),
        None => {
            suspect.probability >= LEAST || shown(view.suspects).any(|(place, _)| place == rank)
        }
    }
}

fn verdict_of(job: &Job, suspects: &Suspects) -> Verdict {
    let (kind, chi_squared, chance) = match suspects.settled {
        Settled::Leads => ("leads", None, None),
        Settled::TooFewReadings { .. } => ("too few readings", None, None),
        Settled::CannotTellYet { .. } => ("cannot tell yet", None, None),
        Settled::Contradicted {
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

fn record<'a>(view: &SuspectsView<'a>, rank: usize, suspect: &'a Suspect) -> Record<'a> {
    let job = view.job;
    let point = |place: usize| -> Option<&'a str> {
        let used = view.suspects.readings.get(place)?;
        Some(&job.readings.get(used.reading)?.point)
    };
    let points = |places: &[usize]| places.iter().filter_map(|place| point(*place)).collect();
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
                    read: used.shown.and_then(finite),
                    value: finite(*suspect.predicted.get(place)?),
                    standard_deviation: finite(*suspect.sigma.get(place)?),
                })
            })
            .collect(),
        explained: points(&suspect.explained),
        unexplained: points(&suspect.unexplained),
        indistinguishable_from: members.collect(),
    }
}

fn one<'a>(job: &'a Job, member: &Member) -> One<'a> {
    let mut faults = member.faults.iter();
    let first = faults.next();
    let reading = first.and_then(|(fault, _)| job.readings.get(fault.reading?));
    One {
        words: suspect_words(job, member),
        part: first.and_then(|(fault, _)| designator(job, fault)),
        fault: first.map_or("", |(fault, _)| fault.fault.name()),
        size: first.and_then(|(_, size)| size.map(size_record)),
        second: faults.next().map(|(fault, size)| Second {
            part: designator(job, fault),
            fault: fault.fault.name(),
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

fn designator<'a>(job: &'a Job, fault: &diagnose::Hypothesis) -> Option<&'a str> {
    let part = job.circuit.parts().get(fault.part?.0)?;
    Some(&part.designator)
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

fn probe<'a>(job: &'a Job, next: &NextProbe) -> Probe<'a> {
    let place = place(job, next);
    let meter = job.bench.meters.get(next.meter);
    Probe {
        at: place.red,
        against: place.black,
        point: place.point,
        meter: meter.map(|meter| meter.name.as_str()),
        range: finite(next.range.full_scale),
        gain_bits: finite(next.gain_bits),
        may_reach: finite(next.reach),
        hazard: next.hazardous,
        again: next.again,
        predictions: next
            .predictions
            .iter()
            .map(|predicted| Prediction {
                rank: predicted.suspect + 1,
                member: predicted.member + 1,
                value: finite(predicted.volts),
            })
            .collect(),
    }
}
