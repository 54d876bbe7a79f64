//! What was found out about a manual, as parts of several documents.

use circuit::Job;
use reconcile::{Belief, Explained, Explanation, Prediction};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::BenchSide;

use super::finite;
use crate::manual::{answers, left_out_of, place_words, row_of, why, ClassOdds};
use crate::views::ManualView;

/// What is believed of one value.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct BeliefRecord<'a> {
    /// What all other values and the circuit say the value should be, through the manual's meter.
    /// Null where it is not judged.
    predicted: Option<PredictionRecord>,
    /// Distance of the printed value from it, standard deviations. Null where it is not judged.
    residual_sigma: Option<f64>,
    /// Whether that is at most 3. Null where it is not judged.
    believable: Option<bool>,
    /// For a doubted value: slips that would explain it, the most probable first.
    explanations: Vec<ExplanationRecord<'a>>,
    /// For a doubted value: labels of values that may be the wrong ones in its stead.
    rivals: Vec<&'a str>,
    /// Why the value is not judged. Null where it is, and where none is.
    not_judged: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct PredictionRecord {
    /// Volts.
    volts: Option<f64>,
    /// Standard deviation of the difference between a printed value and this, volts: parts,
    /// rounding and the manual's meter.
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
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct ExplanationRecord<'a> {
    /// What may have happened.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["other_range", "other_meter", "swapped_digits", "decimal_point", "wrong_sign", "other_place"])))]
    kind: &'static str,
    /// What was meant, volts. Null for another range, meter or place.
    reads_as: Option<f64>,
    /// The other class of meter. Null for other kinds.
    meter: Option<&'a str>,
    /// Full scale of the other range, volts. Null where the range is not in question.
    range: Option<f64>,
    /// The other place in words. Null for other kinds.
    place: Option<String>,
    /// The manual's labels of what stands there; empty if nothing does, and for other kinds.
    points: Vec<&'a str>,
    /// What the value should then be.
    predicted: PredictionRecord,
    /// Distance of the value from it, standard deviations.
    residual_sigma: Option<f64>,
    /// Logarithm of how likely the slip makes the printed digits, up to a constant of the point.
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
    let blank = || ExplanationRecord {
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
    let meant = |kind, volts: &f64| ExplanationRecord {
        kind,
        reads_as: finite(*volts),
        ..blank()
    };
    match &found.explanation {
        Explanation::OtherRange { range } => ExplanationRecord {
            kind: "other_range",
            range: finite(range.full_scale),
            ..blank()
        },
        Explanation::OtherMeter { meter, range } => ExplanationRecord {
            kind: "other_meter",
            meter: Some(&meter.name),
            range: finite(range.full_scale),
            ..blank()
        },
        Explanation::SwappedDigits { reads_as } => meant("swapped_digits", reads_as),
        Explanation::DecimalPoint { reads_as } => meant("decimal_point", reads_as),
        Explanation::WrongSign { reads_as } => meant("wrong_sign", reads_as),
        Explanation::OtherPlace { port, entries } => ExplanationRecord {
            kind: "other_place",
            place: Some(place_words(job, *port, entries)),
            points: labels(job, entries),
            ..blank()
        },
    }
}

/// How well believed values and drawn circuit agree as a whole.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct AgreementRecord {
    /// Sum of the squares of their deviations, correlations allowed for.
    chi_squared: Option<f64>,
    /// How many readings; a value printed twice is one.
    readings: usize,
    /// What chance exceeds as rarely as it exceeds three standard deviations.
    usual_up_to: Option<f64>,
    /// Whether it is more than that.
    disagrees: bool,
}

/// The agreement of a belief.
pub(super) fn agreement(belief: &Belief) -> AgreementRecord {
    let agreement = &belief.agreement;
    AgreementRecord {
        chi_squared: finite(agreement.chi_squared),
        readings: agreement.readings,
        usual_up_to: finite(agreement.usual_misfit()),
        disagrees: agreement.disagrees(),
    }
}

/// One class of meter.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct ClassRecord<'a> {
    /// Its name.
    meter: &'a str,
    /// Log marginal likelihood of the table, values in volts.
    log_likelihood: Option<f64>,
    /// Probability among the classes built in, 0 to 1.
    probability: Option<f64>,
}

/// The classes, the most probable first; empty where the manual names its meters.
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
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct UnnamedMeter<'a> {
    /// The most probable class, with which the job is worked out.
    taken_as: &'a str,
    /// Classes that load a point much as it does, counted with it.
    alike: Vec<&'a str>,
    /// The most probable class that does not. Null if there is none.
    next: Option<&'a str>,
    /// Odds of the class and its like against the next. Null without a next.
    odds: Option<f64>,
    /// Whether the odds are above 20 to 1. If not, what would hold with the next class is given
    /// too.
    decisive: bool,
}

impl<'a> UnnamedMeter<'a> {
    /// None where the manual names its meters.
    pub(super) fn of(manual: ManualView<'a>) -> Option<Self> {
        let standing = ClassOdds::of(manual.classes?)?;
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
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct ManualRemarks<'a> {
    /// What speaks against the manual's value. Null where nothing does, or where it is not judged.
    manual_doubt: Option<Doubt>,
    /// What the bench meters should show if the manual was read with the next class of meter. Null
    /// where no second class is in question.
    otherwise: Option<Vec<Answer<'a>>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Doubt {
    /// What the other values and the circuit say it should be, volts.
    predicted: Option<f64>,
    /// Standard deviation of the difference, volts.
    standard: Option<f64>,
    /// Distance of the printed value from it, standard deviations.
    residual_sigma: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Answer<'a> {
    /// That class.
    manual_meter: &'a str,
    /// The bench meter.
    meter: &'a str,
    /// What it should then show, volts.
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
                let answer = |(meter, side): (_, &BenchSide)| Answer {
                    manual_meter: &otherwise.meter.name,
                    meter,
                    expected: finite(side.expected),
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
