//! The drawn circuit as a network: ties, conductances and devices.
//!
//! Modified nodal analysis gives every ideal source and every wire a current of its own as an
//! unknown (C.-W. Ho, A. E. Ruehli, P. A. Brennan, IEEE Trans. Circuits and Systems 22(6), 1975,
//! pp. 504-509). Here their ends are tied instead: they share one unknown, and each node is a known
//! voltage above it. The current of a tie is computed afterwards from the current balance of its
//! nodes. Only conductances are left, and the equations are those of a resistive network:
//!
//! ```text
//! v = u(row) + volts        j = g·(u₊ − u₋ + offset)        A u = b,  b = −Σ ± g·offset
//! ```
//!
//! A source with a resistance in series is a conductance with an offset. The volts of the rows are
//! chosen so that the offsets along a tree of the strongest conductances vanish (J. B. Kruskal,
//! Proc. American Mathematical Society 7, 1956, 48-50, for such a tree; from memory): otherwise a
//! large conductance would inject a large current at one end and take it out at the other, and the
//! result would be their small difference.

use std::sync::Arc;

use circuit::{Circuit, Conditions, NodeId, Port, Through};
use nalgebra::DVector;

use crate::device::{devices, Device, Series};
use crate::element::{elements, Element, ElementKind};
use crate::error::SolveError;
use crate::grounding::{every_island_has_a_reference, ungrounded};
use crate::potentials::Potentials;
use crate::source_loop::without_loops;
use crate::star_mesh::Mesh;
use crate::ties::{places, ties, Place, Ties};

/// Conductance from a node group that no direct current can reach to its reference, so that its
/// voltage is defined: 1 pS, less than the insulation of any real chassis.
pub(crate) const STRAY_SIEMENS: f64 = 1e-12;

/// In a circuit with tubes or semiconductors a resistance below this many ohms counts as zero: 1 A
/// makes 1 µV across it, and beside megohms its conductance would leave no digits for the result.
const NEXT_TO_NO_OHMS: f64 = 1e-6;

/// The rounding of a conductance this many times the smallest of the circuit could hide the current
/// of the smallest one. Below that factor, small volts far from a source keep all their digits if
/// they are not computed as a difference from the source.
const FAR_STRONGER: f64 = 1e6;

/// Said for the name of a node that is not drawn.
const INSIDE: &str = "inside a part";

/// A conductance between two nodes, with a source in series.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Resistance {
    /// The nodes at its ends; nodes inside devices are numbered after the circuit's.
    pub(crate) nodes: (usize, usize),
    /// The rows of those nodes.
    pub(crate) rows: (Option<usize>, Option<usize>),
    pub(crate) siemens: f64,
    /// Volts added to the difference of its rows to give the voltage that drives its current.
    pub(crate) offset: f64,
}

/// How an element is represented in the network.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Carried {
    /// As a conductance: its index among the resistances.
    Resistance(usize),
    /// As a tie.
    Tie,
}

/// A circuit under given conditions, as a network.
#[derive(Clone, Debug)]
pub(crate) struct Network {
    names: Arc<Vec<String>>,
    pub(crate) places: Vec<Place>,
    /// Number of unknowns.
    pub(crate) rows: usize,
    pub(crate) elements: Vec<Element>,
    /// How each element is represented.
    pub(crate) carried: Vec<Carried>,
    pub(crate) resistances: Vec<Resistance>,
    ties: Ties,
    pub(crate) series: Vec<Series>,
    pub(crate) devices: Vec<Device>,
    /// Rows that devices touch, in rising order.
    pub(crate) touched: Vec<usize>,
    /// Rows that are not eliminated, in rising order: those of the devices and perhaps a few that join
    /// many conductances.
    pub(crate) kept: Vec<usize>,
    /// Rows tied to their reference by a stray conductance.
    stray: Vec<usize>,
    floating: Vec<bool>,
}

/// What the parts of a circuit are made of.
struct Drawn {
    elements: Vec<Element>,
    devices: Vec<Device>,
    series: Vec<Series>,
}

impl Drawn {
    fn new(circuit: &Circuit, conditions: &Conditions) -> Self {
        let (devices, series) = devices(circuit);
        let mut elements = elements(circuit, conditions);
        if !devices.is_empty() {
            elements.iter_mut().for_each(short);
        }
        Drawn {
            elements,
            devices,
            series,
        }
    }
}

impl Network {
    /// Ties what ideal sources and wires join, and numbers the rest.
    ///
    /// # Errors
    /// [`SolveError::NoReference`] for an island without a reference node,
    /// [`SolveError::SourceLoop`] for a loop of branches without resistance that holds a source.
    pub(crate) fn new(circuit: &Circuit, conditions: &Conditions) -> Result<Self, SolveError> {
        every_island_has_a_reference(circuit)?;
        let drawn = Drawn::new(circuit, conditions);
        let elements = without_loops(circuit, drawn.elements)?;
        let whole = circuit.nodes().len() + drawn.series.len();
        let mut network = Network {
            names: Arc::new(circuit.nodes().iter().map(|n| n.name.clone()).collect()),
            ties: ties(circuit, &elements, whole),
            ..Network::with(circuit, elements, drawn.series)
        };
        network.tie_floating(circuit, conditions);
        network.attach(drawn.devices);
        Ok(network)
    }

    /// The same for a circuit that differs from a known one in numbers only: what follows from the
    /// connections is taken from there.
    ///
    /// # Errors
    /// As [`Network::new`].
    pub(crate) fn varied(
        circuit: &Circuit,
        conditions: &Conditions,
        known: &Network,
    ) -> Result<Self, SolveError> {
        let drawn = Drawn::new(circuit, conditions);
        // A number that becomes zero ties what it parted.
        let alike = |(own, known): (&Element, &Element)| own.joins_as(known);
        let same = drawn.elements.len() == known.elements.len()
            && drawn.elements.iter().zip(&known.elements).all(alike);
        if !same {
            return Network::new(circuit, conditions);
        }
        let mut network = Network {
            names: Arc::clone(&known.names),
            ties: known.ties.clone(),
            stray: known.stray.clone(),
            floating: known.floating.clone(),
            ..Network::with(circuit, drawn.elements, drawn.series)
        };
        network.attach(drawn.devices);
        Ok(network)
    }

    /// Elements on their places, without what follows from their connections.
    fn with(circuit: &Circuit, elements: Vec<Element>, series: Vec<Series>) -> Self {
        let whole = circuit.nodes().len() + series.len();
        let (places, rows) = places(circuit, &elements, whole);
        let mut network = Network {
            names: Arc::default(),
            ties: Ties::default(),
            carried: Vec::with_capacity(elements.len()),
            resistances: Vec::with_capacity(elements.len() + series.len()),
            elements,
            places,
            rows,
            series,
            devices: Vec::new(),
            touched: Vec::new(),
            kept: Vec::new(),
            stray: Vec::new(),
            floating: Vec::new(),
        };
        network.fill();
        network
    }

    /// Takes in the devices, and keeps the rows that they touch.
    fn attach(&mut self, devices: Vec<Device>) {
        let touched = devices.iter().flat_map(|device| device.nodes);
        let touched = touched.filter_map(|node| self.places[node?].row);
        self.touched = touched.collect();
        self.touched.sort_unstable();
        self.touched.dedup();
        self.devices = devices;
        self.keep(self.touched.clone());
    }

    /// Connects the devices to the rows that are kept.
    pub(crate) fn keep(&mut self, kept: Vec<usize>) {
        self.kept = kept;
        let mut devices = std::mem::take(&mut self.devices);
        for device in &mut devices {
            device.attach(|node| self.terminal(node));
        }
        self.devices = devices;
    }

    /// The conductances without the sources.
    pub(crate) fn mesh(&self) -> Mesh {
        let mut mesh = Mesh {
            between: Vec::with_capacity(self.resistances.len()),
            ground: vec![0.0; self.rows],
        };
        for resistance in &self.resistances {
            match resistance.rows {
                (Some(a), Some(b)) if a != b => mesh.between.push((a, b, resistance.siemens)),
                (Some(row), None) | (None, Some(row)) => mesh.ground[row] += resistance.siemens,
                _ => {}
            }
        }
        for row in &self.stray {
            mesh.ground[*row] += STRAY_SIEMENS;
        }
        mesh
    }

    /// `b`: the currents that the sources push into the rows, one by one.
    pub(crate) fn sources(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let own = self.resistances.iter();
        let own = own.filter(|own| own.offset != 0.0 && own.rows.0 != own.rows.1);
        own.flat_map(|own| {
            let amperes = own.siemens * own.offset;
            let out = own.rows.0.map(|row| (row, -amperes));
            let back = own.rows.1.map(|row| (row, amperes));
            out.into_iter().chain(back)
        })
    }

    /// The port vector `c`, and the volts of the port while all rows are at zero.
    pub(crate) fn port(&self, port: Port) -> (DVector<f64>, f64) {
        let (plus, minus) = (self.places[port.plus.0], self.places[port.minus.0]);
        let mut vector = DVector::zeros(self.rows);
        if plus.row != minus.row {
            if let Some(row) = plus.row {
                vector[row] += 1.0;
            }
            if let Some(row) = minus.row {
                vector[row] -= 1.0;
            }
        }
        (vector, plus.volts - minus.volts)
    }

    /// The rows that are kept, with every node at zero volts.
    pub(crate) fn at_zero(&self) -> DVector<f64> {
        let mut start = DVector::zeros(self.kept.len());
        for node in (0..self.places.len()).rev() {
            let place = self.terminal(node);
            if let Some(row) = place.row {
                start[row] = -place.volts;
            }
        }
        start
    }

    /// The place, among the rows that are kept, of a device's terminal on a node.
    pub(crate) fn terminal(&self, node: usize) -> Place {
        let place = self.places[node];
        Place {
            row: place.row.and_then(|row| self.kept.binary_search(&row).ok()),
            ..place
        }
    }

    /// Volts of a node above the reference of its island.
    pub(crate) fn node_volts(&self, rows: &DVector<f64>, node: usize) -> f64 {
        let place = self.places[node];
        place.row.map_or(0.0, |row| rows[row]) + place.volts
    }

    /// Whether no direct current can reach a node, so that its voltage means nothing.
    pub(crate) fn floats(&self, node: NodeId) -> bool {
        self.floating[node.0]
    }

    /// A name for a row: that of the first node on it.
    pub(crate) fn name_of_row(&self, row: usize) -> String {
        let mut places = self.places.iter();
        let first = places.position(|place| place.row == Some(row));
        first.map_or_else(|| INSIDE.to_owned(), |node| self.name_of_node(node))
    }

    /// The name of a node that is drawn, or of the terminal's node for one inside a device.
    pub(crate) fn name_of_node(&self, node: usize) -> String {
        let inside = self.series.iter().find(|series| series.inner == node);
        let name = self.names.get(inside.map_or(node, |series| series.outer));
        // A node behind a broken lead has a name that no netlist could hold.
        let name = name.filter(|name| !name.starts_with('\0'));
        name.map_or_else(|| INSIDE.to_owned(), Clone::clone)
    }

    /// The ends of every wire.
    pub(crate) fn wires(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let each = self.elements.iter().filter(|element| element.is_wire());
        each.map(|element| (element.plus.0, element.minus.0))
    }

    /// Volts that drive the current of a resistance.
    pub(crate) fn drop_of(&self, resistance: &Resistance, rows: &DVector<f64>) -> f64 {
        difference(rows, resistance.rows) + resistance.offset
    }

    /// The current of every element that is a tie, from plus to minus inside it, given the sum of all
    /// other currents that leave each node.
    pub(crate) fn tie_currents(&self, leaving: &mut [f64]) -> Vec<f64> {
        self.ties.currents(self.elements.len(), leaving)
    }

    fn fill(&mut self) {
        for element in &self.elements {
            let (siemens, volts) = match element.kind {
                ElementKind::Conductance { siemens } => (siemens, 0.0),
                ElementKind::Branch { volts, ohms } if ohms > 0.0 => (1.0 / ohms, volts),
                ElementKind::Branch { .. } => {
                    self.carried.push(Carried::Tie);
                    continue;
                }
            };
            self.carried
                .push(Carried::Resistance(self.resistances.len()));
            let nodes = (element.plus.0, element.minus.0);
            self.resistances.push(Resistance {
                nodes,
                rows: (self.places[nodes.0].row, self.places[nodes.1].row),
                siemens,
                offset: self.places[nodes.0].volts - self.places[nodes.1].volts - volts,
            });
        }
        for series in &self.series {
            let nodes = (series.outer, series.inner);
            self.resistances.push(Resistance {
                nodes,
                rows: (self.places[nodes.0].row, self.places[nodes.1].row),
                siemens: 1.0 / series.ohms,
                offset: self.places[nodes.0].volts - self.places[nodes.1].volts,
            });
        }
        self.shift_rows();
    }

    /// Chooses the volts of each row so that the offsets of the largest conductances are zero.
    fn shift_rows(&mut self) {
        let reference = self.rows;
        let at = |row: Option<usize>| row.unwrap_or(reference);
        let strength = |place: &usize| self.resistances[*place].siemens;
        let every = 0..self.resistances.len();
        let weakest = every.clone().map(|place| strength(&place));
        let weakest = weakest.fold(f64::INFINITY, f64::min);
        let counts = |place: &usize| {
            strength(place) > FAR_STRONGER * weakest || self.resistances[*place].offset != 0.0
        };
        let mut strongest: Vec<usize> = every.filter(counts).collect();
        strongest.sort_by(|a, b| strength(b).total_cmp(&strength(a)));
        let mut groups = Potentials::new(self.rows + 1);
        let mut vanish = vec![false; self.resistances.len()];
        for place in strongest {
            let Resistance { rows, offset, .. } = self.resistances[place];
            // A row's shift is taken from its unknown: the offset becomes
            // offset + shift₊ − shift₋ = 0.
            vanish[place] = groups.tie(at(rows.0), at(rows.1), -offset);
        }
        let (root, above) = groups.root(reference);
        let shift = |row: Option<usize>| {
            let (own, volts) = groups.root(at(row));
            if own == root {
                volts - above
            } else {
                volts
            }
        };
        for (place, resistance) in self.resistances.iter_mut().enumerate() {
            let moved = shift(resistance.rows.0) - shift(resistance.rows.1);
            resistance.offset = if vanish[place] {
                0.0
            } else {
                resistance.offset + moved
            };
        }
        for place in &mut self.places {
            place.volts += shift(place.row);
        }
    }

    /// Ties each group of nodes that no linear part joins to a reference, and marks those that no
    /// device joins to one either.
    fn tie_floating(&mut self, circuit: &Circuit, conditions: &Conditions) {
        let loose = ungrounded(circuit, conditions, Through::Linear);
        self.floating = ungrounded(circuit, conditions, Through::Devices)
            .into_iter()
            .map(|group| group.is_some())
            .collect();
        for (node, group) in loose.into_iter().enumerate() {
            if group == Some(node) {
                self.stray.extend(self.places[node].row);
            }
        }
    }
}

/// The difference of two rows of a vector; the reference has none.
pub(crate) fn difference(
    vector: &DVector<f64>,
    (plus, minus): (Option<usize>, Option<usize>),
) -> f64 {
    plus.map_or(0.0, |row| vector[row]) - minus.map_or(0.0, |row| vector[row])
}

/// Replaces a negligible resistance by zero.
fn short(element: &mut Element) {
    match &mut element.kind {
        ElementKind::Branch { ohms, .. } if *ohms < NEXT_TO_NO_OHMS => *ohms = 0.0,
        ElementKind::Conductance { siemens } if *siemens > 1.0 / NEXT_TO_NO_OHMS => {
            element.kind = ElementKind::Branch {
                volts: 0.0,
                ohms: 0.0,
            };
        }
        _ => {}
    }
}
