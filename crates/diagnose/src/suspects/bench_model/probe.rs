//! One meter on one port, under given conditions.
//!
//! A reading that counts comes in, or a place where one might be taken; what the bench model needs to know of it goes
//! out. Faults are not known here.

use circuit::Port;

use crate::suspects::reading::ReadingUsed;

/// Probes on a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Probe {
    pub(crate) port: Port,
    /// Conductance of the meter in siemens.
    pub(crate) siemens: f64,
    /// Which conditions.
    pub(crate) state: usize,
}

impl Probe {
    /// Whether another one is at the same point with the same meter and under the same conditions: 1 with its
    /// leads as they are here, −1 with them exchanged.
    pub(crate) fn sign_beside(&self, other: &Probe) -> Option<f64> {
        let swapped = Port {
            plus: other.port.minus,
            minus: other.port.plus,
        };
        let sign = match self.port {
            port if port == other.port => 1.0,
            port if port == swapped => -1.0,
            _ => return None,
        };
        let alike = (self.siemens - other.siemens).abs() <= 1e-9 * other.siemens;
        (alike && self.state == other.state).then_some(sign)
    }

    /// Where a reading was taken, and with what load.
    pub(crate) fn of(used: &ReadingUsed) -> Self {
        Probe {
            port: used.port,
            siemens: used.siemens(),
            state: used.state,
        }
    }
}
