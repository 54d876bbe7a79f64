//! A straight line above a bend: selenium stacks, breakdown of a Zener diode, a lit glow tube.

use circuit::SoftKnee;

use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::smooth::{sg, sp};

const ANODE: usize = 0;
const CATHODE: usize = 1;

pub(crate) fn evaluate(knee: &SoftKnee, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let v = volts[ANODE] - volts[CATHODE];
    let u = (v - knee.knee_volts) / knee.softness;
    // I = (s/r)·sp((V − V0)/s)        dI/dV = sg((V − V0)/s)/r
    let amperes = knee.softness / knee.slope_ohms * sp(u) + v / knee.leak_ohms;
    let siemens = sg(u) / knee.slope_ohms + 1.0 / knee.leak_ohms;
    let mut found = Evaluation::NONE;
    found.flow((ANODE, CATHODE), amperes, CATHODE, &[(ANODE, siemens)]);
    found
}
