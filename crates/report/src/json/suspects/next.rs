//! Where to read next, in the document of the suspects: points, resistances, steps on parts.
//!
//! What is advised comes in; its records go out, with what the leading faults predict.

use circuit::{Job, NodeId, PartId};
use diagnose::{NextOhms, NextPart, NextProbe, PartReads, PartStep};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use crate::json::finite;
use crate::suspects::{doing, place};

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

/// A reading of volts or amperes.
pub(super) fn probe<'a>(job: &'a Job, next: &NextProbe) -> Probe<'a> {
    let place = place(job, next.port, next.entry, &next.settings);
    Probe {
        at: place.red,
        against: place.black,
        point: place.point,
        setting: place.settings,
        meter: meter(job, next.meter),
        range: finite(next.range.full_scale),
        gain_bits: finite(next.gain_bits),
        may_reach: finite(next.worst_case_volts),
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

/// A resistance.
pub(super) fn ohm_probe<'a>(job: &'a Job, next: &NextOhms) -> OhmProbe<'a> {
    OhmProbe {
        at: job.circuit.node_name(next.port.plus),
        against: job.circuit.node_name(next.port.minus),
        point: label(job, next.entry),
        meter: meter(job, next.meter),
        gain_bits: finite(next.gain_bits),
        predictions: next
            .predictions
            .iter()
            .map(|predicted| OhmPrediction {
                rank: predicted.suspect + 1,
                member: predicted.member + 1,
                value: finite(predicted.ohms),
                spread: finite(predicted.share),
            })
            .collect(),
    }
}

/// A step and what is read after it.
pub(super) fn step<'a>(job: &'a Job, next: &NextPart) -> Step<'a> {
    let name = |id: PartId| job.circuit.part(id).designator.as_str();
    let node = |node: NodeId| job.circuit.node_name(node);
    let (step, own, other, lead) = match next.step {
        PartStep::Swap(tube) => ("swap", tube, None, None),
        PartStep::Exchange(a, b) => ("exchange", a, Some(name(b)), None),
        PartStep::LiftAndRead(id, terminal) => {
            let lead = job.circuit.part(id).nodes[terminal];
            ("lift and read", id, None, Some(node(lead)))
        }
        PartStep::LiftAndMeasure(id) => ("lift and measure", id, None, None),
    };
    let (port, entry, range, hazard, unit) = match next.reads {
        PartReads::Volts {
            port,
            entry,
            range,
            hazardous,
            ..
        } => (Some(port), entry, finite(range.full_scale), hazardous, "V"),
        PartReads::Ohms { .. } => (None, None, None, false, "Ω"),
    };
    Step {
        step,
        part: name(own),
        other,
        lead,
        words: doing(job, next),
        at: port.map(|port| node(port.plus)),
        against: port.map(|port| node(port.minus)),
        point: label(job, entry),
        meter: meter(job, next.meter),
        range,
        hazard,
        cost: finite(next.cost),
        gain_bits: finite(next.gain_bits),
        unit,
        predictions: next
            .predictions
            .iter()
            .map(|predicted| StepPrediction {
                rank: predicted.suspect + 1,
                member: predicted.member + 1,
                value: finite(predicted.value),
                spread: finite(predicted.sigma),
            })
            .collect(),
    }
}

/// The name of a meter of the bench, by its place.
fn meter(job: &Job, place: usize) -> Option<&str> {
    Some(&job.bench.meters.get(place)?.name)
}

/// The label of an entry of the manual.
fn label(job: &Job, entry: Option<usize>) -> Option<&str> {
    Some(&job.manual.get(entry?)?.point)
}
