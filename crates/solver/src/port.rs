//! What a meter does to a port, by the tangent at the solved state.
//!
//! With `z = J⁻¹c` and `R = cᵀz`, a meter of conductance `g` and a current `i` into the port
//! change the equations by a matrix of rank one, so (J. Sherman, W. J. Morrison, 1950)
//!
//! ```text
//! v = (v_open + R·i) / (1 + g·R)        R_loaded = R / (1 + g·R)
//! ```
//!
//! In a linear circuit that is exact. With tubes or semiconductors in it `J` is the Jacobian at the
//! operating point; [`Solution::metered`] solves in full. `R` may be negative there: where a
//! rising current makes the port's own devices let go more than they take.

use std::sync::Arc;

use circuit::Port;
use nalgebra::DVector;

use crate::impedances::{times, turned_times};
use crate::reduced::Tap;
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

/// A port of a solved circuit, prepared for any meter.
#[derive(Clone, Debug)]
pub(crate) struct Prepared {
    pub(crate) port: Port,
    /// The solution it belongs to.
    pub(crate) identity: Arc<()>,
    /// The port vector `c`, carried forward.
    pub(crate) forwarded: DVector<f64>,
    pub(crate) tap: Tap,
    /// `Z t` and `Zᵀt`
    pub(crate) response: DVector<f64>,
    pub(crate) adjoint_response: DVector<f64>,
    pub(crate) open_volts: f64,
    /// `R`
    pub(crate) ohms: f64,
}

impl Prepared {
    /// The port by its tangent.
    pub(crate) fn tangent(&self) -> LoadedPort {
        LoadedPort {
            open_volts: self.open_volts,
            ohms: self.ohms,
        }
    }
}

impl Solution {
    /// A port's open-circuit volts and Thévenin resistance.
    pub fn port(&self, port: Port) -> LoadedPort {
        self.prepare(port).tangent()
    }

    pub(crate) fn prepare(&self, port: Port) -> Arc<Prepared> {
        let (mut forwarded, own) = self.network.port(port);
        self.eliminated.forward(&mut forwarded);
        let tap = Tap {
            shares: self.eliminated.at_kept(&forwarded),
            volts: own + self.eliminated.across(&forwarded, &self.sources),
            ohms: self.eliminated.across(&forwarded, &forwarded),
        };
        let solved = (&self.impedances, self.parted.as_ref());
        let response = times(solved, &tap.shares);
        let adjoint_response = turned_times(solved, &tap.shares);
        Arc::new(Prepared {
            port,
            identity: Arc::clone(&self.identity),
            open_volts: tap.volts + tap.shares.dot(&self.kept),
            ohms: tap.ohms + tap.shares.dot(&response),
            forwarded,
            tap,
            response,
            adjoint_response,
        })
    }
}
