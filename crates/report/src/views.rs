//! What the caller hands over for each report.
//!
//! Borrowed results and plain records only; no renderer is known here.

use circuit::{Circuit, Job, Meter, PartId};
use diagnose::{Hazards, Hypothesis, Member, Overrated, Suspects};
use reconcile::{Belief, ClassInference};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{BenchSide, Carried, Comparison, CurveSample, Translation, TranslationTrials};

/// One fault of the input, as it goes into a JSON document.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub struct DiagnosticRecord {
    /// `error` or `warning`.
    pub severity: String,
    /// What is wrong.
    pub message: String,
    /// The file as the user would name it.
    pub file: Option<String>,
    /// Line, from 1.
    pub line: Option<usize>,
    /// Column, from 1.
    pub column: Option<usize>,
    /// What to do about it.
    pub help: Option<String>,
}

/// What was found out about the manual itself, beside what it says.
#[derive(Clone, Copy, Debug, Default)]
pub struct ManualView<'a> {
    /// Which of its values are believable; none where that could not be told.
    pub belief: Option<&'a Belief>,
    /// Which class of meter it was read with; none where it names its meters.
    pub classes: Option<&'a ClassInference>,
    /// What would hold with the next class; none where the table decides for one.
    pub otherwise: Option<Otherwise<'a>>,
}

/// The answers of a job whose manual may have been read with another class of meter.
#[derive(Clone, Copy, Debug)]
pub struct Otherwise<'a> {
    /// That class.
    pub meter: &'a Meter,
    /// The job's comparison with it, without readings where there are none.
    pub comparison: &'a Comparison,
}

/// A translated job.
#[derive(Clone, Copy, Debug)]
pub struct TranslateView<'a> {
    /// How it was asked for.
    pub asked: Asked<'a>,
    /// The job.
    pub job: &'a Job,
    /// Its translation.
    pub translation: &'a Translation,
    /// What was found out about its manual.
    pub manual: ManualView<'a>,
    /// What trials of it found; none where none were run.
    pub trials: Option<TrialsView<'a>>,
    /// Faults found while reading it.
    pub diagnostics: &'a [DiagnosticRecord],
}

/// Trials of a translation.
#[derive(Clone, Copy, Debug)]
pub struct TrialsView<'a> {
    /// What they found.
    pub found: &'a TranslationTrials,
    /// The seed of their draws.
    pub seed: u64,
}

/// One point of a job, to be told what its value is judged by.
#[derive(Clone, Copy, Debug)]
pub struct ExplainView<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its comparison; without readings the meters of the bench are told of.
    pub comparison: &'a Comparison,
    /// Which entry of the manual, by its index.
    pub entry: usize,
    /// Faults found while reading the job.
    pub diagnostics: &'a [DiagnosticRecord],
}

/// How a report was asked for.
#[derive(Clone, Copy, Debug, Default)]
pub struct Asked<'a> {
    /// Everything, in the manual's order, instead of the answer.
    pub all: bool,
    /// The arguments after the job's folder, to be repeated in suggested commands, such as
    /// ` -r day2.csv`.
    pub more: &'a str,
}

/// A compared job.
#[derive(Clone, Copy, Debug)]
pub struct CompareView<'a> {
    /// How it was asked for.
    pub asked: Asked<'a>,
    /// The job.
    pub job: &'a Job,
    /// Its comparison.
    pub comparison: &'a Comparison,
    /// What was found out about its manual.
    pub manual: ManualView<'a>,
    /// Faults found while reading it.
    pub diagnostics: &'a [DiagnosticRecord],
}

/// A checked job, as far as it could be read and solved.
#[derive(Clone, Copy, Debug)]
pub struct CheckView<'a> {
    /// The job; none where it could not be read.
    pub job: Option<&'a Job>,
    /// Its translation; none where there is no job or its circuit has no solution.
    pub translation: Option<&'a Translation>,
    /// What was found out about its manual.
    pub manual: ManualView<'a>,
    /// Why the manual's values are not judged, in words; none where they are.
    pub not_judged: Option<&'a str>,
    /// What trials of its translation found; none where none were run.
    pub trials: Option<TrialsView<'a>>,
    /// Parts that the drawn circuit works beyond their ratings.
    pub overrated: &'a [Overrated],
    /// Faults found while reading it.
    pub diagnostics: &'a [DiagnosticRecord],
}

/// What is to be told point by point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Explained {
    /// The faults of a part.
    Part(PartId),
    /// A set in order.
    NothingWrong,
}

impl Explained {
    /// Whether a member of the ranking is what is asked for.
    pub(crate) fn is_of(self, circuit: &Circuit, member: &Member) -> bool {
        member.faults.iter().any(|(fault, _)| match self {
            Explained::Part(id) => fault.is_about(circuit, id),
            Explained::NothingWrong => *fault == Hypothesis::NothingWrong,
        })
    }
}

/// The suspects of a job.
#[derive(Clone, Copy, Debug)]
pub struct SuspectsView<'a> {
    /// How it was asked for.
    pub asked: Asked<'a>,
    /// The job.
    pub job: &'a Job,
    /// The comparison that they follow from.
    pub comparison: &'a Comparison,
    /// What its readings say.
    pub suspects: &'a Suspects,
    /// What to tell of point by point; none for the ranking.
    pub explain: Option<Explained>,
    /// What was found out about its manual.
    pub manual: ManualView<'a>,
    /// Faults found while reading the job.
    pub diagnostics: &'a [DiagnosticRecord],
}

/// A job on its way to the bench.
#[derive(Clone, Copy, Debug)]
pub struct WorksheetView<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its comparison, without readings on a fresh sheet.
    pub comparison: &'a Comparison,
    /// A mark for each row of the manual.
    pub hazards: &'a Hazards,
    /// What was found out about its manual.
    pub manual: ManualView<'a>,
    /// What the readings so far say of its parts; none without readings.
    pub suspects: Option<&'a Suspects>,
    /// Seconds after which a ranking was given up; none if it was not.
    pub too_long: Option<u64>,
    /// Faults found while reading it.
    pub diagnostics: &'a [DiagnosticRecord],
}

/// A translated job whose manual is to be reissued for the bench meters.
#[derive(Clone, Copy, Debug)]
pub struct ChartView<'a> {
    /// The job; its readings and the bench's line are not looked at.
    pub job: &'a Job,
    /// Its translation.
    pub translation: &'a Translation,
    /// What was found out about its manual.
    pub manual: ManualView<'a>,
}

/// Where a meter's description comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MeterOrigin {
    /// A class built in.
    BuiltIn,
    /// The job's own list.
    Job,
}

impl MeterOrigin {
    /// The word for it in output.
    pub fn word(self) -> &'static str {
        match self {
            MeterOrigin::BuiltIn => "built-in",
            MeterOrigin::Job => "this job",
        }
    }
}

/// One meter of a list.
#[derive(Clone, Copy, Debug)]
pub struct MeterListing<'a> {
    /// The meter.
    pub meter: &'a Meter,
    /// Where it comes from.
    pub origin: MeterOrigin,
}

/// One point of a job as a curve over the resistance of the meter.
#[derive(Clone, Copy, Debug)]
pub struct CurveView<'a> {
    /// The job.
    pub job: &'a Job,
    /// Which entry of the manual, by its index.
    pub entry: usize,
    /// Its translation.
    pub carried: &'a Carried,
    /// The reading over the resistance, in rising order of it.
    pub samples: &'a [CurveSample],
    /// Volts that a meter of endless resistance would read; none where the circuit finds no state.
    pub unloaded: Option<f64>,
    /// The common classes, each on the range it would be read on.
    pub classes: &'a [BenchSide],
    /// Faults found while reading the job.
    pub diagnostics: &'a [DiagnosticRecord],
}
