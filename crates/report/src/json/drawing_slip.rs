//! Slips of the drawing that would explain what is doubted, as part of the document of a checked job.

use std::borrow::Cow;

use circuit::{Circuit, PartParameter};
use reconcile::{DrawingChange, DrawingSlip, LikelyValue};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use super::finite;
use crate::manual::{is_volts, turn};

/// A change of the drawing with which all values agree.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct DrawingSlipRecord<'a> {
    /// A number of a part, a resistor that is not drawn, an end of a resistor or winding on another node, two terminals
    /// exchanged, a tube or transistor of another type, or a wiper elsewhere.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["number", "not_drawn", "other_node", "exchanged", "other_type", "position"])))]
    kind: &'static str,
    /// Designator of the part. Null for a resistor that is not drawn.
    part: Option<&'a str>,
    /// Which number of it. Null where there is none.
    parameter: Option<&'static str>,
    /// What is written, in unit. Null for other kinds.
    written: Option<f64>,
    /// What the values ask for, in unit. Null where there is no number.
    likely: Option<f64>,
    /// Its lower 95 % limit, in unit. Null where there is none.
    low: Option<f64>,
    /// Its upper 95 % limit, in unit. Null where there is none.
    high: Option<f64>,
    /// What is written with the decimal point or the letter of its unit elsewhere, in unit. Null where that
    /// does not fit.
    decade: Option<f64>,
    /// Unit of these numbers; of a wiper, percent from its counter-clockwise end. Null where there is no number.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["V", "Ω", "%", null])))]
    unit: Option<&'static str>,
    /// The nodes that the resistor would join, or those of all terminals after an exchange. Empty for other kinds.
    nodes: Vec<&'a str>,
    /// The two terminals that are exchanged, with their sections where these are two of one tube, or the two sections
    /// where all are. Empty for other kinds.
    terminals: Vec<Cow<'a, str>>,
    /// Type or polarity that fits. Null for other kinds.
    other_type: Option<&'static str>,
    /// Sum of the squares of the deviations of all values then, correlations allowed for.
    chi_squared: Option<f64>,
    /// Logarithm of its odds, up to a constant of the table.
    log_odds: Option<f64>,
}

impl<'a> DrawingSlipRecord<'a> {
    pub(super) fn of(circuit: &'a Circuit, slip: &DrawingSlip) -> Self {
        let blank = DrawingSlipRecord {
            kind: "",
            part: None,
            parameter: None,
            written: None,
            likely: None,
            low: None,
            high: None,
            decade: None,
            unit: None,
            nodes: Vec::new(),
            terminals: Vec::new(),
            other_type: None,
            chi_squared: finite(slip.agreement.chi_squared),
            log_odds: finite(slip.log_odds),
        };
        let known = |likely: &LikelyValue, unit, record: DrawingSlipRecord<'a>| DrawingSlipRecord {
            likely: finite(likely.value),
            low: finite(likely.low),
            high: finite(likely.high),
            unit: Some(unit),
            ..record
        };
        match &slip.change {
            DrawingChange::Number {
                id,
                written,
                likely,
                decade,
            } => {
                let unit = if is_volts(id.parameter) { "V" } else { "Ω" };
                let record = DrawingSlipRecord {
                    kind: "number",
                    part: Some(&circuit.part(id.part).designator),
                    parameter: Some(id.parameter.name()),
                    written: finite(*written),
                    decade: decade.and_then(finite),
                    ..blank
                };
                known(likely, unit, record)
            }
            DrawingChange::NotDrawn { port, likely } => {
                let ends = [port.plus, port.minus];
                let record = DrawingSlipRecord {
                    kind: "not_drawn",
                    parameter: Some(PartParameter::Resistance.name()),
                    nodes: ends.map(|node| circuit.node_name(node)).to_vec(),
                    ..blank
                };
                known(likely, "Ω", record)
            }
            DrawingChange::OtherNode {
                part,
                terminal,
                node,
            } => {
                let part = circuit.part(*part);
                let mut ends = part.nodes.clone();
                if let Some(end) = ends.get_mut(*terminal) {
                    *end = *node;
                }
                DrawingSlipRecord {
                    kind: "other_node",
                    part: Some(&part.designator),
                    nodes: ends.iter().map(|node| circuit.node_name(*node)).collect(),
                    ..blank
                }
            }
            DrawingChange::Exchanged { part, terminals } => {
                let part = circuit.part(*part);
                let names = part.kind.terminals();
                let mut ends = part.nodes.clone();
                ends.swap(terminals[0], terminals[1]);
                DrawingSlipRecord {
                    kind: "exchanged",
                    part: Some(&part.designator),
                    nodes: ends.iter().map(|node| circuit.node_name(*node)).collect(),
                    terminals: terminals
                        .iter()
                        .filter_map(|at| names.get(*at).copied().map(Cow::Borrowed))
                        .collect(),
                    ..blank
                }
            }
            DrawingChange::ExchangedBetween { parts, terminals } => {
                let [one, other] = parts.map(|part| circuit.part(part));
                let mut ends = one.nodes.clone();
                match terminals {
                    Some(at) => ends[at[0]] = other.nodes[at[1]],
                    None => ends.clone_from(&other.nodes),
                }
                let named = [(one, 0), (other, 1)].map(|(part, place)| match terminals {
                    Some(at) => {
                        let names = part.kind.terminals();
                        let name = names.get(at[place]).copied().unwrap_or_default();
                        Cow::Owned(format!("{} {name}", part.designator))
                    }
                    None => Cow::Borrowed(part.designator.as_str()),
                });
                DrawingSlipRecord {
                    kind: "exchanged",
                    part: Some(&one.designator),
                    nodes: ends.iter().map(|node| circuit.node_name(*node)).collect(),
                    terminals: named.to_vec(),
                    ..blank
                }
            }
            DrawingChange::OtherType { part, name } => DrawingSlipRecord {
                kind: "other_type",
                part: Some(&circuit.part(*part).designator),
                other_type: Some(name),
                ..blank
            },
            DrawingChange::Position { part, share } => {
                let part = circuit.part(*part);
                DrawingSlipRecord {
                    kind: "position",
                    part: Some(&part.designator),
                    parameter: Some("position"),
                    written: finite(100.0 * turn(part)),
                    likely: finite(100.0 * share),
                    unit: Some("%"),
                    ..blank
                }
            }
        }
    }
}
