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

mod assembly;

use std::sync::Arc;

use circuit::{NodeId, Port};
use nalgebra::DVector;

use crate::device::{Device, Series};
use crate::element::Element;
use crate::star_mesh::Mesh;
use crate::ties::{Place, Ties};

/// Conductance from a node group that no direct current can reach to its reference, so that its
/// voltage is defined: 1 pS, less than the insulation of any real chassis.
pub(crate) const STRAY_SIEMENS: f64 = 1e-12;

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

impl Network {
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
}

/// The difference of two rows of a vector; the reference has none.
pub(crate) fn difference(
    vector: &DVector<f64>,
    (plus, minus): (Option<usize>, Option<usize>),
) -> f64 {
    plus.map_or(0.0, |row| vector[row]) - minus.map_or(0.0, |row| vector[row])
}
