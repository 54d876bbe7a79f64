//! A current that nothing limits: between which ends of which devices it would flow.
//!
//! Two cases. A state was found, and a device would carry an absurd current there: then the state
//! says where. No state was found: then it is asked what the sources could drive between terminals of
//! semiconductors while no device carries any current. Ideal sources that hold two terminals prove
//! nothing by themselves, so only terminals count that semiconductors join, without a resistance
//! that would limit the current. A tube limits its own current.

use circuit::Groups;
use nalgebra::{DMatrix, DVector};

use crate::device::Device;
use crate::error::{CurrentPath, DeviceEnd, SolveError};
use crate::factors::Factors;
use crate::network::Network;
use crate::reduced::{Problem, Reduced};

/// No tube or transistor survives this many amperes. Above it the laws are meaningless, and their
/// derivatives leave no digits for the rest of the circuit.
const MOST_AMPERES: f64 = 1e3;

/// A terminal of a device, by its place in the characteristic.
type End<'a> = (&'a Device, usize);

/// A current from an end to another, in amperes.
type Flow<'a> = (End<'a>, End<'a>, f64);

/// Refuses a state in which a device would carry more than [`MOST_AMPERES`].
///
/// # Errors
/// [`SolveError::Unlimited`] with the device that carries most.
pub(crate) fn within_reason(
    devices: &[Device],
    network: &Network,
    x: &DVector<f64>,
) -> Result<(), SolveError> {
    let carried = devices.iter().map(|device| {
        let each = device.at(x).current.into_iter();
        let most = each.fold(0.0, |most: f64, amperes| most.max(amperes.abs()));
        (device, most)
    });
    match carried.max_by(|a, b| a.1.total_cmp(&b.1)) {
        Some((device, amperes)) if amperes > MOST_AMPERES => {
            let (from, to) = ends_at(device, x);
            Err(refusal(network, ((device, from), (device, to), amperes)))
        }
        _ => Ok(()),
    }
}

/// The ends of a device between which its current flows in a state: those of the junction with the
/// most forward volts, for that one lets all other currents of a transistor flow; without such a
/// junction the terminals with the most current.
fn ends_at(device: &Device, x: &DVector<f64>) -> (usize, usize) {
    let volts = device.terminal_volts(x);
    let forward = |ends: &(usize, usize)| volts[ends.0] - volts[ends.1];
    let junctions = device
        .junctions()
        .max_by(|a, b| forward(a).total_cmp(&forward(b)));
    if let Some(ends) = junctions.filter(|ends| forward(ends) > 0.0) {
        return ends;
    }
    let current = device.at(x).current;
    let terminals = 0..device.characteristic.terminals();
    let by_current = |a: &usize, b: &usize| current[*a].total_cmp(&current[*b]);
    let most = terminals.clone().max_by(by_current).unwrap_or(0);
    let least = terminals.min_by(by_current).unwrap_or(0);
    (most, least)
}

/// Why no state is found, where the sources could drive more than [`MOST_AMPERES`] through
/// semiconductors; none where they could not.
pub(crate) fn short_circuit(reduced: &Reduced, network: &Network) -> Option<SolveError> {
    let drive = Drive::new(reduced)?;
    let open = reduced.devices.iter();
    let open = open.filter(|device| !device.characteristic.limits_its_current());
    let open: Vec<&Device> = open.collect();
    let most = |a: &Flow<'_>, b: &Flow<'_>| a.2.total_cmp(&b.2);
    let over = |flow: &Flow<'_>| flow.2 > MOST_AMPERES;
    // A junction by itself is a clearer reason than a path through several devices.
    let junctions = open.iter().flat_map(|device| {
        let each = device.junctions();
        each.map(|(anode, cathode)| ((*device, anode), (*device, cathode)))
    });
    let forward = junctions
        .map(|(anode, cathode)| (anode, cathode, drive.amperes(anode, cathode)))
        .max_by(most);
    let found = forward.filter(over).or_else(|| {
        let ends: Vec<End<'_>> = open
            .iter()
            .flat_map(|device| device.attached().map(move |(end, _)| (*device, end)))
            .collect();
        let mut joined = joined(network, &open, drive.spread(&ends) / MOST_AMPERES);
        let pairs = ends.iter().enumerate();
        let pairs = pairs.flat_map(|(k, a)| ends[k + 1..].iter().map(move |b| (*a, *b)));
        pairs
            .filter(|(a, b)| match (a.0.nodes[a.1], b.0.nodes[b.1]) {
                (Some(a), Some(b)) => joined.root(a) == joined.root(b),
                _ => false,
            })
            .map(|(a, b)| {
                let amperes = drive.amperes(a, b);
                match amperes < 0.0 {
                    true => (b, a, -amperes),
                    false => (a, b, amperes),
                }
            })
            .max_by(most)
    });
    found.filter(over).map(|flow| refusal(network, flow))
}

/// Nodes joined by semiconductors, wires, and resistances of less than so many ohms.
fn joined(network: &Network, open: &[&Device], ohms: f64) -> Groups {
    let mut groups = Groups::new(network.places.len());
    for device in open {
        let nodes: Vec<usize> = device.attached().map(|(_, node)| node).collect();
        for pair in nodes.windows(2) {
            groups.join(pair[0], pair[1]);
        }
    }
    for (a, b) in network.wires() {
        groups.join(a, b);
    }
    for resistance in &network.resistances {
        if resistance.siemens * ohms > 1.0 {
            groups.join(resistance.nodes.0, resistance.nodes.1);
        }
    }
    groups
}

/// What the sources can drive while no device carries any current.
struct Drive {
    /// Volts of the rows that devices touch.
    volts: DVector<f64>,
    /// Ohms among those rows.
    impedances: DMatrix<f64>,
}

impl Drive {
    /// None where the circuit without its devices is singular.
    fn new(reduced: &Reduced) -> Option<Self> {
        let factors = Factors::new(&Problem::new(reduced, None).linear_jacobian());
        Some(Drive {
            volts: factors.solve(&reduced.sources)?,
            impedances: factors.inverse()?,
        })
    }

    fn volts(&self, (device, terminal): End<'_>) -> f64 {
        let place = device.terminals[terminal];
        place.row.map_or(0.0, |row| self.volts[row]) + place.volts
    }

    /// The largest difference of volts between some ends.
    fn spread(&self, ends: &[End<'_>]) -> f64 {
        let each = ends.iter().map(|end| self.volts(*end));
        let (low, high) = each.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), volts| {
            (volts.min(low), volts.max(high))
        });
        high - low
    }

    /// Amperes from one end to the other through a wire; next to without bounds between ends that ideal
    /// sources hold.
    fn amperes(&self, a: End<'_>, b: End<'_>) -> f64 {
        let rows = [a, b].map(|(device, terminal)| device.terminals[terminal].row);
        let at = |row: Option<usize>, column: Option<usize>| match (row, column) {
            (Some(row), Some(column)) => self.impedances[(row, column)],
            _ => 0.0,
        };
        let ohms = at(rows[0], rows[0]) + at(rows[1], rows[1])
            - at(rows[0], rows[1])
            - at(rows[1], rows[0]);
        (self.volts(a) - self.volts(b)) / ohms.max(f64::MIN_POSITIVE)
    }
}

fn refusal(network: &Network, (from, to, amperes): Flow<'_>) -> SolveError {
    let named = |(device, terminal): End<'_>| DeviceEnd {
        device: device.designator.to_string(),
        terminal: device.characteristic.terminal_names()[terminal],
        node: device.nodes[terminal].map_or_else(String::new, |node| network.name_of_node(node)),
    };
    SolveError::Unlimited {
        path: Box::new(CurrentPath {
            from: named(from),
            to: named(to),
        }),
        amperes,
    }
}
