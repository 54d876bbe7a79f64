//! From one metered state to a neighbouring one, on the factors of the first.
//!
//! Another meter on the same port changes the Jacobian by `Δg·c cᵀ` at once and by whatever the
//! devices' slopes move. The first is taken in exactly, by a change of rank one on the stored
//! factors (J. Sherman, W. J. Morrison, 1950); the second is left to the iteration, which
//! contracts as fast as the slopes stay alike. One factorization so serves every meter, range and
//! limit on a port. Where it does not contract, full steps take over from the start.

use nalgebra::DVector;

use crate::equations::Equations;
use crate::metered::Metered;
use crate::problem::{Drive, Problem};

/// Steps after which the iteration is given up.
const MOST_STEPS: usize = 25;

/// A step this many times as long as the one before is too long: full steps would be faster.
const LEAST_CONTRACTION: f64 = 0.4;

/// Change of a node in one step, in volts, beyond which the slopes have surely moved too far.
const LARGEST_STEP: f64 = 60.0;

/// The last step was shorter than this share of the largest node voltage, plus
/// [`SETTLED_VOLTS`]; what is left after it is shorter still by the contraction.
const SETTLED_SHARE: f64 = 1e-11;

/// See [`SETTLED_SHARE`].
const SETTLED_VOLTS: f64 = 1e-12;

/// A state reached by steps on old factors.
pub(crate) struct Reached {
    pub(crate) x: DVector<f64>,
    pub(crate) amperes: f64,
    pub(crate) steps: usize,
}

/// Goes from `near` to the state with a meter of this conductance in siemens under this drive;
/// none where the iteration does not contract.
pub(crate) fn settle(
    equations: &Equations,
    near: &Metered,
    siemens: f64,
    drive: Drive,
) -> Option<Reached> {
    settle_to(SETTLED_SHARE, equations, near, (siemens, drive))
}

/// The same to another share of the largest node voltage. The equations need not be those of the
/// neighbour, as long as its slopes resemble theirs.
pub(crate) fn settle_to(
    settled_share: f64,
    equations: &Equations,
    near: &Metered,
    (siemens, drive): (f64, Drive),
) -> Option<Reached> {
    let c = equations.port_vector(near.port);
    let z = &near.response;
    // (J + Δg·c cᵀ)⁻¹ r = w − z·Δg·(cᵀw)/(1 + Δg·cᵀz),  w = J⁻¹r,  z = J⁻¹c
    let change = siemens - near.load.siemens;
    let yielding = 1.0 + change * near.ohms;
    if yielding.abs() < 1e-6 {
        return None;
    }
    let response = z / yielding;
    let mut x = near.x.clone();
    let mut amperes = match drive {
        Drive::Amperes(amperes) => amperes,
        Drive::Volts(_) => near.load.amperes,
    };
    let mut before = f64::INFINITY;
    for steps in 1..=MOST_STEPS {
        let problem = Problem::on_port(equations, near.port, siemens, Drive::Amperes(amperes));
        let w = near.factor.rough(&-problem.residual(&x))?;
        let mut step = &w - z * (change * c.dot(&w) / yielding);
        if let Drive::Volts(held) = drive {
            // cᵀ(x + Δx) = V with Δx = step + response·Δi
            let more = (held - c.dot(&x) - c.dot(&step)) / c.dot(&response);
            amperes += more;
            step += &response * more;
        }
        let length = problem.node_norm(&step);
        if !(length <= LARGEST_STEP && length <= LEAST_CONTRACTION * before) {
            // Rounding ends the contraction at the solution itself.
            let close = length <= 1e3 * (settled_share * problem.node_norm(&x) + SETTLED_VOLTS);
            return (steps > 2 && close).then_some(Reached { x, amperes, steps });
        }
        before = length;
        x += step;
        if length <= settled_share * problem.node_norm(&x) + SETTLED_VOLTS {
            return Some(Reached { x, amperes, steps });
        }
    }
    None
}
