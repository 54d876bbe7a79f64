//! Many ports of one circuit at once: the reading of a meter on each, and its derivatives by every
//! number of the circuit.

use circuit::{Circuit, Conditions, Port};
use nalgebra::DMatrix;

use crate::metered::Metered;
use crate::numbers::ParameterId;
use crate::port::{Load, LoadedPort};
use crate::solution::Solution;

/// The tangent is not used for a meter that takes more than this share of a point's volts, or of the current of
/// a regulator across it.
pub(crate) const HEAVY: f64 = 0.1;

/// What a meter shows on a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PortReading {
    /// The reading in volts.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it.
    pub ohms: f64,
}

/// Readings on many ports of one state, and their derivatives by the circuit's numbers.
#[derive(Clone, Debug)]
pub struct Jacobian {
    /// The readings, in the order asked for.
    pub readings: Vec<PortReading>,
    /// The circuit's numbers.
    pub numbers: Vec<ParameterId>,
    /// Volts of the reading per unit of the number: one row for each port, one column for each number.
    pub by_number: DMatrix<f64>,
}

impl Solution {
    /// What a meter of this conductance in siemens shows on a port; by the tangent where its load is
    /// small, or where the circuit has no state with it.
    pub fn port_reading(&self, port: Port, siemens: f64) -> PortReading {
        let prepared = self.prepare(port);
        let view = prepared.tangent();
        if self.is_linear() || !prepared.is_heavy(siemens, view) {
            return view.port_reading(siemens);
        }
        match self.loaded(port, siemens) {
            Some(metered) => PortReading {
                volts: metered.volts,
                ohms: metered.ohms,
            },
            None => view.port_reading(siemens),
        }
    }

    /// What a meter of its conductance in siemens shows on each port, and the derivatives of that by
    /// every number.
    pub fn jacobian(
        &self,
        circuit: &Circuit,
        conditions: &Conditions,
        probes: &[(Port, f64)],
    ) -> Jacobian {
        let numbers = self.terms(circuit, conditions).numbers.ids.clone();
        let mut by_number = DMatrix::zeros(probes.len(), numbers.len());
        let mut readings = Vec::with_capacity(probes.len());
        for (row, (port, siemens)) in probes.iter().enumerate() {
            readings.push(self.port_reading(*port, *siemens));
            let metered = self
                .loaded(*port, *siemens)
                .unwrap_or_else(|| self.unloaded(*port));
            let sensitivities = self.sensitivities(circuit, conditions, &metered);
            for (column, value) in sensitivities.values.into_iter().enumerate() {
                by_number[(row, column)] = -value;
            }
        }
        Jacobian {
            readings,
            numbers,
            by_number,
        }
    }

    fn loaded(&self, port: Port, siemens: f64) -> Option<Metered> {
        let load = Load {
            siemens,
            amperes: 0.0,
        };
        self.metered(port, load, None).ok()
    }
}

impl LoadedPort {
    /// What a meter of this conductance in siemens shows here, by the tangent.
    pub fn port_reading(&self, siemens: f64) -> PortReading {
        PortReading {
            volts: self.volts(Load {
                siemens,
                amperes: 0.0,
            }),
            ohms: self.ohms_under(siemens),
        }
    }
}
