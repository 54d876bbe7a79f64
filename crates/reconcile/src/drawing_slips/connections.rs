//! Connections that are drawn wrong: a resistor that is not drawn, and one that is drawn to the wrong node.

use circuit::{
    Alteration, Bridge, Circuit, Conditions, NodeId, PartId, PartKind, PartParameter, Port,
};
use nalgebra::{DMatrix, RowDVector};
use solver::Load;

use super::changed::{searched, Changed};
use super::numbers::{widening, WRONG_OHMS};
use super::reach::Reach;
use super::search::{Fitted, SlipSearch};
use super::{best, doubtful_nodes, DrawingChange, DrawnTable, Tried, DERIVATIVES, READINGS, TRIED};
use crate::reconciled::Reconciled;

/// Ends of resistors and windings that are tried on other nodes at most. Where one is drawn to a wrong node,
/// tangents say little.
const MOST_TRIED: usize = 100;

/// Missing resistors that are tried at most.
const MOST_PORTS: usize = 24;

/// Where the search for the ohms of a resistor that is not drawn begins, as multiples of what the tangents say,
/// and the limits of that: where a place is left without a path, tangents are far from the truth.
const STARTS: [f64; 5] = [0.001, 0.03, 0.3, 1.0, 10.0];
const LIKELY_OHMS: (f64, f64) = (10.0, 10e6);

/// Resistors that are not drawn, as a share of the parts that are; half of them lead to the reference (common
/// practice, no source).
const NOT_DRAWN: f64 = 0.01;

/// Probability that a node to which a single part leads lacks a resistor: half of the time that is not drawn, half
/// of the time it is drawn to another node (common practice, no source).
const HANGING: f64 = 0.5;

/// Share of the ends of resistors and windings that are drawn to a wrong node (common practice, no source).
const OTHER_NODE: f64 = 0.01;

/// A change of connections.
#[derive(Clone, Copy)]
enum Connection {
    /// A resistor of about so many ohms across a port.
    NotDrawn { port: Port, ohms: f64 },
    /// An end of a resistor or winding on another node.
    OtherNode {
        part: PartId,
        terminal: usize,
        node: NodeId,
    },
}

/// The connections that would explain what is doubted.
pub(super) fn wrong_connections(reconciled: &Reconciled, drawn: &DrawnTable<'_>) -> Vec<Tried> {
    let circuit = &reconciled.job.circuit;
    searched(
        reconciled,
        promising(drawn),
        |connection| connection.alteration(circuit),
        |connection, changed| begun(*connection, changed),
        |connection, done| Some((connection.found(done)?, connection.share(circuit))),
    )
}

/// The table fitted at the best of the starts; none where it cannot be.
fn begun(connection: Connection, changed: &Changed) -> Option<Fitted> {
    let fitted = changed.fitted()?;
    let Connection::NotDrawn { .. } = connection else {
        return Some(fitted);
    };
    // What is added comes after the parts that are drawn.
    let added = PartId(changed.job.circuit.parts().len() - 1);
    let mut numbers = fitted.prior.numbers.iter();
    let free = numbers
        .position(|(id, _)| id.part == added && id.parameter == PartParameter::Resistance)?;
    let wide = fitted.prior.widened(free, widening(&fitted.prior, free)?);
    let starts = STARTS.iter().map(|start| start.ln() / WRONG_OHMS);
    changed.search().begun(free, &wide, starts)
}

impl Connection {
    fn alteration(self, circuit: &Circuit) -> Alteration {
        let mut alteration = Alteration::none(&Conditions::default());
        match self {
            Connection::NotDrawn { port, ohms } => alteration.bridges.push(Bridge {
                plus: port.plus,
                minus: port.minus,
                ohms,
            }),
            Connection::OtherNode {
                part,
                terminal,
                node,
            } => alteration.part_mut(circuit, part).nodes[terminal] = node,
        }
        alteration
    }

    fn found(self, done: &Fitted) -> Option<DrawingChange> {
        Some(match self {
            Connection::NotDrawn { port, .. } => DrawingChange::NotDrawn {
                port,
                likely: done.likely()?,
            },
            Connection::OtherNode {
                part,
                terminal,
                node,
            } => DrawingChange::OtherNode {
                part,
                terminal,
                node,
            },
        })
    }

    /// Its probability beforehand.
    fn share(self, circuit: &Circuit) -> f64 {
        let others = circuit.nodes().len() as f64 - 1.0;
        match self {
            Connection::NotDrawn { port, .. } => {
                let hanging = [port.plus, port.minus]
                    .iter()
                    .any(|node| is_hanging(circuit, *node));
                let mut references = circuit.references();
                let to_reference = references.any(|node| [port.plus, port.minus].contains(&node));
                let all = NOT_DRAWN * circuit.parts().len() as f64 / 2.0;
                match (hanging, to_reference) {
                    (true, true) => HANGING / 4.0,
                    (true, false) => HANGING / 4.0 / others,
                    (false, true) => all / others,
                    (false, false) => all / (others * (others - 1.0) / 2.0),
                }
            }
            Connection::OtherNode { node, .. } if is_hanging(circuit, node) => {
                HANGING / 2.0 / (2.0 * circuit.parts().len() as f64)
            }
            Connection::OtherNode { .. } => OTHER_NODE / (others - 1.0),
        }
    }
}

/// Whether a single terminal leads to a node.
fn is_hanging(circuit: &Circuit, node: NodeId) -> bool {
    let terminals = circuit.parts().iter().flat_map(|part| &part.nodes);
    terminals.filter(|own| **own == node).count() == 1
}

/// The changes of connections that promise most by the tangents.
fn promising(drawn: &DrawnTable<'_>) -> Vec<Connection> {
    let circuit = &drawn.search.job.circuit;
    let doubtful = doubtful_nodes(drawn);
    let mut open = doubtful.clone();
    let nodes = (0..circuit.nodes().len()).map(NodeId);
    let hanging = nodes.filter(|node| !doubtful.contains(node) && is_hanging(circuit, *node));
    let of_node = circuit.nodes().len() * drawn.fit.len();
    open.extend(hanging.take(DERIVATIVES / of_node.max(1)));
    let ports = undrawn(circuit, &open);
    let ends = other_nodes(circuit, &doubtful);
    let moved = ends.iter().flat_map(|end| [end.drawn, end.other]);
    let all: Vec<Port> = ports.iter().copied().chain(moved).collect();
    let Some(slopes) = slopes(drawn, &all) else {
        return Vec::new();
    };
    let (of_ports, of_ends) = slopes.columns_range_pair(..ports.len(), ports.len()..);
    let of_ports = gains(drawn, &of_ports.into_owned());
    let reach = Reach::of(drawn);
    let not_drawn = ports.iter().zip(of_ports);
    let not_drawn = not_drawn.filter(|(port, _)| reach.allows(**port));
    let not_drawn = not_drawn.filter_map(|(port, found)| {
        let (siemens, gain) = found.filter(|(siemens, _)| *siemens > 0.0)?;
        let ohms = (1.0 / siemens).clamp(LIKELY_OHMS.0, LIKELY_OHMS.1);
        let connection = Connection::NotDrawn { port: *port, ohms };
        Some((connection, gain + connection.share(circuit).ln()))
    });
    // A siemens of the drawn port is taken away, one of the other is added.
    let of_ends = DMatrix::from_fn(of_ends.nrows(), ends.len(), |row, end| {
        of_ends[(row, 2 * end + 1)] - of_ends[(row, 2 * end)]
    });
    let of_ends = gains(drawn, &of_ends);
    let moved = ends.iter().zip(of_ends);
    let moved = moved.filter_map(|(end, found)| Some((end.connection, found?.1)));
    // By the tangents a resistor to one stiff rail promises as much as one to another.
    let searched = drawn.fit.len().max(1) * STARTS.len();
    let tried = (READINGS / searched).clamp(TRIED, MOST_PORTS);
    let mut found: Vec<Connection> = best(tried, not_drawn.collect()).collect();
    let tried = (READINGS / drawn.fit.len().max(1)).clamp(TRIED, MOST_TRIED);
    found.extend(best(tried, moved.collect()));
    found
}

/// The conductance that the values ask for, given what a siemens of it adds to each reading, one column a change,
/// and the gain of the logarithm of the likelihood, negative where they ask for a negative one; none where no
/// reading moves.
fn gains(drawn: &DrawnTable<'_>, slopes: &DMatrix<f64>) -> Vec<Option<(f64, f64)>> {
    let fit = &drawn.fit;
    let b = slopes.tr_mul(&fit.weighted);
    let weighted = &fit.inverse * slopes;
    let each = weighted.column_iter().zip(slopes.column_iter()).zip(&b);
    each.map(|((weighted, slopes), b)| {
        let a = weighted.dot(&slopes);
        (a > 0.0).then(|| (b / a, 0.5 * b * b.abs() / a))
    })
    .collect()
}

/// Ports where a resistor may be missing.
fn undrawn(circuit: &Circuit, doubtful: &[NodeId]) -> Vec<Port> {
    let ports = doubtful.iter().enumerate().flat_map(|(place, plus)| {
        let known = &doubtful[..=place];
        let others = (0..circuit.nodes().len()).map(NodeId);
        let others = others.filter(move |minus| !known.contains(minus));
        others.map(|minus| Port { plus: *plus, minus })
    });
    ports.collect()
}

/// An end of a resistor or winding on another node, with the ports that it is across as drawn and then.
struct OtherEnd {
    connection: Connection,
    drawn: Port,
    other: Port,
}

fn other_nodes(circuit: &Circuit, doubtful: &[NodeId]) -> Vec<OtherEnd> {
    let mut ends = Vec::new();
    for (place, part) in circuit.parts().iter().enumerate() {
        let ends_of: &[usize] = match &part.kind {
            PartKind::Resistor(_) | PartKind::Inductor(_) => &[1, 0],
            PartKind::Transformer(_) => &[1, 0, 3, 2],
            _ => &[],
        };
        for (terminal, opposite) in ends_of.iter().enumerate() {
            let (moves, stays) = (part.nodes[terminal], part.nodes[*opposite]);
            let others = (0..circuit.nodes().len()).map(NodeId);
            let others = others.filter(|node| {
                let near = doubtful.contains(node) || doubtful.contains(&moves);
                near && *node != stays && *node != moves
            });
            ends.extend(others.map(|node| OtherEnd {
                connection: Connection::OtherNode {
                    part: PartId(place),
                    terminal,
                    node,
                },
                drawn: Port {
                    plus: stays,
                    minus: moves,
                },
                other: Port {
                    plus: stays,
                    minus: node,
                },
            }));
        }
    }
    ends
}

/// What a siemens across each port adds to each reading, in volts, one row a reading and one column a port; none
/// where a reading has no state.
fn slopes(drawn: &DrawnTable<'_>, ports: &[Port]) -> Option<DMatrix<f64>> {
    let SlipSearch { reader, job, table } = drawn.search;
    let rows = parallel::map_while_some(&table.taken, |taken| {
        let conditions = Conditions {
            settings: job.manual[taken.entries[0]].settings.clone(),
            line_factor: 1.0,
        };
        let load = Load {
            siemens: taken.siemens(job),
            amperes: 0.0,
        };
        let solution = reader.states.at(&conditions).ok()?;
        let state = solution.metered_to_fit(taken.port, load).ok()?;
        let slopes = solution.by_conductance(&state, ports.iter().copied());
        Some(RowDVector::from_iterator(ports.len(), slopes))
    })?;
    Some(DMatrix::from_rows(&rows))
}
