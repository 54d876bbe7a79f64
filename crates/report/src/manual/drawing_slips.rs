//! Slips of the drawing that would explain what is doubted, as `check` shows them.

use circuit::{Circuit, DeviceParameter, Job, NodeId, Part, PartId, PartKind, PartParameter, Pin};
use reconcile::{Belief, DrawingChange, DrawingSlip, LikelyValue};
use units::Unit;

use crate::document::Block;
use crate::figures::{digits, ohms, stated, with_volts};

use super::doubts::doubted;

/// Slips shown before the rest is counted only.
const SHOWN: usize = 5;

/// A resistance known no closer than by this factor has one limit worth saying.
const ONE_LIMIT: f64 = 100.0;

/// The slips, each with a number, and what to do about them; empty if none is known.
pub(crate) fn drawing_slips(job: &Job, belief: &Belief) -> Option<Block> {
    if let Some(two) = &belief.two_drawing_slips {
        return Some(together(job, two));
    }
    let slips = &belief.drawing_slips;
    let mut doubts = doubted(belief);
    let lead = match (doubts.next(), doubts.next()) {
        (None, _) => "One slip in the drawing would explain the misfit, most likely first:",
        (Some(one), None) if one.explanations.is_empty() => {
            "A slip in the drawing would explain it, most likely first:"
        }
        (Some(_), None) => "A slip in the drawing would explain it as well, most likely first:",
        (Some(_), Some(_)) => "One slip in the drawing would explain them all, most likely first:",
    };
    let mut lines = vec![lead.to_owned()];
    for (place, slip) in slips.iter().take(SHOWN).enumerate() {
        let words = words(&job.circuit, &slip.change);
        lines.push(format!("({}) {words}", place + 1));
    }
    let more = slips.len().saturating_sub(SHOWN);
    if more > 0 {
        lines.push(format!("and {more} more, less likely"));
    }
    let which = match slips.len() {
        1 => "It",
        _ => "Each of them by itself",
    };
    lines.push(format!("{which} makes all values agree. {COMPARE}"));
    (!slips.is_empty()).then_some(Block::Lines(lines))
}

/// Two that explain what is doubted together.
fn together(job: &Job, two: &[DrawingSlip; 2]) -> Block {
    let mut lines = vec![
        "No single slip in the drawing explains them; these two together would, and others may:"
            .to_owned(),
    ];
    for (place, slip) in two.iter().enumerate() {
        let words = words(&job.circuit, &slip.change);
        lines.push(format!("({}) {words}", place + 1));
    }
    lines.push(format!("With both, all values agree. {COMPARE}"));
    Block::Lines(lines)
}

/// What to do about a slip.
const COMPARE: &str = "Compare the netlist with the schematic, and the schematic with the set.";

/// What is to be compared with the schematic first, where one slip in the drawing would explain more than one
/// doubted value, or the one that no slip of the pen explains: `R2 (netlist line 7)`.
pub(crate) fn first_suspect(job: &Job, belief: &Belief) -> Option<String> {
    let two = belief.two_drawing_slips.iter().flatten();
    let mut named: Vec<_> = match belief.drawing_slips.first() {
        Some(first) => vec![first],
        None => two.collect(),
    };
    // Its words hold an `and` of their own.
    named.sort_by_key(|slip| matches!(slip.change, DrawingChange::NotDrawn { .. }));
    if named.is_empty() {
        return None;
    }
    let mut doubts = doubted(belief);
    if let (Some(one), None) = (doubts.next(), doubts.next()) {
        if !one.explanations.is_empty() {
            return None;
        }
    }
    let each = named.iter().filter_map(|slip| match slip.change {
        DrawingChange::NotDrawn { port, .. } => {
            let [plus, minus] = [port.plus, port.minus].map(|node| job.circuit.node_name(node));
            Some(format!("what joins {plus} and {minus}"))
        }
        change => Some(part(&job.circuit, change.part()?)),
    });
    Some(each.collect::<Vec<_>>().join(" and "))
}

/// A change of the drawing in words, without a full stop.
fn words(circuit: &Circuit, change: &DrawingChange) -> String {
    match change {
        DrawingChange::Number {
            id,
            written,
            likely,
            decade,
        } => {
            let is_volts = is_volts(id.parameter);
            let unit = if is_volts { Unit::Volt } else { Unit::Ohm };
            let of = match id.parameter {
                PartParameter::Resistance => String::new(),
                _ if is_volts => String::new(),
                other => format!(" {}", other.name()),
            };
            let slip = match decade {
                Some(decade) => decades(*decade, *written),
                None => String::new(),
            };
            let known = match is_volts {
                true => volts(likely),
                false => resistance(likely, *written),
            };
            format!(
                "{}{of}: {known} in place of {}{slip}",
                part(circuit, id.part),
                stated(*written, unit)
            )
        }
        DrawingChange::NotDrawn { port, likely } => format!(
            "a resistor that is not drawn, {} to {}: {}",
            circuit.node_name(port.plus),
            circuit.node_name(port.minus),
            resistance(likely, likely.value)
        ),
        DrawingChange::OtherNode {
            part: own,
            terminal,
            node,
        } => format!(
            "{}: {}",
            part(circuit, *own),
            moved(circuit, circuit.part(*own), *terminal, *node)
        ),
        DrawingChange::Exchanged {
            part: own,
            terminals,
        } => {
            let names = circuit.part(*own).kind.terminals();
            let named = terminals.map(|at| names.get(at).copied().unwrap_or_default());
            format!("{}: {} exchanged", part(circuit, *own), named.join(" and "))
        }
        DrawingChange::ExchangedBetween { parts, terminals } => {
            let [one, other] = [0, 1].map(|place| circuit.part(parts[place]));
            let named = match terminals {
                Some(terminals) => [(one, terminals[0]), (other, terminals[1])].map(at_terminal),
                None => [one, other].map(with_pins),
            };
            let lines = match one.origin == other.origin {
                true => line_of(one),
                false => format!(
                    " (netlist lines {} and {})",
                    one.origin.line, other.origin.line
                ),
            };
            format!("{} and {} exchanged{lines}", named[0], named[1])
        }
        DrawingChange::OtherType { part: own, name } => format!(
            "{}: {name} in place of {}",
            part(circuit, *own),
            type_name(circuit.part(*own))
        ),
        DrawingChange::Position { part: own, share } => format!(
            "{}: at about {} in place of {}",
            part(circuit, *own),
            percent(*share),
            percent(turn(circuit.part(*own)))
        ),
    }
}

/// `b2 to p3 in place of b1 to p3`; `primary start to b1 in place of b2` of a part with more ends.
fn moved(circuit: &Circuit, part: &Part, terminal: usize, node: NodeId) -> String {
    let name = |node: &NodeId| circuit.node_name(*node);
    let ends = |nodes: &[NodeId]| nodes.iter().map(name).collect::<Vec<_>>().join(" to ");
    let mut other = part.nodes.clone();
    other[terminal] = node;
    match part.nodes.len() {
        2 => format!("{} in place of {}", ends(&other), ends(&part.nodes)),
        _ => format!(
            "{} to {} in place of {}",
            part.kind.terminals()[terminal],
            name(&node),
            name(&part.nodes[terminal])
        ),
    }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// `; one decade up: 56 kΩ`.
fn decades(decade: f64, written: f64) -> String {
    let count = (decade / written).log10().round();
    let count_words = match count.abs() as u8 {
        1 => "one decade",
        2 => "two decades",
        _ => "three decades",
    };
    let way = if count > 0.0 { "up" } else { "down" };
    format!("; {count_words} {way}: {}", stated(decade, Unit::Ohm))
}

/// `R2 (netlist line 7)`.
fn part(circuit: &Circuit, id: PartId) -> String {
    let part = circuit.part(id);
    format!("{}{}", part.designator, line_of(part))
}

/// ` (netlist line 7)`; nothing of a part that is in no file.
fn line_of(part: &Part) -> String {
    match part.origin.line {
        0 => String::new(),
        line => format!(" (netlist line {line})"),
    }
}

/// `V1A (pins 6, 7, 8)`.
fn with_pins(part: &Part) -> String {
    let pins: Vec<String> = match &part.kind {
        PartKind::Device(device) => {
            let first = device.terminals.iter().filter_map(|own| own.pins.first());
            first.map(|pin| Pin::name_of(*pin)).collect()
        }
        _ => Vec::new(),
    };
    match pins.is_empty() {
        true => part.designator.clone(),
        false => format!("{} (pins {})", part.designator, pins.join(", ")),
    }
}

/// `V1A plate (pin 6)`.
fn at_terminal((part, at): (&Part, usize)) -> String {
    let names = part.kind.terminals();
    let name = names.get(at).copied().unwrap_or_default();
    let pins = match &part.kind {
        PartKind::Device(device) => device.terminals[at].pins.first(),
        _ => None,
    };
    let pin = pins.map_or(String::new(), |pin| {
        format!(" (pin {})", Pin::name_of(*pin))
    });
    format!("{} {name}{pin}", part.designator)
}

/// Ohms with their limits; one limit where they are hardly known.
fn resistance(likely: &LikelyValue, written: f64) -> String {
    let LikelyValue { value, low, high } = *likely;
    if high <= low * ONE_LIMIT {
        return format!("{} ({} … {})", ohms(value), ohms(low), ohms(high));
    }
    match value > written {
        true => format!("more than {}", ohms(low)),
        false => format!("less than {}", ohms(high)),
    }
}

/// Volts with their limits.
fn volts(likely: &LikelyValue) -> String {
    let LikelyValue { value, low, high } = *likely;
    let [value, low, high] = [value, low, high].map(|volts| digits(volts, 3));
    format!("{} ({low} … {high})", with_volts(&value))
}

/// Whether a number is in volts; else it is in ohms.
pub(crate) fn is_volts(parameter: PartParameter) -> bool {
    matches!(
        parameter,
        PartParameter::Volts | PartParameter::Device(DeviceParameter::KneeVolts)
    )
}

/// The type of a tube or semiconductor; its kind for other parts.
fn type_name(part: &Part) -> &str {
    match &part.kind {
        PartKind::Device(device) => &device.type_name,
        other => other.noun(),
    }
}

/// Where the wiper of a potentiometer stands, 0 to 1; 0 for other parts.
pub(crate) fn turn(part: &Part) -> f64 {
    match &part.kind {
        PartKind::Potentiometer(pot) => pot.setting,
        _ => 0.0,
    }
}
