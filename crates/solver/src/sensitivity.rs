//! Derivatives of a meter's reading by every number of the circuit, from one adjoint solution.
//!
//! With `J` the Jacobian at a state, its meter included, and `Jᵀλ = c`, the reading `y = cᵀx`
//! changes by `dy = −λᵀ ∂F/∂θ dθ` (S. W. Director, R. A. Rohrer, "The generalized adjoint network
//! and network sensitivities", IEEE Trans. Circuit Theory 16(3), 1969, pp. 318-323; from memory).
//! `∂F/∂θ` is that of [`crate::terms`]. The derivatives of a device's currents by its numbers come from its law.

use std::sync::Arc;

use circuit::{Circuit, Conditions, Port};
use nalgebra::DVector;

use crate::device::Device;
use crate::metered::Metered;
use crate::network::{difference, Network};
use crate::numbers::Sensitivities;
use crate::solution::Solution;
use crate::terms::{Entry, Term, Terms};

/// A state and its adjoint, on all rows and in all ties.
pub(crate) struct Adjoint {
    pub(crate) rows: DVector<f64>,
    pub(crate) adjoint: DVector<f64>,
    /// Currents of the ties and their adjoint.
    pub(crate) ties: Vec<f64>,
    pub(crate) adjoint_ties: Vec<f64>,
}

impl Term {
    /// `λᵀ ∂F/∂θ`
    pub(crate) fn sensitivity(&self, at: &Adjoint) -> f64 {
        self.strength
            * match self.entry {
                Entry::Driven { rows, offset } => {
                    difference(&at.adjoint, rows) * (difference(&at.rows, rows) + offset)
                }
                Entry::Pushed { rows } => difference(&at.adjoint, rows),
                Entry::TieCurrent { element } => at.adjoint_ties[element] * at.ties[element],
                Entry::TieVolts { element } => at.adjoint_ties[element],
            }
    }
}

/// The sum of what leaves each node through resistances: currents, or their adjoints.
pub(crate) fn leaving(network: &Network, rows: &DVector<f64>, with_sources: bool) -> Vec<f64> {
    let mut leaving = vec![0.0; network.places.len()];
    for resistance in &network.resistances {
        let offset = if with_sources { resistance.offset } else { 0.0 };
        let through = resistance.siemens * (difference(rows, resistance.rows) + offset);
        leaving[resistance.nodes.0] += through;
        leaving[resistance.nodes.1] -= through;
    }
    leaving
}

/// What leaves each node: currents, and their adjoints.
pub(crate) struct Leaving {
    pub(crate) currents: Vec<f64>,
    pub(crate) adjoint: Vec<f64>,
}

impl Leaving {
    /// Through resistances, from the rows and their adjoint.
    pub(crate) fn through_resistances(
        network: &Network,
        rows: &DVector<f64>,
        adjoint: &DVector<f64>,
    ) -> Self {
        Leaving {
            currents: leaving(network, rows, true),
            adjoint: leaving(network, adjoint, false),
        }
    }

    /// Adds what leaves through a device.
    pub(crate) fn add_device(
        &mut self,
        device: &Device,
        volts: &DVector<f64>,
        adjoint: &DVector<f64>,
    ) {
        let evaluation = device.at(volts);
        for (terminal, node) in device.nodes.iter().enumerate() {
            let Some(node) = node else { continue };
            // Behind a broken lead a device stands on no node of the network.
            let (Some(forward), Some(backward)) =
                (self.currents.get_mut(*node), self.adjoint.get_mut(*node))
            else {
                continue;
            };
            *forward += evaluation.current[terminal];
            let sensitivities = device.rows();
            *backward += sensitivities
                .map(|(other, row)| adjoint[row] * evaluation.conductance[other][terminal])
                .sum::<f64>();
        }
    }
}

impl Solution {
    /// The circuit's numbers and their part in its equations. Circuit and conditions must be
    /// those that the solution was made for.
    pub(crate) fn terms(&self, circuit: &Circuit, conditions: &Conditions) -> &Terms {
        self.terms
            .get_or_init(|| Terms::new(&self.network, circuit, conditions))
    }

    /// `λᵀ ∂F/∂θ` at a metered state for every number of the circuit, in the order of its parts.
    /// The conditions must be those that the solution was made for.
    pub fn sensitivities(
        &self,
        circuit: &Circuit,
        conditions: &Conditions,
        metered: &Metered,
    ) -> Sensitivities {
        let terms = self.terms(circuit, conditions);
        let mut values = vec![0.0; terms.numbers.ids.len()];
        let adjoint = self.adjoint(metered, terms.any_tie);
        for term in &terms.terms {
            values[term.column] += term.sensitivity(&adjoint);
        }
        for (device, columns) in self.reduced.devices.iter().zip(&terms.device_columns) {
            let each = device.by_number(&metered.kept);
            for (column, (_, slopes)) in columns.iter().zip(each) {
                let own = device.rows();
                values[*column] += own
                    .map(|(terminal, row)| metered.adjoint[row] * slopes[terminal])
                    .sum::<f64>();
            }
        }
        Sensitivities {
            numbers: Arc::clone(&terms.numbers),
            values,
        }
    }

    /// What a conductance across each of these ports would add to a metered reading, in volts per siemens.
    pub fn by_conductance<'a>(
        &'a self,
        metered: &Metered,
        ports: impl IntoIterator<Item = Port> + 'a,
    ) -> impl Iterator<Item = f64> + 'a {
        let adjoint = self.adjoint(metered, false);
        ports.into_iter().map(move |port| {
            let (plus, minus) = (port.plus.0, port.minus.0);
            let places = &self.network.places;
            let rows = (places[plus].row, places[minus].row);
            let volts = self.network.node_volts(&adjoint.rows, plus)
                - self.network.node_volts(&adjoint.rows, minus);
            -difference(&adjoint.adjoint, rows) * volts
        })
    }

    fn adjoint(&self, metered: &Metered, with_ties: bool) -> Adjoint {
        let port = &metered.prepared;
        let current = metered.current();
        let driven = &self.sources + &port.forwarded * current;
        let rows = self.eliminated.backward(&driven, &metered.kept);
        let adjoint_response = &port.forwarded / metered.return_difference;
        let adjoint = self
            .eliminated
            .backward(&adjoint_response, &metered.adjoint);
        let mut found = Adjoint {
            rows,
            adjoint,
            ties: Vec::new(),
            adjoint_ties: Vec::new(),
        };
        if with_ties {
            let network = &self.network;
            let mut out = Leaving::through_resistances(network, &found.rows, &found.adjoint);
            for device in &self.reduced.devices {
                out.add_device(device, &metered.kept, &metered.adjoint);
            }
            // The meter takes g·y less i, and c asks for 1 V per ampere.
            let asked = metered.load.siemens * metered.ohms - 1.0;
            for (node, sign) in [(port.port.plus, 1.0), (port.port.minus, -1.0)] {
                out.currents[node.0] -= sign * current;
                out.adjoint[node.0] += sign * asked;
            }
            found.ties = network.tie_currents(&mut out.currents);
            found.adjoint_ties = network.tie_currents(&mut out.adjoint);
        }
        found
    }
}
