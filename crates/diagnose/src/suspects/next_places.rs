//! Where a probe may be put next: points of the manual not yet read, readings that may be wrong,
//! every node against its reference, and two nodes with little between them against each other. How telling a
//! place is, is not known here.

use circuit::{Circuit, Job, NodeId, PartKind, Port, Quantity};
use translate::hangs_on_diodes;

use crate::suspects::bench_model::Probe;
use crate::suspects::evaluation::Evaluator;
use crate::suspects::group::Posterior;
use crate::suspects::reading::Readings;
use crate::suspects::unread::UnreadPoint;
use crate::worst_case::WorstCaseVolts;

/// Probability from which a wrong reading is worth being read again.
const READ_AGAIN: f64 = 0.05;

/// Ohms up to which the ends of a resistor or winding are read against each other: what so few drop is lost in what the
/// meter may err on the whole voltage of either end (common practice, no source).
const SMALL_OHMS: f64 = 1e3;

/// A place for the probe.
pub(crate) struct Place {
    pub(crate) probe: Probe,
    pub(crate) entry: Option<usize>,
    pub(crate) worst_case_volts: f64,
    /// The used reading that was taken here before.
    pub(crate) again: Option<usize>,
}

/// Points whose reading may well be wrong: to read them again costs nothing.
fn read_again(
    job: &Job,
    read: &Readings,
    posteriors: &[Posterior],
    worst_case_volts: &WorstCaseVolts,
) -> Vec<Place> {
    let wrong = posteriors
        .iter()
        .filter(|one| one.probability >= READ_AGAIN);
    let places = wrong.filter_map(|one| {
        let index = one.evaluated.faults.first()?.0.reading()?;
        let place = read.used.iter().position(|used| used.reading == index)?;
        let used = &read.used[place];
        if used.quantity != Quantity::DcVolts {
            return None;
        }
        let meter = job.bench.meters.first()?;
        let range = meter.ranges.last()?;
        Some(Place {
            probe: Probe {
                port: used.port,
                siemens: 1.0 / meter.input_ohms(*range),
                state: used.state,
            },
            entry: used.entry,
            worst_case_volts: worst_case_volts.at(used.port),
            again: Some(place),
        })
    });
    places.collect()
}

impl Place {
    /// Whether neither probe is on a reference, at a place that the manual does not have and that was not read.
    pub(crate) fn is_difference(&self, circuit: &Circuit) -> bool {
        let new = self.entry.is_none() && self.again.is_none();
        new && !circuit.nodes()[self.probe.port.minus.0].is_reference
    }
}

/// Unread points of the manual, then every node against its island's reference, then nodes with little between
/// them against each other, the controls as they stood for most readings.
pub(crate) fn places(
    (job, worst_case_volts): (&Job, &WorstCaseVolts),
    evaluator: &Evaluator<'_>,
    (read, unread): (&Readings, &[UnreadPoint]),
    posteriors: &[Posterior],
) -> Vec<Place> {
    let mut found: Vec<Place> = unread
        .iter()
        .map(|point| Place {
            probe: point.probe,
            entry: Some(point.entry),
            worst_case_volts: worst_case_volts.at(point.probe.port),
            again: None,
        })
        .collect();
    found.extend(read_again(job, read, posteriors, worst_case_volts));
    let Some(siemens) = job.bench.meters.first().and_then(|meter| {
        let range = meter.ranges.last()?;
        Some(1.0 / meter.input_ohms(*range))
    }) else {
        return found;
    };
    let state = read.usual_state();
    let ports = against_references(&job.circuit);
    for port in ports.into_iter().chain(joined_closely(&job.circuit)) {
        let same = |own: Port| own == port || (own.plus, own.minus) == (port.minus, port.plus);
        let mut known = found.iter().filter(|place| place.again.is_none());
        let known = known.any(|place| same(place.probe.port));
        let mut used = read.used.iter();
        let taken = used.any(|used| same(used.port) && used.state == state)
            || read.as_printed.iter().copied().any(same);
        let floats = evaluator.bench.floats(state, port);
        // Behind the plate of a rectifier is a winding that is not drawn, with all its volts.
        let live = hangs_on_diodes(&job.circuit, port);
        if !known && !taken && !floats && !live {
            found.push(Place {
                probe: Probe {
                    port,
                    siemens,
                    state,
                },
                entry: None,
                worst_case_volts: worst_case_volts.at(port),
                again: None,
            });
        }
    }
    found
}

/// Every node against the reference of its island.
fn against_references(circuit: &Circuit) -> Vec<Port> {
    let islands = circuit::islands(circuit).into_iter();
    let ports = islands.flat_map(|island| {
        let minus = island.references.first().copied();
        let ports = move |plus: NodeId| minus.map(|minus| Port { plus, minus });
        island.nodes.into_iter().filter_map(ports)
    });
    ports.filter(|port| port.plus != port.minus).collect()
}

/// Pairs of nodes, none of them a reference, with a winding or resistor of few ohms between them, or two such
/// windings of one part.
fn joined_closely(circuit: &Circuit) -> Vec<Port> {
    let live = |node: &NodeId| !circuit.nodes()[node.0].is_reference;
    // A winding of many is called after its transformer or coil, as in `T1.primary1`.
    let mut windings: Vec<(Option<&str>, [NodeId; 2])> = Vec::new();
    let mut pairs: Vec<[NodeId; 2]> = Vec::new();
    for part in circuit.parts() {
        let of = part.designator.split('.').next();
        match (&part.kind, part.nodes.as_slice()) {
            (PartKind::Inductor(coil), [one, other]) if coil.ohms <= SMALL_OHMS => {
                windings.push((of, [*one, *other]));
            }
            (PartKind::Transformer(own), [a, b, c, d]) => {
                let ends = [(own.primary_ohms, [*a, *b]), (own.secondary_ohms, [*c, *d])];
                let few = ends.into_iter().filter(|(ohms, _)| *ohms <= SMALL_OHMS);
                windings.extend(few.map(|(_, ends)| (of, ends)));
            }
            (PartKind::Resistor(resistor), [one, other]) if resistor.ohms <= SMALL_OHMS => {
                pairs.push([*one, *other]);
            }
            _ => {}
        }
    }
    for (place, (of, one)) in windings.iter().enumerate() {
        let same_part = windings[place + 1..].iter().filter(|(own, _)| own == of);
        for (_, other) in same_part {
            let shared = one.iter().find(|node| other.contains(node) && live(node));
            let far = |ends: &[NodeId; 2]| ends.iter().find(|node| Some(*node) != shared).copied();
            pairs.extend(shared.and_then(|_| Some([far(one)?, far(other)?])));
        }
    }
    pairs.extend(windings.iter().map(|(_, ends)| *ends));
    let pairs = pairs.into_iter();
    let pairs = pairs.filter(|[one, other]| one != other && live(one) && live(other));
    pairs.map(|[plus, minus]| Port { plus, minus }).collect()
}
