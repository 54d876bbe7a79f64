//! Connections that are drawn wrong: a resistor that is not drawn, and one that is drawn to the wrong node.

use std::sync::Arc;

use circuit::{
    Alteration, Bridge, Circuit, Conditions, Job, NodeId, PartId, PartKind, PartParameter, Port,
};
use nalgebra::{DMatrix, RowDVector};
use rayon::prelude::*;
use solver::Load;

use super::numbers::{widening, WRONG_OHMS};
use super::search::{worth_a_search, Fitted, Search};
use super::{best, DrawingChange, DrawingSlip, DrawnTable, TRIED};
use crate::manual_table::{read_table, ManualTable, Meters};
use crate::reader::Reader;
use crate::reconciled::Reconciled;

/// Nodes at which a connection may be wrong: those whose readings are furthest off.
const NODES: usize = 12;

/// Ends of resistors that are tried on other nodes: as many as so many readings allow, and no more than this.
/// Where a resistor is drawn to a wrong node, tangents say little.
const READINGS: usize = 4000;
const MOST_TRIED: usize = 100;

/// Where the search for the ohms of a resistor that is not drawn begins, as multiples of what the tangents say.
const STARTS: [f64; 3] = [0.3, 1.0, 3.0];

/// Resistors that are not drawn, as a share of the parts that are; half of them lead to the reference (common
/// practice, no source).
const NOT_DRAWN: f64 = 0.01;

/// Share of the ends of resistors that are drawn to a wrong node (common practice, no source).
const OTHER_NODE: f64 = 0.01;

/// A change of connections.
#[derive(Clone, Copy)]
enum Connection {
    /// A resistor of about so many ohms across a port.
    NotDrawn { port: Port, ohms: f64 },
    /// An end of a resistor on another node.
    OtherNode {
        part: PartId,
        terminal: usize,
        node: NodeId,
    },
}

/// The drawing with a change of connections.
struct Changed {
    connection: Connection,
    job: Arc<Job>,
    reader: Reader,
    /// The manual read anew: ranges that are not stated go by the drawing.
    table: ManualTable,
}

/// The connections that would explain what is doubted.
pub(super) fn wrong_connections(drawn: &DrawnTable<'_>) -> Vec<DrawingSlip> {
    let reconciled = drawn.reconciled;
    let begun = promising(drawn).into_par_iter().filter_map(|connection| {
        let changed = Changed::of(reconciled, connection)?;
        let begun = changed.begun()?;
        Some((changed, begun))
    });
    let mut begun: Vec<(Changed, Fitted)> = begun.collect();
    worth_a_search(&mut begun, |(_, fitted)| fitted);
    let finished = begun.into_par_iter().filter_map(|(changed, begun)| {
        let done = changed.search().finished(begun);
        Some(DrawingSlip {
            change: changed.connection.found(&done)?,
            agreement: done.agreement()?,
            log_odds: done.log_likelihood()
                + changed.connection.share(&reconciled.job.circuit).ln(),
        })
    });
    finished.collect()
}

impl Changed {
    /// None where the circuit has no state or cannot predict the same values.
    fn of(reconciled: &Reconciled, connection: Connection) -> Option<Self> {
        let circuit = &reconciled.job.circuit;
        let mut alteration = Alteration::none(&Conditions::default());
        match connection {
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
        let job = Arc::new(Job {
            circuit: circuit.altered(&alteration),
            ..Job::clone(&reconciled.job)
        });
        let mut reader = Reader::new(&job);
        let table = read_table(&mut reader, &job, Meters::AS_STATED).ok()?;
        let same = table.rows.len() == reconciled.table.rows.len();
        same.then_some(Changed {
            connection,
            job,
            reader,
            table,
        })
    }

    fn search(&self) -> Search<'_> {
        Search {
            reader: &self.reader,
            job: &self.job,
            table: &self.table,
        }
    }

    fn begun(&self) -> Option<Fitted> {
        let search = self.search();
        let fitted = Fitted::of(None, self.reader.prior.clone(), &self.table.rows)?;
        let Connection::NotDrawn { .. } = self.connection else {
            return Some(fitted);
        };
        // What is added comes after the parts that are drawn.
        let added = PartId(self.job.circuit.parts().len() - 1);
        let mut numbers = fitted.prior.numbers.iter();
        let free = numbers
            .position(|(id, _)| id.part == added && id.parameter == PartParameter::Resistance)?;
        let wide = fitted.prior.widened(free, widening(&fitted.prior, free)?);
        let starts = STARTS.iter().map(|start| start.ln() / WRONG_OHMS);
        search.begun(free, &wide, starts)
    }
}

impl Connection {
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
                let all = NOT_DRAWN * circuit.parts().len() as f64 / 2.0;
                let mut references = circuit.references();
                match references.any(|node| [port.plus, port.minus].contains(&node)) {
                    true => all / others,
                    false => all / (others * (others - 1.0) / 2.0),
                }
            }
            Connection::OtherNode { .. } => OTHER_NODE / (others - 1.0),
        }
    }
}

/// The changes of connections that promise most by the tangents.
fn promising(drawn: &DrawnTable<'_>) -> Vec<Connection> {
    let circuit = &drawn.reconciled.job.circuit;
    let doubtful = doubtful_nodes(drawn);
    let ports = undrawn(circuit, &doubtful);
    let ends = other_nodes(circuit, &doubtful);
    let moved = ends.iter().flat_map(|end| [end.drawn, end.other]);
    let all: Vec<Port> = ports.iter().copied().chain(moved).collect();
    let Some(slopes) = slopes(drawn, &all) else {
        return Vec::new();
    };
    let (of_ports, of_ends) = slopes.columns_range_pair(..ports.len(), ports.len()..);
    let of_ports = gains(drawn, &of_ports.into_owned());
    let not_drawn = ports.iter().zip(of_ports).filter_map(|(port, found)| {
        let (siemens, gain) = found.filter(|(siemens, _)| *siemens > 0.0)?;
        let ohms = 1.0 / siemens;
        Some((Connection::NotDrawn { port: *port, ohms }, gain))
    });
    // A siemens of the drawn port is taken away, one of the other is added.
    let of_ends = DMatrix::from_fn(of_ends.nrows(), ends.len(), |row, end| {
        of_ends[(row, 2 * end + 1)] - of_ends[(row, 2 * end)]
    });
    let of_ends = gains(drawn, &of_ends);
    let moved = ends.iter().zip(of_ends);
    let moved = moved.filter_map(|(end, found)| Some((end.connection, found?.1)));
    let mut found: Vec<Connection> = best(TRIED, not_drawn.collect()).collect();
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

/// The nodes whose readings are furthest off.
fn doubtful_nodes(drawn: &DrawnTable<'_>) -> Vec<NodeId> {
    let sigmas = drawn.fit.sigmas();
    let mut rows: Vec<usize> = (0..sigmas.len()).collect();
    rows.sort_by(|one, other| sigmas[*other].total_cmp(&sigmas[*one]));
    let mut nodes: Vec<NodeId> = Vec::new();
    for row in rows {
        let port = drawn.reconciled.table.taken[row].port;
        for node in [port.plus, port.minus] {
            if nodes.len() < NODES && !nodes.contains(&node) {
                nodes.push(node);
            }
        }
    }
    nodes
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

/// An end of a resistor on another node, with the ports that the resistor is across as drawn and then.
struct OtherEnd {
    connection: Connection,
    drawn: Port,
    other: Port,
}

fn other_nodes(circuit: &Circuit, doubtful: &[NodeId]) -> Vec<OtherEnd> {
    let mut ends = Vec::new();
    for (place, part) in circuit.parts().iter().enumerate() {
        let (PartKind::Resistor(_), &[one, two]) = (&part.kind, part.nodes.as_slice()) else {
            continue;
        };
        for (terminal, [stays, moves]) in [[two, one], [one, two]].into_iter().enumerate() {
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
    let Reconciled {
        reader, job, table, ..
    } = drawn.reconciled;
    let rows = table.taken.par_iter().map(|taken| {
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
    });
    let rows: Vec<RowDVector<f64>> = rows.collect::<Option<_>>()?;
    Some(DMatrix::from_rows(&rows))
}
