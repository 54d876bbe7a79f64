//! The bipolar transistor in transport form (J. J. Ebers, J. L. Moll, "Large-signal behavior of
//! junction transistors", Proc. IRE 42 (1954) 1761; from memory), with Early voltage and a
//! collector leakage of its own.

use circuit::{Bipolar, Polarity};

use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::junction::{exponential, Limiter};
use super::smooth::bend;
use crate::THERMAL_VOLTS as VT;

const COLLECTOR: usize = 0;
const BASE: usize = 1;
const EMITTER: usize = 2;

pub(crate) fn evaluate(transistor: &Bipolar, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let sign = sign(transistor.polarity);
    let vbe = sign * (volts[BASE] - volts[EMITTER]);
    let vbc = sign * (volts[BASE] - volts[COLLECTOR]);
    let is = transistor.saturation;
    // Icc = Is·(e(Vbe) − 1)        Iec = Is·(e(Vbc) − 1)
    let (ef, def) = exponential(vbe / VT);
    let (er, der) = exponential(vbc / VT);
    let (icc, gf) = (is * (ef - 1.0), is * def / VT);
    let (iec, gr) = (is * (er - 1.0), is * der / VT);
    let early = Early::at(vbc, transistor.early_volts);
    // L = Icx·(1 − exp(Vbc/VT)) for Vbc < 0, −Icx·Vbc/VT above: into the collector, out of the base
    let (leak, dleak) = if vbc < 0.0 {
        let e = (vbc / VT).exp();
        (transistor.leakage * (1.0 - e), -transistor.leakage * e / VT)
    } else {
        (-transistor.leakage * vbc / VT, -transistor.leakage / VT)
    };
    // Ic = (Icc − Iec)·(1 − Vbc/VA) − Iec/BR + L        Ib = Icc/BF + Iec/BR − L
    let transport = icc - iec;
    let reverse = iec / transistor.reverse_gain - leak;
    let d_reverse = gr / transistor.reverse_gain - dleak;

    // As flows of the NPN, each turned by `sign` for a PNP; a derivative is turned twice.
    let mut found = Evaluation::NONE;
    let by_vbe = gf * early.factor;
    let by_vbc = -gr * early.factor + transport * early.slope;
    found.flow(
        (COLLECTOR, EMITTER),
        sign * transport * early.factor,
        BASE,
        // vbe falls with the emitter, vbc with the collector
        &[(EMITTER, -by_vbe), (COLLECTOR, -by_vbc)],
    );
    found.flow(
        (BASE, EMITTER),
        sign * icc / transistor.forward_gain,
        BASE,
        &[(EMITTER, -gf / transistor.forward_gain)],
    );
    found.flow(
        (BASE, COLLECTOR),
        sign * reverse,
        BASE,
        &[(COLLECTOR, -d_reverse)],
    );
    found
}

/// `1 − Vbc/VA`, kept positive: deep in saturation the straight line would turn the transport
/// current round.
struct Early {
    factor: f64,
    slope: f64,
}

impl Early {
    /// Share of the unmodified current that is always left. From one half on, the line's own
    /// slope never outweighs the collector junction's, so that the current into the collector
    /// rises with its volts wherever Newton's method may pass.
    const LEAST: f64 = 0.5;
    /// Width of the bend towards it.
    const BEND: f64 = 0.02;

    fn at(vbc: f64, early_volts: f64) -> Self {
        let (sp, sg) = bend((1.0 - vbc / early_volts - Self::LEAST) / Self::BEND);
        Early {
            factor: Self::LEAST + Self::BEND * sp,
            slope: -sg / early_volts,
        }
    }
}

pub(crate) fn limiters(transistor: &Bipolar) -> Vec<Limiter> {
    let junction = |other| {
        let (anode, cathode) = match transistor.polarity {
            Polarity::N => (BASE, other),
            Polarity::P => (other, BASE),
        };
        Limiter {
            anode,
            cathode,
            slope_volts: VT,
            saturation: transistor.saturation,
        }
    };
    vec![junction(EMITTER), junction(COLLECTOR)]
}

pub(crate) fn sign(polarity: Polarity) -> f64 {
    match polarity {
        Polarity::N => 1.0,
        Polarity::P => -1.0,
    }
}
