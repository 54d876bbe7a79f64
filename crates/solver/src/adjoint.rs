//! Derivatives of a meter's reading by every number of the circuit, from one adjoint solution.
//!
//! With `J` the Jacobian at a state, its meter included, and `Jᵀλ = c`, the reading `y = cᵀx`
//! changes by `dy = −λᵀ ∂F/∂θ dθ` (S. W. Director, R. A. Rohrer, "The generalized adjoint network
//! and network sensitivities", IEEE Trans. Circuit Theory 16(3), 1969, pp. 318-323; from memory).
//! `∂F/∂θ` is at most a handful of entries: the part's own.
//!
//! A device's own currents are differentiated by its numbers with central differences on the law
//! alone, good to about 1e-9 of the derivative; all else is exact.

use circuit::{Circuit, Conditions, DeviceParameter, PartId, PartParameter};
use nalgebra::DVector;

use crate::element::{dependences, ElementKind, Target};
use crate::equations::Equations;
use crate::error::SolveError;
use crate::law::{self, MOST_TERMINALS};
use crate::metered::Metered;
use crate::solution::Solution;

/// A number of the circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParameterId {
    /// The part it is written on.
    pub part: PartId,
    /// Which of its numbers.
    pub parameter: PartParameter,
}

/// `λᵀ ∂F/∂θ` for one number: the derivative of the reading with its sign turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// The number.
    pub id: ParameterId,
    /// `λᵀ ∂F/∂θ`, in volts per unit of the number.
    pub value: f64,
}

impl Solution {
    /// `λᵀ ∂F/∂θ` at a metered state for every number of the circuit, in the order of its parts.
    /// The conditions must be those that the solution was made for.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if the adjoint equations cannot be trusted.
    pub fn pulls(
        &self,
        circuit: &Circuit,
        conditions: &Conditions,
        metered: &Metered,
    ) -> Result<Vec<Pull>, SolveError> {
        let c = self.equations.port_vector(metered.port);
        let adjoint = metered
            .factor
            .solve_transposed(&c)
            .map_err(|miss| miss.into_error(&self.equations))?;
        let mut pulls = element_pulls(&self.equations, circuit, conditions, metered, &adjoint);
        pulls.extend(device_pulls(&self.equations, metered, &adjoint));
        pulls.extend(series_pulls(&self.equations, metered, &adjoint));
        Ok(merged(pulls))
    }
}

fn element_pulls(
    equations: &Equations,
    circuit: &Circuit,
    conditions: &Conditions,
    metered: &Metered,
    adjoint: &DVector<f64>,
) -> Vec<Pull> {
    let mut pulls = Vec::new();
    let mut branch_row = equations.nodes;
    for element in &equations.elements {
        let across = |vector: &DVector<f64>| {
            let at = |node: circuit::NodeId| equations.node_rows[node.0].map_or(0.0, |r| vector[r]);
            at(element.plus) - at(element.minus)
        };
        let (by_siemens, by_ohms, by_volts) = match element.kind {
            // F = … + g·(v₊ − v₋) at the plus row, its opposite at the minus row
            ElementKind::Conductance { .. } => (across(adjoint) * across(&metered.x), 0.0, 0.0),
            // F = v₊ − v₋ − r·j − E at the branch row
            ElementKind::Branch { .. } => {
                let row = branch_row;
                branch_row += 1;
                (0.0, -adjoint[row] * metered.x[row], -adjoint[row])
            }
        };
        for dependence in dependences(circuit.part(element.part), element, conditions) {
            let by_target = match dependence.target {
                Target::Siemens => by_siemens,
                Target::Ohms => by_ohms,
                Target::Volts => by_volts,
            };
            pulls.push(Pull {
                id: ParameterId {
                    part: element.part,
                    parameter: dependence.parameter,
                },
                value: by_target * dependence.slope,
            });
        }
    }
    pulls
}

fn device_pulls(equations: &Equations, metered: &Metered, adjoint: &DVector<f64>) -> Vec<Pull> {
    let mut pulls = Vec::new();
    for device in &equations.devices {
        let volts = device.terminal_volts(&metered.x);
        for parameter in device.characteristic.parameters() {
            let step = parameter.step();
            let at = |change: f64| {
                law::evaluate(&device.characteristic.varied(*parameter, change), &volts).current
            };
            let (above, below) = (at(step), at(-step));
            let value = (0..MOST_TERMINALS)
                .filter_map(|terminal| {
                    let slope = (above[terminal] - below[terminal]) / (2.0 * step);
                    device.rows[terminal].map(|row| adjoint[row] * slope)
                })
                .sum();
            pulls.push(Pull {
                id: ParameterId {
                    part: device.part,
                    parameter: PartParameter::Device(*parameter),
                },
                value,
            });
        }
    }
    pulls
}

/// Resistances in series inside devices.
fn series_pulls(equations: &Equations, metered: &Metered, adjoint: &DVector<f64>) -> Vec<Pull> {
    equations
        .series
        .iter()
        .map(|series| {
            let across = |vector: &DVector<f64>| {
                series.outer.map_or(0.0, |row| vector[row]) - vector[series.inner]
            };
            Pull {
                id: ParameterId {
                    part: series.part,
                    parameter: PartParameter::Device(DeviceParameter::SeriesResistance),
                },
                value: -across(adjoint) * across(&metered.x) / series.ohms.powi(2),
            }
        })
        .collect()
}

/// One entry a number: those of a part's several elements added up.
fn merged(pulls: Vec<Pull>) -> Vec<Pull> {
    let mut found: Vec<Pull> = Vec::with_capacity(pulls.len());
    for pull in pulls {
        match found.iter_mut().find(|known| known.id == pull.id) {
            Some(known) => known.value += pull.value,
            None => found.push(pull),
        }
    }
    found.sort_by_key(|pull| pull.id.part);
    found
}
