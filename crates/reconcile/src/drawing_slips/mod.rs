//! Slips of the drawing that would explain what is doubted: a number of a part that was read wrong off the
//! schematic or is misprinted there, a resistor that is not drawn, one that is drawn to the wrong node, and a part
//! with two terminals exchanged, of another type or with its wiper elsewhere.
//!
//! A reconciled manual comes in. Tangents at the drawn circuit say which changes of it promise to bring the
//! manual's values to agree; those are tried in the full circuit, and each that brings all values to agree
//! goes out; where none does, two that do so together. None is ever applied.

mod changed;
mod connections;
#[cfg(test)]
mod large_sets;
mod numbers;
mod other_types;
mod reach;
mod replacements;
mod search;
mod two_slips;

use circuit::{Alteration, NodeId, PartId, Port};
use solver::ParameterId;

pub(crate) use numbers::numbers_elsewhere;
pub(crate) use search::SlipSearch;

use crate::agreement::Agreement;
use crate::data_snooping::DECISIVE_ODDS;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::observation::Observation;
use crate::reconciled::Reconciled;

/// Changes of a kind that are tried in the full circuit at least, those that promise most.
const TRIED: usize = 6;

/// Readings computed for the starts of each kind of change, about: how many changes of a large table are tried.
const READINGS: usize = 4000;

/// Nodes at which a connection may be wrong, at most: those whose readings are furthest off.
const NODES: usize = 12;

/// Of a large table fewer of them, so that the derivatives of all readings by all connections there stay below this
/// count, which take some hundred megabytes.
const DERIVATIVES: usize = 20_000_000;

/// A change of the drawing that would explain what is doubted.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawingSlip {
    /// The change.
    pub change: DrawingChange,
    /// How well all values agree with the drawing then.
    pub agreement: Agreement,
    /// Logarithm of how likely it makes the printed values, times its probability beforehand, up to a constant
    /// of the table.
    pub log_odds: f64,
}

/// What is otherwise than drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DrawingChange {
    /// A number of a part is another one than is written.
    Number {
        /// Which number of which part.
        id: ParameterId,
        /// What is written, in its own unit.
        written: f64,
        /// What it should be, in the same unit.
        likely: LikelyValue,
        /// What is written with the decimal point or the letter of its unit elsewhere, where that fits.
        decade: Option<f64>,
    },
    /// A resistor joins two nodes that is not drawn.
    NotDrawn {
        /// The two nodes.
        port: Port,
        /// Its ohms.
        likely: LikelyValue,
    },
    /// An end of a resistor or winding is on another node.
    OtherNode {
        /// The part.
        part: PartId,
        /// The end, by its place in the part's list of nodes.
        terminal: usize,
        /// The other node.
        node: NodeId,
    },
    /// Two terminals of a part are exchanged.
    Exchanged {
        /// The part.
        part: PartId,
        /// The terminals, by their places in the part's list of nodes.
        terminals: [usize; 2],
    },
    /// A terminal of one section of a tube is exchanged with one of another section, or the whole sections are.
    ExchangedBetween {
        /// The two sections.
        parts: [PartId; 2],
        /// The terminal of each, by its place in the part's list of nodes; none where all are exchanged.
        terminals: Option<[usize; 2]>,
    },
    /// A tube or transistor is of another type.
    OtherType {
        /// The part; of a tube drawn by its sections, the first one.
        part: PartId,
        /// The type, or the polarity of a transistor.
        name: &'static str,
    },
    /// The wiper of a potentiometer is elsewhere.
    Position {
        /// The potentiometer.
        part: PartId,
        /// Share of the resistance between the counter-clockwise end and the wiper, 0 to 1.
        share: f64,
    },
}

impl DrawingChange {
    /// The part that is changed; none of a resistor that is not drawn.
    pub fn part(&self) -> Option<PartId> {
        match *self {
            DrawingChange::Number { id, .. } => Some(id.part),
            DrawingChange::NotDrawn { .. } => None,
            DrawingChange::ExchangedBetween { parts, .. } => Some(parts[0]),
            DrawingChange::OtherNode { part, .. }
            | DrawingChange::Exchanged { part, .. }
            | DrawingChange::OtherType { part, .. }
            | DrawingChange::Position { part, .. } => Some(part),
        }
    }

    /// Whether two changes are the same but for values.
    fn is_alike(&self, other: &DrawingChange) -> bool {
        let ports = [self, other].map(|change| match change {
            DrawingChange::NotDrawn { port, .. } => Some(*port),
            _ => None,
        });
        let kinds = [self, other].map(std::mem::discriminant);
        kinds[0] == kinds[1] && self.part() == other.part() && ports[0] == ports[1]
    }
}

/// A value with its 95 % limits, in its own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LikelyValue {
    /// The most likely value.
    pub value: f64,
    /// The lower limit.
    pub low: f64,
    /// The upper limit.
    pub high: f64,
}

/// The slips of a drawing that would explain what is doubted.
#[derive(Clone, Debug, Default)]
pub(crate) struct DrawingSlips {
    /// Those with which all values agree, the likeliest first, as far as the odds against the first are not
    /// decisive; none where nothing is doubted.
    pub(crate) alone: Vec<DrawingSlip>,
    /// Where there are none of these, two that do so together.
    pub(crate) together: Option<[DrawingSlip; 2]>,
}

impl DrawingSlips {
    pub(crate) fn of(reconciled: &Reconciled) -> Self {
        let Some(tried) = tried(reconciled) else {
            return DrawingSlips::default();
        };
        let mut alone = agreeing(&tried);
        let best = alone.first().map_or(0.0, |first| first.log_odds);
        alone.retain(|slip| best - slip.log_odds < DECISIVE_ODDS.ln());
        let together = match alone.is_empty() {
            true => two_slips::two_slips(reconciled, &tried),
            false => None,
        };
        DrawingSlips { alone, together }
    }
}

/// A change that was tried in the full circuit.
struct Tried {
    slip: DrawingSlip,
    /// What it changes.
    alteration: Alteration,
    /// Whether all values agree then.
    agrees: bool,
}

/// The changes that are worth a trial; none where nothing is doubted.
fn tried(reconciled: &Reconciled) -> Option<Vec<Tried>> {
    if reconciled.doubted.is_empty() && !reconciled.agreement().disagrees() {
        return None;
    }
    let table = DrawnTable::of(SlipSearch::of(reconciled))?;
    let mut found = numbers::wrong_numbers(&table);
    found.extend(connections::wrong_connections(reconciled, &table));
    found.extend(replacements::replacements(reconciled, &table));
    found.sort_by(|one, other| other.slip.log_odds.total_cmp(&one.slip.log_odds));
    Some(found)
}

/// The slips with which all values agree, the likeliest first.
fn agreeing(tried: &[Tried]) -> Vec<DrawingSlip> {
    let each = tried.iter().filter(|own| own.agrees);
    each.map(|own| own.slip.clone()).collect()
}

/// The whole table, doubted values included, fitted to the drawn circuit by its tangents.
struct DrawnTable<'a> {
    search: SlipSearch<'a>,
    jacobian: ScaledJacobian,
    fit: Fit,
}

impl<'a> DrawnTable<'a> {
    fn of(search: SlipSearch<'a>) -> Option<Self> {
        let rows: Vec<&Observation> = search.table.rows.iter().collect();
        let jacobian = ScaledJacobian::of(&rows);
        let fit = Fit::new(&rows, &jacobian).ok()?;
        Some(DrawnTable {
            search,
            jacobian,
            fit,
        })
    }
}

/// The few of some changes that promise most.
fn best<T>(tried: usize, mut promising: Vec<(T, f64)>) -> impl Iterator<Item = T> {
    promising.sort_by(|(_, one), (_, other)| other.total_cmp(one));
    promising.into_iter().take(tried).map(|(change, _)| change)
}

/// The nodes whose readings are furthest off.
fn doubtful_nodes(drawn: &DrawnTable<'_>) -> Vec<NodeId> {
    let circuit = &drawn.search.job.circuit;
    let (all, terminals) = (circuit.nodes().len(), 4 * circuit.parts().len());
    let mut at_node = vec![0_usize; all];
    for node in circuit.parts().iter().flat_map(|part| &part.nodes) {
        at_node[node.0] += 1;
    }
    // A resistor may be missing from the node to any other, any terminal may belong to it, and each of its own to
    // any other node, which of a rail in a large set are too many.
    let derivatives =
        |node: NodeId| drawn.fit.len() * (all + terminals + 2 * at_node[node.0] * all);
    let sigmas = drawn.fit.sigmas();
    let mut rows: Vec<usize> = (0..sigmas.len()).collect();
    rows.sort_by(|one, other| sigmas[*other].total_cmp(&sigmas[*one]));
    let mut nodes: Vec<NodeId> = Vec::new();
    let mut left = DERIVATIVES;
    for row in rows {
        let port = drawn.search.table.taken[row].port;
        for node in [port.plus, port.minus] {
            let takes = derivatives(node);
            if nodes.len() < NODES && takes <= left && !nodes.contains(&node) {
                left -= takes;
                nodes.push(node);
            }
        }
    }
    nodes
}
