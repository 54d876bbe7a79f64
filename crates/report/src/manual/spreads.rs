//! Spreads that were taken because the netlist states no tolerance.

use std::collections::HashSet;

use circuit::{
    spread_of, Job, PartKind, PartParameter, Potentiometer, SpreadBasis, DEFAULT_SPREADS,
};
use reconcile::Belief;
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use crate::figures::{percent, BETWEEN};
use crate::labels::first_few;

/// Parts named of one kind before the rest is counted only.
const SHOWN: usize = 6;

/// A spread taken for want of a tolerance.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct AssumedSpread<'a> {
    /// The kind.
    pub what: &'static str,
    /// The limits, as people write them.
    pub limits: &'static str,
    /// Designators of the parts.
    pub parts: Vec<&'a str>,
}

/// The default spreads that the belief rests on, in the order of the table of defaults.
pub(crate) fn assumed<'a>(job: &'a Job, belief: &Belief) -> Vec<AssumedSpread<'a>> {
    let mut found: Vec<AssumedSpread<'a>> = DEFAULT_SPREADS
        .iter()
        .map(|default| AssumedSpread {
            what: default.what,
            limits: default.limits,
            parts: Vec::new(),
        })
        .collect();
    let mut named = HashSet::new();
    for number in &belief.parts {
        let part = job.circuit.part(number.id.part);
        let spread = spread_of(part, number.id.parameter);
        if spread.basis != SpreadBasis::Assumed || spread.half_width <= 0.0 {
            continue;
        }
        let line = found.iter_mut().find(|line| line.what == spread.what);
        if let Some(line) = line {
            if named.insert((line.what, part.designator.as_str())) {
                line.parts.push(&part.designator);
            }
        }
    }
    found.retain(|line| !line.parts.is_empty());
    found
}

/// One line for all of them; none where every tolerance is stated.
pub(crate) fn line(job: &Job, belief: &Belief) -> Option<String> {
    let kinds: Vec<String> = assumed(job, belief)
        .iter()
        .map(|line| {
            let parts = first_few(&line.parts, SHOWN);
            format!("{} {} ({parts})", line.what, line.limits)
        })
        .collect();
    (!kinds.is_empty()).then(|| {
        format!(
            "Assumed where the netlist states no tolerance: {}.",
            kinds.join("; ")
        )
    })
}

/// Share of the standard deviation of an unstated position, of its logarithm, below which the printed values have
/// found it.
const FOUND: f64 = 0.5;

/// Where controls stand of which no position is stated, as far as the printed values say so: 95 %, one line each.
pub(crate) fn positions_found<'a>(
    job: &'a Job,
    belief: &'a Belief,
) -> impl Iterator<Item = String> + 'a {
    belief.parts.iter().filter_map(|number| {
        let part = job.circuit.part(number.id.part);
        let PartKind::Potentiometer(pot) = &part.kind else {
            return None;
        };
        let before = spread_of(part, PartParameter::WiperPosition).standard();
        let found = number.id.parameter == PartParameter::WiperPosition
            && !pot.is_stated
            && number.standard < FOUND * before;
        let at = |offset| {
            let moved = Potentiometer {
                offset,
                ..pot.clone()
            };
            percent((moved.moved(None) * 100.0).round())
        };
        found.then(|| {
            let wide = 1.96 * number.standard;
            format!(
                "By the printed values {} stands at about {} % ({}{BETWEEN}{} %): no position is stated.",
                part.designator,
                at(number.change),
                at(number.change - wide),
                at(number.change + wide),
            )
        })
    })
}
