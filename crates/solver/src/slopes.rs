//! Many ports of one circuit at once: what each meter reads there, and how each reading follows
//! every number of the circuit.

use circuit::{Circuit, Conditions, Port};
use nalgebra::DMatrix;

use crate::metered::Metered;
use crate::port::{Load, LoadedPort};
use crate::sensitivity::ParameterId;
use crate::solution::Solution;

/// A meter that takes more than this share of a point's volts is not left to the tangent.
pub(crate) const HEAVY: f64 = 0.1;

/// What a meter shows on a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// The reading in volts.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it.
    pub ohms: f64,
}

/// Readings on many ports of one state and how they follow the circuit's numbers.
#[derive(Clone, Debug)]
pub struct Slopes {
    /// The readings, in the order asked for.
    pub seen: Vec<Seen>,
    /// The circuit's numbers.
    pub numbers: Vec<ParameterId>,
    /// Volts of the reading per unit of the number: one row a port, one column a number.
    pub by_number: DMatrix<f64>,
}

impl Solution {
    /// What a meter of this conductance in siemens shows on a port; by the tangent where it takes
    /// next to nothing, or where the circuit finds no state with it.
    pub fn seen(&self, port: Port, siemens: f64) -> Seen {
        let view = self.port(port);
        if self.is_linear() || (siemens * view.ohms).abs() <= HEAVY {
            return view.seen(siemens);
        }
        match self.loaded(port, siemens) {
            Some(metered) => Seen {
                volts: metered.volts,
                ohms: metered.ohms,
            },
            None => view.seen(siemens),
        }
    }

    /// What a meter of its conductance in siemens shows on each port, and how that follows every
    /// number.
    pub fn slopes(
        &self,
        circuit: &Circuit,
        conditions: &Conditions,
        probes: &[(Port, f64)],
    ) -> Slopes {
        let numbers = self.terms(circuit, conditions).ids.clone();
        let mut by_number = DMatrix::zeros(probes.len(), numbers.len());
        let mut seen = Vec::with_capacity(probes.len());
        for (row, (port, siemens)) in probes.iter().enumerate() {
            seen.push(self.seen(*port, *siemens));
            let metered = self
                .loaded(*port, *siemens)
                .unwrap_or_else(|| self.unloaded(*port));
            let pulls = self.pulls(circuit, conditions, &metered);
            for (column, pull) in pulls.into_iter().enumerate() {
                by_number[(row, column)] = -pull.value;
            }
        }
        Slopes {
            seen,
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
    pub fn seen(&self, siemens: f64) -> Seen {
        Seen {
            volts: self.volts(Load {
                siemens,
                amperes: 0.0,
            }),
            ohms: self.ohms_under(siemens),
        }
    }
}
