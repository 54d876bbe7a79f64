//! What the document of the suspects is made of.

use std::borrow::Cow;

#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use super::next::{OhmProbe, Probe, Step};

/// What the document holds besides its job.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Body<'a> {
    /// What can be said as a whole.
    pub verdict: Verdict,
    /// How many readings count.
    pub readings_used: usize,
    /// Suspects, the most probable first: those of 0.1 % or more, and at least three. Where a part
    /// is to be explained, all of that part.
    pub hypotheses: Vec<Record<'a>>,
    /// Suspects not given.
    pub left_out: LeftOut,
    /// Where a further reading is expected to tell most, the best first.
    pub next_probe: Vec<Probe<'a>>,
    /// What is worth measuring with the power off, the best first.
    pub next_ohms: Vec<OhmProbe<'a>>,
    /// Which tubes to swap and which leads to lift, the most telling for its cost first.
    pub next_steps: Vec<Step<'a>>,
    /// Points of resistances that count beside the volts.
    pub resistances_used: Vec<&'a str>,
    /// Points of alternating volts that count beside the direct ones.
    pub alternating_used: Vec<&'a str>,
    /// Readings that do not count.
    pub unused: Vec<NotUsed<'a>>,
    /// Points whose value in the manual is not believed; there the drawn circuit alone says what
    /// should be read.
    pub doubted: Vec<&'a str>,
    /// Faults that could not be worked out; the probabilities leave them out.
    pub not_computed: Vec<NotWeighed<'a>>,
    /// How old the set is taken to be, in years: what the job states, or the default.
    pub age: f64,
    /// Age factors that the job sets.
    pub ages: Vec<Age<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Verdict {
    /// leads: the first suspect is likelier than all others together; too few readings; cannot tell
    /// yet: no suspect is; contradicted: even the first leaves the readings improbable.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["leads", "too few readings", "cannot tell yet", "contradicted"])))]
    pub kind: &'static str,
    /// The same in sentences.
    pub words: Vec<String>,
    /// Sum of squares of the first suspect's deviations; contradicted only.
    pub chi_squared: Option<f64>,
    /// Probability of as much or more by chance; contradicted only.
    pub chance: Option<f64>,
}

/// One suspect: the fault that stands for it, and the others that look the same.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Record<'a> {
    /// Place in the ranking, from 1.
    pub rank: usize,
    #[serde(flatten)]
    pub leader: One<'a>,
    /// Probability of it and of all faults that read the same.
    pub probability_together: Option<f64>,
    /// The same before the readings.
    pub prior_together: Option<f64>,
    /// Sum of squares of the readings' deviations, their covariance taken in.
    pub chi_squared: Option<f64>,
    /// What it predicts for each used reading.
    pub predicted: Vec<Predicted<'a>>,
    /// Points that a set in order leaves unexplained and that it explains.
    pub explained: Vec<&'a str>,
    /// Points more than two standard deviations off, resistances with the power off too.
    pub unexplained: Vec<&'a str>,
    /// Other faults that read the same.
    pub indistinguishable_from: Vec<One<'a>>,
}

#[derive(Default, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct One<'a> {
    /// The fault in words for people.
    pub words: String,
    /// Designator of the part; of an open heater in a string of them, all its tubes: `V3, V2 or V1`. Null for a
    /// set in order and for a wrong reading.
    pub part: Option<Cow<'a, str>>,
    /// The kind of fault, such as open, leaky, drifted high, low emission, nothing wrong, reading
    /// wrong or none of these.
    pub fault: &'static str,
    /// How large it is, fitted to the readings. Null for a fault without a size.
    pub size: Option<SizeRecord>,
    /// The other of two faults at once. Null for a single one.
    pub second: Option<Second<'a>>,
    /// Point of the reading that is wrong. Null for other faults.
    pub reading: Option<&'a str>,
    /// How a wrong reading probably went wrong. Null where that cannot be told, and for other
    /// faults.
    pub misread: Option<Misread<'a>>,
    /// Probability before the readings.
    pub prior: Option<f64>,
    /// Probability after them.
    pub probability: Option<f64>,
    /// Natural logarithm of the likelihood of the readings, averaged over the sizes.
    pub log_likelihood: Option<f64>,
}

/// The other of two faults at once.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Second<'a> {
    /// Designator of its part, as in `part`.
    pub part: Option<Cow<'a, str>>,
    /// Its kind.
    pub fault: &'static str,
    /// How large it is, fitted to the readings. Null for a fault without a size.
    pub size: Option<SizeRecord>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct SizeRecord {
    /// What the part should have, in the unit. Null where it should have nothing of the kind.
    pub from: Option<f64>,
    /// What the readings make most likely. It may lie outside of low and high where that is at an
    /// end of what the readings leave open.
    pub to: Option<f64>,
    /// Lower limit of the middle 68 % of what they leave open.
    pub low: Option<f64>,
    /// Upper limit of it.
    pub high: Option<f64>,
    /// The unit; 1 for a share of what a part in order gives.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["Ω", "V", "A", "1"])))]
    pub unit: &'static str,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Misread<'a> {
    /// What was noted is this many times what the meter showed: the scale of another range. Null
    /// for another point.
    pub factor: Option<f64>,
    /// The point that it was taken at instead. Null for another scale.
    pub point: Option<&'a str>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Predicted<'a> {
    /// The reading's point.
    pub point: &'a str,
    /// The unit of these numbers: V for volts, A for a current.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["V", "A"])))]
    pub unit: &'static str,
    /// What was read. Null for an overrange.
    pub read: Option<f64>,
    /// What it predicts.
    pub value: Option<f64>,
    /// Standard deviation of the reading against the prediction.
    pub standard_deviation: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct LeftOut {
    /// How many.
    pub suspects: usize,
    /// Their probability together.
    pub probability: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct NotUsed<'a> {
    /// Its point.
    pub point: &'a str,
    /// Why it does not count.
    pub why: String,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct NotWeighed<'a> {
    /// Designator of the part, as in `part` of a suspect.
    pub part: Option<Cow<'a, str>>,
    /// The kind of fault.
    pub fault: &'static str,
    /// The fault in words for people.
    pub words: String,
    /// Probability before the readings.
    pub prior: Option<f64>,
    /// Why.
    pub why: String,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Age<'a> {
    /// The class.
    pub class: &'a str,
    /// How many times likelier than usual a fault is in it.
    pub factor: Option<f64>,
}
