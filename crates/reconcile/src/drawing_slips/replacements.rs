//! Parts that are drawn wrong as a whole: with two terminals exchanged, of another type, or with the wiper
//! elsewhere.
//!
//! Tangents say little of these, so all of them are tried as far as the size of the table allows.

use circuit::{Alteration, Circuit, Conditions, NodeId, Part, PartId, PartKind};

use super::changed::{searched, Changed};
use super::other_types::other_types;
use super::{doubtful_nodes, DrawingChange, DrawnTable, Tried, READINGS};
use crate::reconciled::Reconciled;

/// Share of devices, sources and potentiometers of which two terminals are exchanged (common practice, no source).
const EXCHANGED: f64 = 0.01;

/// Share of potentiometers whose wiper is not where it is written: a schematic prints no position, and a control is set
/// by a reading (common practice, no source).
const POSITION: f64 = 0.5;

/// Steps in which the positions of a wiper are tried from end to end, in percent. Between two of them the one
/// that fits best is named to a percent, about what can be set by hand.
const STEP: usize = 5;

/// A change of a whole part, with its probability beforehand.
pub(super) struct Replacement {
    change: DrawingChange,
    alteration: Alteration,
    share: f64,
}

impl Replacement {
    pub(super) fn of(change: DrawingChange, parts: Vec<(PartId, Part)>, share: f64) -> Self {
        Replacement {
            change,
            alteration: Alteration {
                parts,
                ..Alteration::none(&Conditions::default())
            },
            share,
        }
    }
}

/// The replacements that would explain what is doubted, the best of each kind for each part.
pub(super) fn replacements(reconciled: &Reconciled, drawn: &DrawnTable<'_>) -> Vec<Tried> {
    let Reconciled { job, table, .. } = reconciled;
    let near = doubtful_nodes(drawn);
    let mut all: Vec<Replacement> = Vec::new();
    let mut far = Vec::new();
    for (place, part) in job.circuit.parts().iter().enumerate() {
        let is_near = part.nodes.iter().any(|node| near.contains(node));
        let found = of_part(&job.circuit, PartId(place), part);
        if is_near { &mut all } else { &mut far }.extend(found);
    }
    all.extend(far);
    all.truncate(READINGS / table.rows.len().max(1));
    let found = best_of_each(tried(reconciled, all));
    let each = found.into_iter();
    each.flat_map(|own| between_steps(reconciled, own))
        .collect()
}

/// Some replacements, each where its search ends.
fn tried(reconciled: &Reconciled, all: Vec<Replacement>) -> Vec<Tried> {
    searched(
        reconciled,
        all,
        |replacement| replacement.alteration.clone(),
        |_, changed| changed.fitted(),
        |replacement, _| Some((replacement.change, replacement.share)),
    )
}

/// The position of a wiper within a step of the one found at which the drawing, its numbers as written, reads what the
/// doubted rows print, to a percent; any other change as it is. The likelihood says less of that: it gives in to what
/// the other rows say of the parts.
fn between_steps(reconciled: &Reconciled, found: Tried) -> Option<Tried> {
    let DrawingChange::Position { part: id, share } = found.slip.change else {
        return Some(found);
    };
    let part = reconciled.job.circuit.part(id);
    let step = (100.0 * share).round() as usize;
    let near = step.saturating_sub(STEP - 1)..step + STEP;
    let near = near
        .filter(|percent| *percent <= 100)
        .filter_map(|percent| {
            let replacement = at_position(id, part, percent)?;
            let changed = Changed::of(reconciled, &replacement.alteration)?;
            Some((percent, replacement, misfit(reconciled, &changed)))
        });
    let (percent, replacement, _) = near.min_by(|one, other| one.2.total_cmp(&other.2))?;
    let refined = match percent == step {
        true => None,
        false => tried(reconciled, vec![replacement]).pop(),
    };
    let refined = refined.filter(|own| own.agrees >= found.agrees);
    Some(refined.unwrap_or(found))
}

/// How far the changed drawing is from what the doubted rows print, or all where none is doubted: the sum of squares,
/// each in standard deviations of the printed value.
fn misfit(reconciled: &Reconciled, changed: &Changed) -> f64 {
    let doubted = |row: &usize| reconciled.doubted.iter().any(|out| out.row == *row);
    let rows = changed.search().table.rows.iter().enumerate();
    let counted = rows.filter(|(row, _)| reconciled.doubted.is_empty() || doubted(row));
    let each = counted.map(|(_, row)| (row.printed.value - row.model).powi(2) / row.noise);
    each.sum()
}

/// A potentiometer with its wiper elsewhere; none of another part, or where the drawing does not say where it is.
fn at_position(id: PartId, part: &Part, percent: usize) -> Option<Replacement> {
    let PartKind::Potentiometer(pot) = &part.kind else {
        return None;
    };
    if !pot.is_stated {
        return None;
    }
    let share = percent as f64 / 100.0;
    let mut own = pot.clone();
    own.setting = share;
    let other = Part {
        kind: PartKind::Potentiometer(own),
        ..part.clone()
    };
    let change = DrawingChange::Position { part: id, share };
    let likely = POSITION * STEP as f64 / 100.0;
    Some(Replacement::of(change, vec![(id, other)], likely))
}

/// Several types or positions often do alike: the likeliest of each part, of those that agree first.
fn best_of_each(mut found: Vec<Tried>) -> Vec<Tried> {
    found.sort_by(|one, other| {
        let agrees = other.agrees.cmp(&one.agrees);
        agrees.then(other.slip.log_odds.total_cmp(&one.slip.log_odds))
    });
    let mut best: Vec<Tried> = Vec::new();
    for own in found {
        let alike = |known: &Tried| match (known.slip.change, own.slip.change) {
            (DrawingChange::OtherType { part, .. }, DrawingChange::OtherType { part: own, .. })
            | (DrawingChange::Position { part, .. }, DrawingChange::Position { part: own, .. }) => {
                part == own
            }
            _ => false,
        };
        if !best.iter().any(alike) {
            best.push(own);
        }
    }
    best
}

fn of_part(circuit: &Circuit, id: PartId, part: &Part) -> Vec<Replacement> {
    let exchanges = exchanges(part);
    let share = EXCHANGED / exchanges.len().max(1) as f64;
    let exchanges = exchanges.into_iter().map(|terminals| {
        let mut other = part.clone();
        other.nodes.swap(terminals[0], terminals[1]);
        let change = DrawingChange::Exchanged {
            part: id,
            terminals,
        };
        Replacement::of(change, vec![(id, other)], share)
    });
    let mut all: Vec<Replacement> = exchanges.collect();
    match &part.kind {
        PartKind::Potentiometer(_) => {
            let positions = (0..=100).step_by(STEP);
            all.extend(positions.filter_map(|percent| at_position(id, part, percent)));
        }
        PartKind::Device(device) => {
            all.extend(exchanged_between_sections(circuit, id));
            all.extend(other_types(circuit, id, part, device));
        }
        _ => {}
    }
    all
}

/// An electrode of this section exchanged with the same one of a later section, where they are on two nodes, or all of
/// them: whoever draws a socket by its pins takes the halves for each other.
fn exchanged_between_sections(circuit: &Circuit, id: PartId) -> Vec<Replacement> {
    let own = circuit.part(id);
    let sections = circuit.sections_of(id).into_iter();
    let later = sections.skip_while(|section| *section != id).skip(1);
    let each = later.flat_map(|with| {
        let theirs = circuit.part(with);
        let (mine, names) = (own.kind.terminals(), theirs.kind.terminals());
        let same = mine.iter().enumerate().filter_map(|(at, name)| {
            let other = names.iter().position(|known| known == name)?;
            (own.nodes[at] != theirs.nodes[other]).then_some(Some([at, other]))
        });
        let alike = mine == names && own.nodes != theirs.nodes;
        let whole = alike.then_some(None);
        let exchanges = same.chain(whole).map(|terminals| (with, terminals));
        exchanges.collect::<Vec<_>>()
    });
    let exchanges: Vec<(PartId, Option<[usize; 2]>)> = each.collect();
    let share = EXCHANGED / exchanges.len().max(1) as f64;
    let exchanges = exchanges.into_iter().map(|(with, terminals)| {
        let (mut one, mut other) = (own.clone(), circuit.part(with).clone());
        match terminals {
            Some([own, theirs]) => std::mem::swap(&mut one.nodes[own], &mut other.nodes[theirs]),
            None => std::mem::swap(&mut one.nodes, &mut other.nodes),
        }
        let change = DrawingChange::ExchangedBetween {
            parts: [id, with],
            terminals,
        };
        Replacement::of(change, vec![(id, one), (with, other)], share)
    });
    exchanges.collect()
}

/// The pairs of terminals, on two nodes, that somebody may exchange.
fn exchanges(part: &Part) -> Vec<[usize; 2]> {
    let units: Vec<Vec<usize>> = match &part.kind {
        PartKind::Device(device) => device.units.iter().map(|unit| unit.at.clone()).collect(),
        PartKind::Supply(_) => vec![vec![0, 1]],
        PartKind::Potentiometer(_) => vec![vec![0, 1, 2]],
        _ => Vec::new(),
    };
    let mut pairs: Vec<[usize; 2]> = Vec::new();
    for unit in units {
        for (place, one) in unit.iter().enumerate() {
            for other in &unit[place + 1..] {
                let pair = [*one.min(other), *one.max(other)];
                let nodes: [Option<&NodeId>; 2] = pair.map(|at| part.nodes.get(at));
                if nodes[0] != nodes[1] && !pairs.contains(&pair) {
                    pairs.push(pair);
                }
            }
        }
    }
    pairs
}
