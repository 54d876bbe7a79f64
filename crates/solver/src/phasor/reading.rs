//! A reading of alternating volts, and what it becomes where the circuit's numbers differ a little.
//!
//! The adjoint of the loaded circuit is solved once; each other set of numbers then costs its equations
//! and its own operating point, and no factorization.

use circuit::{Circuit, Port};
use nalgebra::DVector;

use super::{Phasor, Phasors, System};
use crate::error::SolveError;
use crate::neighbour::solve_varied;
use crate::solution::Solution;

/// Volts at a port under a load, with the sensitivity to every entry of the equations.
#[derive(Clone, Debug)]
pub struct PhasorReading<'a> {
    of: &'a Phasors,
    volts: Phasor,
    state: DVector<Phasor>,
    adjoint: DVector<Phasor>,
    /// `λᵀ(A x − b)` of the circuit itself.
    own: Phasor,
}

impl Phasors {
    /// Reads a port under a load of this admittance in siemens; none where the equations cannot be
    /// solved the other way round.
    pub fn reading(&self, port: Port, siemens: Phasor) -> Option<PhasorReading<'_>> {
        let probe = self.probe(port);
        let response = self.factors.solve(&probe)?;
        let (matrix, _) = self.system.equations();
        let unloaded = matrix.transpose().lu().solve(&probe)?;
        // (A + Y e eᵀ)⁻¹ by Sherman and Morrison, and its transpose.
        let shared = Phasor::new(1.0, 0.0) + self.across(port, &response) * siemens;
        let volts = self.across(port, &self.solution) / shared;
        let state = &self.solution - response * (siemens * volts);
        let adjoint = unloaded / shared;
        Some(PhasorReading {
            own: self.system.imbalance(&adjoint, &state),
            of: self,
            volts,
            state,
            adjoint,
        })
    }
}

impl PhasorReading<'_> {
    /// Volts with the load, root mean square.
    pub fn volts(&self) -> Phasor {
        self.volts
    }

    /// The volts of a circuit that differs in numbers only, to first order in its equations:
    /// `V − λᵀ(ΔA x − Δb)`, `(A + Y e eᵀ)ᵀ λ = e`. Its devices are at an operating point of their own.
    ///
    /// # Errors
    /// [`SolveError`] where it has no operating point.
    pub fn varied(&self, circuit: &Circuit) -> Result<Phasor, SolveError> {
        let near = self.of.at_rest.as_ref();
        let at_rest = near.map(|near| solve_varied(circuit, &self.of.conditions, near));
        Ok(self.with(circuit, at_rest.transpose()?.as_ref()))
    }

    /// The same for a circuit whose reactances and turns ratios differ, which leave the operating point
    /// where it is.
    pub fn with_reactances(&self, circuit: &Circuit) -> Phasor {
        self.with(circuit, self.of.at_rest.as_ref())
    }

    fn with(&self, circuit: &Circuit, at_rest: Option<&Solution>) -> Phasor {
        let frequency = (self.of.hertz, self.of.drive);
        let system = System::new(circuit, &self.of.conditions, frequency, at_rest);
        self.volts - (system.imbalance(&self.adjoint, &self.state) - self.own)
    }
}
