//! Derivatives of a meter's reading by every number of the circuit, from one adjoint solution.
//!
//! With `J` the Jacobian at a state, its meter included, and `Jᵀλ = c`, the reading `y = cᵀx`
//! changes by `dy = −λᵀ ∂F/∂θ dθ` (S. W. Director, R. A. Rohrer, "The generalized adjoint network
//! and network sensitivities", IEEE Trans. Circuit Theory 16(3), 1969, pp. 318-323; from memory).
//! `∂F/∂θ` has a handful of entries at most, those of the part. The derivatives of a device's
//! currents by its numbers come from its law.

use std::sync::Arc;

use circuit::{
    spread_of, Circuit, Conditions, DeviceParameter, Part, PartId, PartParameter, SpreadScale,
};
use nalgebra::DVector;

use crate::device::Device;
use crate::element::{dependences, Element, Target};
use crate::metered::Metered;
use crate::network::{difference, Carried, Network};
use crate::numbers::{Numbers, ParameterId, Sensitivities};
use crate::solution::Solution;

/// A number's part in the equations, through one element.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Term {
    pub(crate) part: PartId,
    /// The number's place among all.
    pub(crate) column: usize,
    pub(crate) entry: Entry,
    pub(crate) strength: f64,
}

/// `∂F/∂θ` for a strength of 1.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Entry {
    /// A current between two rows, proportional to the volts that drive it.
    Driven {
        rows: (Option<usize>, Option<usize>),
        offset: f64,
    },
    /// A constant current between two rows.
    Pushed {
        rows: (Option<usize>, Option<usize>),
    },
    /// In the equation of a tie, proportional to its current.
    TieCurrent { element: usize },
    /// In the equation of a tie, constant.
    TieVolts { element: usize },
}

/// All numbers, each once and those of a part together, and their derivatives except in the devices'
/// laws.
#[derive(Clone, Debug)]
pub(crate) struct Terms {
    pub(crate) numbers: Arc<Numbers>,
    pub(crate) terms: Vec<Term>,
    /// For each device the places of its numbers, some of which its part's other units may share.
    pub(crate) device_columns: Vec<Vec<usize>>,
    /// Whether some number occurs in a tie.
    pub(crate) any_tie: bool,
}

/// A state and its adjoint, on all rows and in all ties.
pub(crate) struct Adjoint {
    pub(crate) rows: DVector<f64>,
    pub(crate) adjoint: DVector<f64>,
    /// Currents of the ties and their adjoint.
    pub(crate) ties: Vec<f64>,
    pub(crate) adjoint_ties: Vec<f64>,
}

impl Terms {
    pub(crate) fn new(network: &Network, circuit: &Circuit, conditions: &Conditions) -> Self {
        let mut numbers: Vec<(ParameterId, Option<(Entry, f64)>)> = Vec::new();
        for (index, element) in network.elements.iter().enumerate() {
            let part = circuit.part(element.part);
            for (id, entry, strength) in entries(network, (part, conditions), element, index) {
                numbers.push((id, Some((entry, strength))));
            }
        }
        let own = network.resistances.len() - network.series.len();
        for (series, resistance) in network.series.iter().zip(&network.resistances[own..]) {
            let parameter = PartParameter::Device(DeviceParameter::SeriesResistance);
            let id = ParameterId {
                part: series.part,
                parameter,
            };
            let entry = Entry::Driven {
                rows: resistance.rows,
                offset: resistance.offset,
            };
            numbers.push((id, Some((entry, -1.0 / series.ohms.powi(2)))));
        }
        for device in &network.devices {
            for parameter in device.characteristic.parameters() {
                let id = ParameterId {
                    part: device.part,
                    parameter: PartParameter::Device(*parameter),
                };
                numbers.push((id, None));
            }
        }
        // Numbers of one part stand together; within it they keep their order.
        let mut order: Vec<usize> = (0..numbers.len()).collect();
        order.sort_by_key(|place| numbers[*place].0.part);
        let mut own = Numbers::default();
        let mut terms = Vec::new();
        let mut any_tie = false;
        for place in order {
            let (id, entry) = numbers[place];
            let same_part = own.ids.iter().rev();
            let same_part = same_part.take_while(|known| known.part == id.part);
            let back = same_part.into_iter().position(|known| *known == id);
            let column = match back {
                Some(back) => own.ids.len() - 1 - back,
                None => {
                    own.ids.push(id);
                    own.sizes.push(size(circuit, id));
                    own.ids.len() - 1
                }
            };
            if let Some((entry, strength)) = entry {
                any_tie |= matches!(entry, Entry::TieCurrent { .. } | Entry::TieVolts { .. });
                terms.push(Term {
                    part: id.part,
                    column,
                    entry,
                    strength,
                });
            }
        }
        let device_columns = network
            .devices
            .iter()
            .map(|device| {
                let parameters = device.characteristic.parameters().iter();
                let id = |parameter: &DeviceParameter| ParameterId {
                    part: device.part,
                    parameter: PartParameter::Device(*parameter),
                };
                parameters
                    .filter_map(|parameter| own.place(id(parameter)))
                    .collect()
            })
            .collect();
        Terms {
            numbers: Arc::new(own),
            terms,
            device_columns,
            any_tie,
        }
    }
}

/// The size of a number in its own unit, by which a relative error of it is counted.
fn size(circuit: &Circuit, id: ParameterId) -> f64 {
    let spread = spread_of(circuit.part(id.part), id.parameter);
    match spread.scale {
        // By its logarithm it is measured in itself.
        SpreadScale::Logarithm => 1.0,
        _ if spread.nominal != 0.0 => spread.nominal.abs(),
        // Of a number that is known by its limits alone those are the size.
        _ => spread.half_width,
    }
}

/// Derivatives of the equations by the numbers of an element's part, through that element.
pub(crate) fn entries(
    network: &Network,
    (part, conditions): (&Part, &Conditions),
    element: &Element,
    index: usize,
) -> Vec<(ParameterId, Entry, f64)> {
    let each = dependences(part, element, conditions).into_iter();
    each.map(|dependence| {
        let slope = dependence.slope;
        let (entry, strength) = match (network.carried[index], dependence.target) {
            (Carried::Resistance(place), target) => {
                let resistance = &network.resistances[place];
                through(
                    resistance.rows,
                    resistance.offset,
                    resistance.siemens,
                    target,
                )
            }
            // v₊ − v₋ − r·j − E in the tie's own equation.
            (Carried::Tie, Target::Volts) => (Entry::TieVolts { element: index }, -1.0),
            (Carried::Tie, _) => (Entry::TieCurrent { element: index }, -1.0),
        };
        let id = ParameterId {
            part: element.part,
            parameter: dependence.parameter,
        };
        (id, entry, strength * slope)
    })
    .collect()
}

/// `∂F/∂θ` of a conductance `g·(u₊ − u₋ + offset)`, `offset` holding `−E`.
pub(crate) fn through(
    rows: (Option<usize>, Option<usize>),
    offset: f64,
    siemens: f64,
    target: Target,
) -> (Entry, f64) {
    match target {
        Target::Siemens => (Entry::Driven { rows, offset }, 1.0),
        // g = 1/r: dg/dr = −g²
        Target::Ohms => (Entry::Driven { rows, offset }, -siemens * siemens),
        Target::Volts => (Entry::Pushed { rows }, -siemens),
    }
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
            let mut forward = leaving(network, &found.rows, true);
            let mut backward = leaving(network, &found.adjoint, false);
            for device in &self.reduced.devices {
                add_device(
                    device,
                    &metered.kept,
                    &metered.adjoint,
                    (&mut forward, &mut backward),
                );
            }
            // The meter takes g·y less i, and c asks for 1 V per ampere.
            let asked = metered.load.siemens * metered.ohms - 1.0;
            for (node, sign) in [(port.port.plus, 1.0), (port.port.minus, -1.0)] {
                forward[node.0] -= sign * current;
                backward[node.0] += sign * asked;
            }
            found.ties = network.tie_currents(&mut forward);
            found.adjoint_ties = network.tie_currents(&mut backward);
        }
        found
    }
}

/// Adds a device's currents, and their adjoints, to what leaves its nodes.
pub(crate) fn add_device(
    device: &Device,
    volts: &DVector<f64>,
    adjoint: &DVector<f64>,
    (forward, backward): (&mut [f64], &mut [f64]),
) {
    let evaluation = device.at(volts);
    for (terminal, node) in device.nodes.iter().enumerate() {
        let Some(node) = node else { continue };
        // Behind a broken lead a device stands on no node of the network.
        let (Some(forward), Some(backward)) = (forward.get_mut(*node), backward.get_mut(*node))
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
