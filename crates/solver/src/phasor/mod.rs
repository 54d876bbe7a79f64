//! Alternating volts at one frequency: the circuit as phasors, linearised at its operating point.
//!
//! A circuit under given conditions and a frequency come in; the volts between two nodes and the
//! impedance there go out. Modified nodal analysis (C.-W. Ho, A. E. Ruehli, P. A. Brennan, IEEE Trans.
//! Circuits and Systems 22(6), 1975, pp. 504-509) with complex admittances:
//!
//! ```text
//! capacitor  Y = 1/R_leak + jωC          coil  Z = R + jωL
//! transformer  u₁ − R₁i₁ = n (u₂ + n R₂ i₁),  i₂ = −n i₁
//! ```
//!
//! Tubes and semiconductors are represented by their derivatives at the operating point, supplies and
//! generators of another frequency by their source resistance. Transformers have perfect coupling and draw no magnetising
//! current; capacitances inside devices are left out.

mod reading;
mod system;

use circuit::{Circuit, Conditions, NodeId, PartKind, Port};
use nalgebra::{DVector, Dyn, LU};
use num_complex::Complex;

pub use reading::PhasorReading;

use crate::error::SolveError;
use crate::solution::{solve, Solution};
use system::System;

/// A complex number of volts, ohms or siemens.
pub type Phasor = Complex<f64>;

/// A circuit at one frequency.
#[derive(Clone, Debug)]
pub struct Phasors {
    system: System,
    factors: LU<Phasor, Dyn, Dyn>,
    solution: DVector<Phasor>,
    /// The operating point, of a circuit with devices.
    at_rest: Option<Solution>,
    conditions: Conditions,
    hertz: f64,
    drive: f64,
}

/// Two nodes at one frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhasorPort {
    /// Volts with no meter, root mean square.
    pub volts: Phasor,
    /// Impedance in ohms.
    pub ohms: Phasor,
}

impl PhasorPort {
    /// Volts with a load of this admittance in siemens.
    pub fn under(&self, siemens: Phasor) -> Phasor {
        // V = E/(1 + Z Y)
        self.volts / (Phasor::new(1.0, 0.0) + self.ohms * siemens)
    }
}

impl Phasors {
    /// Linearises a circuit at its operating point and solves it at a frequency in hertz. Generators of
    /// the frequency drive it, with their volts times `drive`.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no trustworthy solution.
    pub fn new(
        circuit: &Circuit,
        conditions: &Conditions,
        hertz: f64,
        drive: f64,
    ) -> Result<Self, SolveError> {
        let curvatures = |part: &circuit::Part| matches!(part.kind, PartKind::Device(_));
        let at_rest = match circuit.parts().iter().any(curvatures) {
            true => Some(solve(circuit, conditions)?),
            false => {
                crate::grounding::every_island_has_a_reference(circuit)?;
                None
            }
        };
        let system = System::new(circuit, conditions, (hertz, drive), at_rest.as_ref());
        let (matrix, right) = system.equations();
        let factors = matrix.lu();
        let unsolved = || SolveError::Singular {
            node: circuit
                .nodes()
                .first()
                .map_or(String::new(), |n| n.name.clone()),
        };
        let solution = factors.solve(&right).ok_or_else(unsolved)?;
        if solution
            .iter()
            .any(|one| !one.re.is_finite() || !one.im.is_finite())
        {
            return Err(unsolved());
        }
        Ok(Phasors {
            system,
            factors,
            solution,
            at_rest,
            conditions: conditions.clone(),
            hertz,
            drive,
        })
    }

    /// Whether any generator of this frequency is drawn.
    pub fn is_driven(&self) -> bool {
        self.system.driven
    }

    /// Volts and impedance between two nodes.
    pub fn port(&self, port: Port) -> PhasorPort {
        let ohms = self.factors.solve(&self.probe(port));
        let ohms = ohms.map(|response| self.across(port, &response));
        PhasorPort {
            volts: self.across(port, &self.solution),
            ohms: ohms.unwrap_or(Phasor::new(0.0, 0.0)),
        }
    }

    /// One ampere into a port.
    fn probe(&self, port: Port) -> DVector<Phasor> {
        let mut ampere = DVector::from_element(self.solution.len(), Phasor::new(0.0, 0.0));
        for (node, sign) in [(port.plus, 1.0), (port.minus, -1.0)] {
            if let Some(row) = self.row(node) {
                ampere[row] += Phasor::new(sign, 0.0);
            }
        }
        ampere
    }

    /// The difference of a state between the nodes of a port.
    fn across(&self, port: Port, state: &DVector<Phasor>) -> Phasor {
        let at = |node| {
            self.row(node)
                .map_or(Phasor::new(0.0, 0.0), |row| state[row])
        };
        at(port.plus) - at(port.minus)
    }

    fn row(&self, node: NodeId) -> Option<usize> {
        self.system.rows.get(node.0).copied().flatten()
    }
}
