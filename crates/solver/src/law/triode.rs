//! The triode: an equivalent diode at `Vg + V0 + Vp/mu`, with a soft cut-off.

use circuit::{GridCurrent, Triode};

use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::smooth::{collected, positive, sg, sp, W0};
use super::vacuum_diode::space_charge;

const PLATE: usize = 0;
const GRID: usize = 1;
const CATHODE: usize = 2;

/// Plate volts at which the plate takes half of the space current: `VH`.
const HALF_COLLECTION: f64 = 2.0;

pub(crate) fn evaluate(tube: &Triode, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let vp = volts[PLATE] - volts[CATHODE];
    let vg = volts[GRID] - volts[CATHODE];
    let g = tube.perveance * tube.wear.emission;
    let x = tube.exponent;
    let (p, dp) = positive(vp);
    // w = W0 + P/kp      U = Vg + V0 + P/mu      u = U/w      S = w·sp(u)
    let w = W0 + p / tube.softness;
    let u = (vg + tube.contact + p / tube.mu) / w;
    let s = w * sp(u);
    // h = s/(s + VH)     Ip = G·S^x·h
    let (h, dh) = collected(vp, HALF_COLLECTION);
    let space = g * s.powf(x);
    let plate = space * h;
    // x·G·S^(x−1)
    let slope = x * g * s.powf(x - 1.0);
    // gm = x·G·S^(x−1)·sg(u)·h
    let gm = slope * sg(u) * h;
    // dS/dP = sg(u)/mu + (sp(u) − u·sg(u))/kp
    let ds = sg(u) / tube.mu + (sp(u) - u * sg(u)) / tube.softness;
    // gp = x·G·S^(x−1)·(dS/dP)·h·P′ + G·S^x·h′
    let gp = slope * ds * h * dp + space * dh;

    let mut found = Evaluation::NONE;
    found.flow((PLATE, CATHODE), plate, CATHODE, &[(PLATE, gp), (GRID, gm)]);
    grid_current(
        &mut found,
        tube.grid,
        tube.wear.emission,
        vg,
        (GRID, CATHODE),
    );
    // Ions leave at the grid and make the grid more positive; their electrons go to the plate.
    found.flow((PLATE, GRID), tube.wear.gas, CATHODE, &[]);
    found
}

/// Electrons that a positive grid collects: `Ig = Gg·Sg^1.5`, `Sg = W0·sp((Vg − Vgo)/W0)`.
pub(crate) fn grid_current(
    found: &mut Evaluation,
    grid: GridCurrent,
    emission: f64,
    vg: f64,
    (at, cathode): (usize, usize),
) {
    let (amperes, siemens) = space_charge(grid.perveance * emission, vg - grid.onset);
    found.flow((at, cathode), amperes, cathode, &[(at, siemens)]);
}
