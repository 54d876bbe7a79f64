//! What was found out about a manual, as parts of several documents.

use circuit::Job;
use reconcile::{Belief, Explained, Explanation, Prediction};
use serde::Serialize;

use super::finite;
use crate::manual::{
    answers, assumed, disagrees, left_out_of, place_words, row_of, usual_misfit, why, Standing,
};
use crate::views::ManualView;

/// What is believed of one value.
#[derive(Serialize)]
pub(super) struct BeliefRecord<'a> {
    predicted: Option<PredictionRecord>,
    residual_sigma: Option<f64>,
    believable: Option<bool>,
    explanations: Vec<ExplanationRecord<'a>>,
    rivals: Vec<&'a str>,
    not_judged: Option<String>,
}

#[derive(Serialize)]
struct PredictionRecord {
    volts: Option<f64>,
    standard: Option<f64>,
}

impl PredictionRecord {
    fn of(prediction: &Prediction) -> Self {
        PredictionRecord {
            volts: finite(prediction.volts),
            standard: finite(prediction.standard),
        }
    }
}

#[derive(Serialize)]
struct ExplanationRecord<'a> {
    kind: &'static str,
    reads_as: Option<f64>,
    meter: Option<&'a str>,
    range: Option<f64>,
    place: Option<String>,
    points: Vec<&'a str>,
    predicted: PredictionRecord,
    residual_sigma: Option<f64>,
    log_likelihood: Option<f64>,
}

/// What is believed of an entry; empty where it is not judged.
pub(super) fn belief_of<'a>(
    job: &'a Job,
    manual: ManualView<'a>,
    entry: usize,
) -> BeliefRecord<'a> {
    let judged = row_of(manual.belief, entry);
    let left = manual.belief.and_then(|belief| left_out_of(belief, entry));
    let found = judged.map_or(&[][..], |judged| &judged.explanations);
    let rivals = judged.map_or(&[][..], |judged| &judged.rivals);
    BeliefRecord {
        predicted: judged.map(|judged| PredictionRecord::of(&judged.predicted)),
        residual_sigma: judged.and_then(|judged| finite(judged.residual_sigma)),
        believable: judged.map(|judged| judged.believable()),
        explanations: found.iter().map(|found| explanation(job, found)).collect(),
        rivals: labels(job, rivals),
        not_judged: left.map(|left| why(&left.why)),
    }
}

fn labels<'a>(job: &'a Job, entries: &[usize]) -> Vec<&'a str> {
    let known = entries.iter().filter_map(|index| job.manual.get(*index));
    known.map(|entry| entry.point.as_str()).collect()
}

fn explanation<'a>(job: &'a Job, found: &'a Explained) -> ExplanationRecord<'a> {
    let mut record = ExplanationRecord {
        kind: "",
        reads_as: None,
        meter: None,
        range: None,
        place: None,
        points: Vec::new(),
        predicted: PredictionRecord::of(&found.predicted),
        residual_sigma: finite(found.residual_sigma),
        log_likelihood: finite(found.log_likelihood),
    };
    match &found.explanation {
        Explanation::OtherRange { range } => {
            record.kind = "other_range";
            record.range = finite(range.full_scale);
        }
        Explanation::OtherMeter { meter, range } => {
            record.kind = "other_meter";
            record.meter = Some(&meter.name);
            record.range = finite(range.full_scale);
        }
        Explanation::SwappedDigits { reads_as } => {
            record.kind = "swapped_digits";
            record.reads_as = finite(*reads_as);
        }
        Explanation::DecimalPoint { reads_as } => {
            record.kind = "decimal_point";
            record.reads_as = finite(*reads_as);
        }
        Explanation::WrongSign { reads_as } => {
            record.kind = "wrong_sign";
            record.reads_as = finite(*reads_as);
        }
        Explanation::OtherPlace { port, entries } => {
            record.kind = "other_place";
            record.place = Some(place_words(job, *port, entries));
            record.points = labels(job, entries);
        }
    }
    record
}

/// How well believed values and drawn circuit agree as a whole.
#[derive(Serialize)]
pub(super) struct AgreementRecord {
    chi_squared: Option<f64>,
    readings: usize,
    usual_up_to: Option<f64>,
    disagrees: bool,
}

/// The agreement of a belief.
pub(super) fn agreement(belief: &Belief) -> AgreementRecord {
    let agreement = &belief.agreement;
    AgreementRecord {
        chi_squared: finite(agreement.chi_squared),
        readings: agreement.readings,
        usual_up_to: finite(usual_misfit(agreement.readings)),
        disagrees: disagrees(agreement),
    }
}

/// A spread taken for want of a tolerance.
#[derive(Serialize)]
pub(super) struct SpreadRecord<'a> {
    what: &'static str,
    limits: &'static str,
    parts: Vec<&'a str>,
}

/// The spreads that were assumed.
pub(super) fn assumed_spreads<'a>(
    job: Option<&'a Job>,
    manual: ManualView<'a>,
) -> Vec<SpreadRecord<'a>> {
    let (Some(job), Some(belief)) = (job, manual.belief) else {
        return Vec::new();
    };
    let records = assumed(job, belief).into_iter().map(|line| SpreadRecord {
        what: line.what,
        limits: line.limits,
        parts: line.parts,
    });
    records.collect()
}

/// One class of meter.
#[derive(Serialize)]
pub(super) struct ClassRecord<'a> {
    meter: &'a str,
    log_likelihood: Option<f64>,
    probability: Option<f64>,
}

/// The classes, the likeliest first; empty where the manual names its meters.
pub(super) fn meter_classes(manual: ManualView<'_>) -> Vec<ClassRecord<'_>> {
    let classes = manual.classes.map_or(&[][..], |found| &found.likelihoods);
    classes
        .iter()
        .map(|class| ClassRecord {
            meter: &class.meter.name,
            log_likelihood: finite(class.log_likelihood),
            probability: finite(class.probability),
        })
        .collect()
}

/// The meter that a manual does not name.
#[derive(Serialize)]
pub(super) struct UnnamedMeter<'a> {
    taken_as: &'a str,
    alike: Vec<&'a str>,
    next: Option<&'a str>,
    odds: Option<f64>,
    decisive: bool,
}

impl<'a> UnnamedMeter<'a> {
    /// None where the manual names its meters.
    pub(super) fn of(manual: ManualView<'a>) -> Option<Self> {
        let standing = Standing::of(manual.classes?)?;
        Some(UnnamedMeter {
            taken_as: &standing.best.meter.name,
            alike: standing
                .alike
                .iter()
                .map(|like| &*like.meter.name)
                .collect(),
            next: standing.next.map(|next| &*next.meter.name),
            odds: finite(standing.odds),
            decisive: standing.decisive,
        })
    }
}

/// What is said of a point's manual value in the documents of other reports.
#[derive(Serialize)]
pub(super) struct ManualRemarks<'a> {
    manual_doubt: Option<Doubt>,
    otherwise: Option<Vec<Answer<'a>>>,
}

#[derive(Serialize)]
struct Doubt {
    predicted: Option<f64>,
    standard: Option<f64>,
    residual_sigma: Option<f64>,
}

#[derive(Serialize)]
struct Answer<'a> {
    manual_meter: &'a str,
    meter: &'a str,
    expected: Option<f64>,
}

impl<'a> ManualRemarks<'a> {
    /// Of an entry of the manual; `otherwise` is null where no second class is in question.
    pub(super) fn of(manual: ManualView<'a>, entry: usize) -> Self {
        let judged = row_of(manual.belief, entry).filter(|judged| !judged.believable());
        ManualRemarks {
            manual_doubt: judged.map(|judged| Doubt {
                predicted: finite(judged.predicted.volts),
                standard: finite(judged.predicted.standard),
                residual_sigma: finite(judged.residual_sigma),
            }),
            otherwise: manual.otherwise.map(|otherwise| {
                let answers = answers(otherwise.comparison, entry).into_iter();
                let answer = |(meter, volts)| Answer {
                    manual_meter: &otherwise.meter.name,
                    meter,
                    expected: finite(volts),
                };
                answers.map(answer).collect()
            }),
        }
    }

    /// Of a point that the manual lacks.
    pub(super) fn none() -> Self {
        ManualRemarks {
            manual_doubt: None,
            otherwise: None,
        }
    }
}
