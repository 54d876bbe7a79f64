//! What a meter does to a port, without another factorization.
//!
//! With `z = A⁻¹c` and `R = cᵀz`, a meter of conductance `g` and a current `i` into the port
//! change the network by a matrix of rank one, so (J. Sherman, W. J. Morrison, 1950)
//!
//! ```text
//! v = (v_open + R·i) / (1 + g·R)        R_loaded = R / (1 + g·R)
//! ```
//!
//! One solution for `z` serves every meter and range on that port. With tubes or semiconductors
//! in the circuit `A` is the Jacobian at the operating point and this is the tangent only;
//! [`Solution::metered`] solves in full.

use circuit::Port;

use crate::error::SolveError;
use crate::solution::Solution;

/// What is put across a port.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Load {
    /// Conductance of the meter in siemens; 0 is an ideal meter.
    pub siemens: f64,
    /// Current in amperes pushed into the plus node and out of the minus node.
    pub amperes: f64,
}

/// A port as a meter sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadedPort {
    /// Volts with no meter and no current.
    pub open_volts: f64,
    /// Thévenin resistance in ohms, without a meter.
    pub ohms: f64,
}

impl LoadedPort {
    /// Volts across the port under a load.
    pub fn volts(&self, load: Load) -> f64 {
        // v = (v_open + R·i) / (1 + g·R)
        (self.open_volts + self.ohms * load.amperes) / (1.0 + load.siemens * self.ohms)
    }

    /// Resistance in ohms seen at the port with the meter on it.
    pub fn ohms_under(&self, siemens: f64) -> f64 {
        // R_loaded = R / (1 + g·R)
        self.ohms / (1.0 + siemens * self.ohms)
    }

    /// The current in amperes that makes a meter of this conductance read these volts.
    pub fn amperes_for(&self, siemens: f64, volts: f64) -> f64 {
        if self.ohms == 0.0 {
            return 0.0;
        }
        // i = (V − v) (1 + g·R) / R
        (volts
            - self.volts(Load {
                siemens,
                amperes: 0.0,
            }))
            / self.ohms_under(siemens)
    }
}

impl Solution {
    /// A port's open-circuit volts and Thévenin resistance.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if the response to a current into the port cannot be trusted.
    pub fn port(&self, port: Port) -> Result<LoadedPort, SolveError> {
        let c = self.equations.port_vector(port);
        let z = self
            .factor
            .solve(&c)
            .map_err(|miss| miss.into_error(&self.equations))?;
        // Rounding may leave a hair below zero across an ideal source.
        let ohms = c.dot(&z).max(0.0);
        Ok(LoadedPort {
            open_volts: self.port_volts(port),
            ohms,
        })
    }
}
