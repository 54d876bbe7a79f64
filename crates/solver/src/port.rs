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
//! operating point; [`Solution::metered`] solves the nonlinear circuit. `R` may be negative there, if
//! the devices at the port have a negative differential resistance.

use std::sync::Arc;

use circuit::{Characteristic, Port};
use nalgebra::DVector;

use crate::impedances::{times, turned_times};
use crate::jacobian::HEAVY;
use crate::reduced::Tap;
use crate::solution::Solution;

/// The load across a port.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Load {
    /// Conductance of the meter in siemens; 0 is an ideal meter.
    pub siemens: f64,
    /// Current in amperes into the plus node and out of the minus node.
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
}

/// A port of a solved circuit, prepared for any meter.
#[derive(Clone, Debug)]
pub(crate) struct Prepared {
    pub(crate) port: Port,
    /// The solution it belongs to.
    pub(crate) identity: Arc<()>,
    /// The port vector `c` after the forward elimination, one entry for each row.
    pub(crate) forwarded: DVector<f64>,
    pub(crate) tap: Tap,
    /// `Z t` and `Zᵀt`, one entry for each row that devices touch.
    pub(crate) response: DVector<f64>,
    pub(crate) adjoint_response: DVector<f64>,
    pub(crate) open_volts: f64,
    /// `R`
    pub(crate) ohms: f64,
    /// Amperes in a Zener diode or a glow discharge that joins the port's two nodes; none where there is none.
    pub(crate) regulated: Option<f64>,
}

impl Prepared {
    /// Whether a meter of this conductance in siemens takes so much from the port, as `seen` now, that the
    /// tangent is no guide: of its volts, or of the current of what holds them.
    pub(crate) fn is_heavy(&self, siemens: f64, seen: LoadedPort) -> bool {
        let taken = (siemens * seen.open_volts).abs();
        (siemens * seen.ohms).abs() > HEAVY
            || self
                .regulated
                .is_some_and(|amperes| taken > HEAVY * amperes)
    }

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
            regulated: self.regulated(port),
        })
    }

    /// Amperes in what holds the volts of a port by itself.
    fn regulated(&self, port: Port) -> Option<f64> {
        let ends = [Some(port.plus.0), Some(port.minus.0)];
        let mut devices = self.reduced.devices.iter();
        let across = devices.find(|device| {
            matches!(device.characteristic, Characteristic::SoftKnee(_))
                && device.nodes[..2].iter().all(|node| ends.contains(node))
        })?;
        Some(across.at(&self.kept).current[0].abs())
    }
}
