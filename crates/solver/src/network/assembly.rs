//! How a network is assembled from a drawn circuit.
//!
//! Ideal sources and wires are ties, what is left are conductances, and the volts of the rows are chosen so that the
//! offsets of the largest conductances vanish. What is read from a network is not known here.

use std::sync::Arc;

use circuit::{Circuit, Conditions, Through};

use super::{Carried, Network, Resistance};
use crate::device::{devices, Device, Series};
use crate::element::{elements, Element, ElementKind};
use crate::error::SolveError;
use crate::grounding::{every_island_has_a_reference, ungrounded};
use crate::potentials::Potentials;
use crate::source_loop::without_loops;
use crate::ties::{places, ties, Ties};

/// In a circuit with tubes or semiconductors a resistance below this many ohms counts as zero: 1 A
/// makes 1 µV across it, and beside megohms its conductance would leave no digits for the result.
const NEXT_TO_NO_OHMS: f64 = 1e-6;

/// The rounding of a conductance this many times the smallest of the circuit could hide the current
/// of the smallest one. Below that factor, small volts far from a source keep all their digits if
/// they are not computed as a difference from the source.
const FAR_STRONGER: f64 = 1e6;

/// What the parts of a circuit are made of.
struct Drawn {
    elements: Vec<Element>,
    devices: Vec<Device>,
    series: Vec<Series>,
}

impl Drawn {
    fn new(circuit: &Circuit, conditions: &Conditions) -> Self {
        let (devices, series) = devices(circuit, conditions);
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
