//! The field-effect transistor: a square law, and a gate junction to both ends, which an insulated
//! gate has not. The pinch-off volts of an enhancement type are its threshold, above zero.
//!
//! The square law is W. Shockley's, "A unipolar field-effect transistor", Proc. IRE 40 (1952)
//! 1365 (from memory), in its usual approximation.

use circuit::{FieldEffect, Polarity};

use super::bipolar::sign;
use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::junction::{exponential, Limiter};
use crate::THERMAL_VOLTS as VT;

const DRAIN: usize = 0;
const GATE: usize = 1;
const SOURCE: usize = 2;

pub(crate) fn evaluate(transistor: &FieldEffect, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let sign = sign(transistor.polarity);
    let mut found = Evaluation::NONE;
    // The channel is symmetric: the end at the lower volts (of an N channel) is the source.
    let vds = sign * (volts[DRAIN] - volts[SOURCE]);
    let (drain, source) = if vds >= 0.0 {
        (DRAIN, SOURCE)
    } else {
        (SOURCE, DRAIN)
    };
    let vgs = sign * (volts[GATE] - volts[source]);
    let (amperes, by_gate, by_drain) = channel(transistor, vgs, vds.abs());
    found.flow(
        (drain, source),
        sign * amperes,
        source,
        &[(GATE, by_gate), (drain, by_drain)],
    );
    for end in [DRAIN, SOURCE] {
        let v = sign * (volts[GATE] - volts[end]);
        let (e, de) = exponential(v / VT);
        let amperes = transistor.gate_saturation * (e - 1.0);
        let siemens = transistor.gate_saturation * de / VT;
        found.flow((GATE, end), sign * amperes, end, &[(GATE, siemens)]);
    }
    found
}

/// Channel current and its derivatives by gate and drain volts above the source.
fn channel(transistor: &FieldEffect, vgs: f64, vds: f64) -> (f64, f64, f64) {
    // Vov = VGS − Vp, 0 if negative        b = IDSS/Vp²
    let vov = (vgs - transistor.pinch_off).max(0.0);
    let b = transistor.idss / transistor.pinch_off.powi(2);
    let stretch = 1.0 + transistor.lambda * vds;
    // ID = b·(2·Vov·VDS − VDS²)·(1 + lam·VDS) below VDS = Vov, b·Vov²·(1 + lam·VDS) above
    let (core, by_gate, by_drain) = if vds < vov {
        (
            b * (2.0 * vov * vds - vds * vds),
            2.0 * b * vds,
            2.0 * b * (vov - vds),
        )
    } else {
        (b * vov * vov, 2.0 * b * vov, 0.0)
    };
    (
        core * stretch,
        by_gate * stretch,
        by_drain * stretch + core * transistor.lambda,
    )
}

pub(crate) fn limiters(transistor: &FieldEffect) -> Vec<Limiter> {
    // An insulated gate has no junction.
    [DRAIN, SOURCE]
        .into_iter()
        .filter(|_| transistor.gate_saturation > 0.0)
        .map(|end| {
            let (anode, cathode) = match transistor.polarity {
                Polarity::N => (GATE, end),
                Polarity::P => (end, GATE),
            };
            Limiter {
                anode,
                cathode,
                slope_volts: VT,
                saturation: transistor.gate_saturation,
            }
        })
        .collect()
}
