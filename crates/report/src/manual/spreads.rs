//! Spreads that were taken because the netlist states no tolerance.

use std::collections::HashSet;

use circuit::{
    spread_of, DeviceParameter, Job, Part, PartKind, PartParameter, SpreadBasis, DEFAULT_SPREADS,
};
use reconcile::Belief;

/// Parts named of one kind before the rest is counted only.
const SHOWN: usize = 6;

/// A default spread and the parts it was taken for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct AssumedSpread<'a> {
    /// What kind of number it is, as the table of defaults calls it.
    pub what: &'static str,
    /// The limits, as people write them.
    pub limits: &'static str,
    /// Designators, each once.
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
        let Some(part) = job.circuit.parts().get(number.id.part.0) else {
            continue;
        };
        let spread = spread_of(part, number.id.parameter);
        if spread.basis != SpreadBasis::Assumed || spread.half_width <= 0.0 {
            continue;
        }
        let kind = kind(part, number.id.parameter);
        let line = found.iter_mut().find(|line| Some(line.what) == kind);
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
            let parts = match line.parts.len().checked_sub(SHOWN) {
                Some(more) if more > 1 => {
                    format!("{} and {more} more", line.parts[..SHOWN].join(", "))
                }
                _ => line.parts.join(", "),
            };
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

/// The line of the table of defaults that a number belongs to.
fn kind(part: &Part, parameter: PartParameter) -> Option<&'static str> {
    use DeviceParameter as P;
    Some(match (&part.kind, parameter) {
        (PartKind::Resistor(_) | PartKind::Potentiometer(_), _) => "resistor, potentiometer",
        (PartKind::Inductor(_) | PartKind::Transformer(_), _) => "winding resistance",
        (PartKind::Supply(_), PartParameter::Volts) => "supply or battery volts",
        (PartKind::Supply(_) | PartKind::Generator(_), _)
        | (PartKind::Device(_), PartParameter::Device(P::SeriesResistance)) => {
            "resistance of a source"
        }
        (PartKind::Capacitor(_), _) => "leakage of a capacitor",
        (PartKind::Lamp(_), _) => "lamp",
        (PartKind::Device(_), PartParameter::Device(number)) => match number {
            P::Emission => "emission of a tube",
            P::ContactPotential => "contact potential of a tube",
            P::GasCurrent => "gas current of a tube",
            P::KneeVolts => "knee or breakdown volts",
            P::Saturation => "saturation current of a junction",
            P::CurrentGain => "current gain",
            P::Leakage => "leakage of a transistor",
            P::DrainCurrent => "drain current of a field-effect transistor",
            P::PinchOff => "pinch-off volts",
            P::SeriesResistance => "resistance of a source",
        },
        (PartKind::Contact(_) | PartKind::Device(_), _) => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_named_here_stands_in_the_table_of_defaults() {
        // The names are looked up by their words; one that the table does not know would silently
        // be left out of the report.
        for what in [
            "resistor, potentiometer",
            "winding resistance",
            "supply or battery volts",
            "resistance of a source",
            "leakage of a capacitor",
            "lamp",
            "emission of a tube",
            "contact potential of a tube",
            "gas current of a tube",
            "knee or breakdown volts",
            "saturation current of a junction",
            "current gain",
            "leakage of a transistor",
            "drain current of a field-effect transistor",
            "pinch-off volts",
        ] {
            let known = DEFAULT_SPREADS.iter().any(|default| default.what == what);
            assert!(known, "{what}");
        }
    }
}
