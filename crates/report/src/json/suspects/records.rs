//! What the document of the suspects is made of.

use std::borrow::Cow;

#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

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
pub(in crate::json) struct Probe<'a> {
    /// What the red probe touches.
    pub at: String,
    /// What the black probe touches.
    pub against: String,
    /// The manual's label. Null for a bare node.
    pub point: Option<String>,
    /// Controls and supplies to set first, in a sentence. Empty without any.
    pub setting: String,
    /// The bench meter.
    pub meter: Option<&'a str>,
    /// Full scale of its range, volts.
    pub range: Option<f64>,
    /// Expected drop of the entropy of the suspects, bits.
    pub gain_bits: Option<f64>,
    /// The most that the place may reach, volts.
    pub may_reach: Option<f64>,
    /// Whether that is dangerous to touch.
    pub hazard: bool,
    /// Whether the point was read already and should be read again, for its reading may be wrong.
    pub again: bool,
    /// What the leading faults predict there.
    pub predictions: Vec<Prediction>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Prediction {
    /// The suspect's place in the ranking.
    pub rank: usize,
    /// Which of the suspect's members, in their order.
    pub member: usize,
    /// Volts.
    pub value: Option<f64>,
}

/// A resistance to be measured with the power off.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct OhmProbe<'a> {
    /// Node of the red lead.
    pub at: &'a str,
    /// Node of the black lead.
    pub against: &'a str,
    /// The manual's label. Null where its chart lists no such resistance.
    pub point: Option<&'a str>,
    /// The bench meter.
    pub meter: Option<&'a str>,
    /// Expected drop of the entropy of the suspects, bits.
    pub gain_bits: Option<f64>,
    /// What the leading faults predict there.
    pub predictions: Vec<OhmPrediction>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct OhmPrediction {
    /// The suspect's place in the ranking.
    pub rank: usize,
    /// Which of the suspect's members, in their order.
    pub member: usize,
    /// Ohms. Null for more than the meter shows.
    pub value: Option<f64>,
    /// Standard deviation of the natural logarithm of the ohms.
    pub spread: Option<f64>,
}

/// A step on a part, and what is read after it.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct Step<'a> {
    /// swap a tube for a good one of its type; exchange two tubes of one type; lift and read: a
    /// capacitor's lead, then the running set; lift and measure: the part by itself, power off.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["swap", "exchange", "lift and read", "lift and measure"])))]
    pub step: &'static str,
    /// Designator of the part, of the first section for a tube.
    pub part: &'a str,
    /// Designator of the other tube of an exchange. Null for other steps.
    pub other: Option<&'a str>,
    /// Node at which the lead is lifted. Null where either end will do, and for tubes.
    pub lead: Option<&'a str>,
    /// The step in words.
    pub words: String,
    /// Node of the red probe. Null where the part is measured by itself.
    pub at: Option<&'a str>,
    /// Node of the black probe. Null where the part is measured by itself.
    pub against: Option<&'a str>,
    /// The manual's label. Null for a bare node.
    pub point: Option<&'a str>,
    /// The bench meter.
    pub meter: Option<&'a str>,
    /// Full scale of its range, volts. Null for ohms.
    pub range: Option<f64>,
    /// Whether the place read is dangerous to touch.
    pub hazard: bool,
    /// Its cost, in new readings.
    pub cost: Option<f64>,
    /// Expected drop of the entropy of the suspects, bits.
    pub gain_bits: Option<f64>,
    /// The unit of the predicted values.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["V", "Ω"])))]
    pub unit: &'static str,
    /// What the leading faults predict after it.
    pub predictions: Vec<StepPrediction>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(in crate::json) struct StepPrediction {
    /// The suspect's place in the ranking.
    pub rank: usize,
    /// Which of the suspect's members, in their order.
    pub member: usize,
    /// Volts or ohms. Null for more than the meter shows.
    pub value: Option<f64>,
    /// Standard deviation: of the volts without the meter's error, or of the natural logarithm of
    /// the ohms.
    pub spread: Option<f64>,
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
