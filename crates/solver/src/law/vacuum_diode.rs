//! The vacuum diode: a three-halves law with a retarding tail.

use circuit::{DeviceParameter, VacuumDiode};

use super::by_number::{flow, ByNumber};
use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::smooth::{bend, W0};

const PLATE: usize = 0;
const CATHODE: usize = 1;

pub(crate) fn evaluate(diode: &VacuumDiode, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let perveance = diode.perveance * diode.emission;
    let (amperes, siemens) = space_charge(perveance, volts[PLATE] - volts[CATHODE] + diode.contact);
    let mut found = Evaluation::NONE;
    found.flow((PLATE, CATHODE), amperes, CATHODE, &[(PLATE, siemens)]);
    found
}

pub(crate) fn by_number(diode: &VacuumDiode, volts: &[f64; MOST_TERMINALS]) -> Vec<ByNumber> {
    let above = volts[PLATE] - volts[CATHODE] + diode.contact;
    let (full, siemens) = space_charge(diode.perveance, above);
    let through = |amperes| flow(&[((PLATE, CATHODE), amperes)]);
    vec![
        (DeviceParameter::Emission, through(full)),
        (
            DeviceParameter::ContactPotential,
            through(siemens * diode.emission),
        ),
    ]
}

/// Current and its derivative of an electrode this many volts above its onset.
pub(crate) fn space_charge(perveance: f64, volts: f64) -> (f64, f64) {
    let (sp, sg) = bend(volts / W0);
    // S = W0·sp((V + V0)/W0)
    let s = W0 * sp;
    // I = G·S^1.5        dI/dV = 1.5·G·S^0.5·sg((V + V0)/W0)
    (perveance * s * s.sqrt(), 1.5 * perveance * s.sqrt() * sg)
}
