//! A straight line above a bend: selenium stacks, breakdown of a Zener diode, a lit glow tube.
//!
//! The tail of the bend at zero volts is taken off: a part without a source drives no current, and an
//! ohmmeter of a fifth of a volt would read that of a selenium stack as a battery.

use circuit::{DeviceParameter, SoftKnee};

use super::by_number::{flow, ByNumber};
use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::smooth::bend;

const ANODE: usize = 0;
const CATHODE: usize = 1;

pub(crate) fn evaluate(knee: &SoftKnee, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let v = volts[ANODE] - volts[CATHODE];
    let (sp, sg) = bend((v - knee.knee_volts) / knee.softness);
    let (tail, _) = bend(-knee.knee_volts / knee.softness);
    // I = (s/r)·(sp((V − V0)/s) − sp(−V0/s))        dI/dV = sg((V − V0)/s)/r
    let amperes = knee.softness / knee.slope_ohms * (sp - tail) + v / knee.leak_ohms;
    let siemens = sg / knee.slope_ohms + 1.0 / knee.leak_ohms;
    let mut found = Evaluation::NONE;
    found.flow((ANODE, CATHODE), amperes, CATHODE, &[(ANODE, siemens)]);
    found
}

pub(crate) fn by_number(knee: &SoftKnee, volts: &[f64; MOST_TERMINALS]) -> Vec<ByNumber> {
    let v = volts[ANODE] - volts[CATHODE];
    let (sp, sg) = bend((v - knee.knee_volts) / knee.softness);
    let (tail, tail_slope) = bend(-knee.knee_volts / knee.softness);
    let through = |amperes| flow(&[((ANODE, CATHODE), amperes)]);
    vec![
        (
            DeviceParameter::KneeVolts,
            through((tail_slope - sg) / knee.slope_ohms),
        ),
        (
            DeviceParameter::SlopeResistance,
            through(-knee.softness / knee.slope_ohms * (sp - tail)),
        ),
        (
            DeviceParameter::JunctionLeakage,
            through(v / knee.leak_ohms),
        ),
    ]
}
