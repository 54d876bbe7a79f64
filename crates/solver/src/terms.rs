//! The circuit's numbers and their part in its equations.
//!
//! A network and the circuit that it was made of come in; every number of the circuit goes out, with its own entries
//! of `∂F/∂θ`: a handful at most, those of its part. At which state they are taken is not known here.

use std::sync::Arc;

use circuit::{
    spread_of, Circuit, Conditions, DeviceParameter, Part, PartId, PartParameter, SpreadScale,
};

use crate::element::{dependences, Target};
use crate::network::{Carried, Network};
use crate::numbers::{Numbers, ParameterId};

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

impl Terms {
    pub(crate) fn new(network: &Network, circuit: &Circuit, conditions: &Conditions) -> Self {
        let numbers = occurrences(network, circuit, conditions);
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

/// Where each number occurs: through an element of the network, or in a device's law.
fn occurrences(
    network: &Network,
    circuit: &Circuit,
    conditions: &Conditions,
) -> Vec<(ParameterId, Option<(Entry, f64)>)> {
    let mut numbers = Vec::new();
    for (index, element) in network.elements.iter().enumerate() {
        let part = circuit.part(element.part);
        for (id, entry, strength) in entries(network, part, conditions, index) {
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
    numbers
}

/// The size of a number in its own unit, by which a relative error of it is counted.
fn size(circuit: &Circuit, id: ParameterId) -> f64 {
    let spread = spread_of(circuit.part(id.part), id.parameter);
    match spread.scale {
        // By its logarithm it is measured in itself.
        SpreadScale::Logarithm | SpreadScale::Travel => 1.0,
        _ if spread.nominal != 0.0 => spread.nominal.abs(),
        // Of a number that is known by its limits alone those are the size.
        _ => spread.half_width,
    }
}

/// Derivatives of the equations by the numbers of an element's part, through that element.
fn entries(
    network: &Network,
    part: &Part,
    conditions: &Conditions,
    index: usize,
) -> Vec<(ParameterId, Entry, f64)> {
    let element = &network.elements[index];
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
