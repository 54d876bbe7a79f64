//! The laws of tubes and semiconductors: terminal voltages in, terminal currents and their exact
//! derivatives out.
//!
//! One file a law, the formula above each line in the symbols of its source. Currents and their
//! derivatives are continuous at every finite voltage (a tube's law has no kink of any order); none
//! knows of circuits, nodes or steps, but for the limit that a junction sets to a step.
//!
//! The equivalent-diode law goes back to C. D. Child, "Discharge from hot CaO", Phys. Rev. 32
//! (1911) 492, and I. Langmuir, Phys. Rev. 2 (1913) 450 (both cited from memory). The smooth
//! cut-off by ln(1+eᵘ) follows N. Koren, "Improved vacuum tube models", Glass Audio 8(5), 1996
//! (from memory), and K. Dempwolf and U. Zölzer, "A physically-motivated triode model for circuit
//! simulations", DAFx-11, Paris 2011 (abstract read). The forms here are variants of those.

mod bipolar;
mod by_number;
mod evaluation;
mod field_effect;
mod heptode;
mod junction;
mod oscillator;
mod pentagrid;
mod pentode;
mod smooth;
mod soft_knee;
mod triode;
mod vacuum_diode;

use circuit::Characteristic;

pub(crate) use by_number::{by_number, ByNumber};
pub use evaluation::{Evaluation, MOST_TERMINALS};
pub(crate) use junction::{limit_junction, Limiter};

/// Currents into the terminals of a device, and their derivatives, at these terminal volts.
pub fn evaluate(characteristic: &Characteristic, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    match characteristic {
        Characteristic::VacuumDiode(diode) => vacuum_diode::evaluate(diode, volts),
        Characteristic::Triode(tube) => triode::evaluate(tube, volts),
        Characteristic::Oscillator(tube) => oscillator::evaluate(tube, volts),
        Characteristic::Pentode(tube) => pentode::evaluate(tube, volts),
        Characteristic::Heptode(tube) => heptode::evaluate(tube, volts),
        Characteristic::Pentagrid(tube) => pentagrid::evaluate(tube, volts),
        Characteristic::Junction(junction) => junction::evaluate(junction, volts),
        Characteristic::SoftKnee(knee) => soft_knee::evaluate(knee, volts),
        Characteristic::Bipolar(transistor) => bipolar::evaluate(transistor, volts),
        Characteristic::FieldEffect(transistor) => field_effect::evaluate(transistor, volts),
    }
}

/// The junctions of a device whose step has to be limited.
pub(crate) fn limiters(characteristic: &Characteristic) -> Vec<Limiter> {
    match characteristic {
        Characteristic::Junction(junction) => junction::limiters(junction),
        Characteristic::Bipolar(transistor) => bipolar::limiters(transistor),
        Characteristic::FieldEffect(transistor) => field_effect::limiters(transistor),
        _ => Vec::new(),
    }
}
