//! An ohmmeter on two points of a circuit without power.
//!
//! A circuit with the power off ([`circuit::Circuit::powered_off`]) comes in; the volts of a loaded
//! test source between the points, and their derivatives by every number, go out. Semiconductors are
//! solved under that source: a junction reads differently with the leads exchanged. Capacitors are
//! taken as charged, so that only their leakage conducts.

use circuit::{conductive_groups, Circuit, Conditions, Port, Through};

use crate::error::SolveError;
use crate::numbers::ParameterSensitivity;
use crate::port::Load;
use crate::solution::{solve, Solution};

/// Which lead of the ohmmeter is on the first point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lead {
    /// The positive one.
    Plus,
    /// The negative one.
    Minus,
}

/// A test source: volts behind a resistance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TestSource {
    /// Volts between its open leads.
    pub volts: f64,
    /// Its resistance in ohms, above 0.
    pub ohms: f64,
}

/// The voltage of a test source on two points.
#[derive(Clone, Debug)]
pub struct Tested {
    /// Volts between its leads, the positive one above the negative one.
    pub volts: f64,
    /// Derivative of these volts by each number of the circuit, per unit of that number.
    pub by_number: Vec<ParameterSensitivity>,
}

/// A circuit without power, solved once for all its points.
#[derive(Clone, Debug)]
pub struct PowerOff {
    circuit: Circuit,
    conditions: Conditions,
    solution: Solution,
}

impl PowerOff {
    /// Solves a circuit that has no power.
    ///
    /// # Errors
    /// [`SolveError`] where it has no trustworthy solution.
    pub fn new(circuit: Circuit, conditions: &Conditions) -> Result<Self, SolveError> {
        Ok(PowerOff {
            solution: solve(&circuit, conditions)?,
            conditions: conditions.clone(),
            circuit,
        })
    }

    /// The circuit.
    pub fn circuit(&self) -> &Circuit {
        &self.circuit
    }

    /// Whether no direct current can flow between the two points.
    pub fn is_open(&self, port: Port) -> bool {
        let mut groups = conductive_groups(&self.circuit, &self.conditions, Through::Devices);
        groups.root(port.plus.0) != groups.root(port.minus.0)
    }

    /// Puts a test source on two points, with the named lead on the first.
    ///
    /// # Errors
    /// [`SolveError`] where no operating point is found.
    pub fn tested(&self, port: Port, source: TestSource, lead: Lead) -> Result<Tested, SolveError> {
        let sign = match lead {
            Lead::Plus => 1.0,
            Lead::Minus => -1.0,
        };
        let load = Load {
            siemens: 1.0 / source.ohms,
            amperes: sign * source.volts / source.ohms,
        };
        let state = self.solution.metered(port, load, None)?;
        let sensitivities = self
            .solution
            .sensitivities(&self.circuit, &self.conditions, &state);
        // dv/dθ = −λᵀ ∂F/∂θ
        let by_number = sensitivities
            .iter()
            .map(|sensitivity| ParameterSensitivity {
                value: -sign * sensitivity.value,
                ..sensitivity
            });
        Ok(Tested {
            volts: sign * state.volts,
            by_number: by_number.collect(),
        })
    }
}
