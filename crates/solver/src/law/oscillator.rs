//! A triode that oscillates: the average of its currents over the swing of its grid.
//!
//! The grid goes positive at each peak and charges its capacitor through its own current, so that its leak holds it
//! far below the cathode. The plate's alternating volts are left out: in a receiver's oscillator they are small beside
//! its supply.

use std::f64::consts::PI;

use circuit::OscillatorTriode;

use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::triode;

/// Places in half a period at which the triode is looked at; the other half repeats them. With twice as many the
/// currents of a swing of 12 V change by less than a thousandth.
const PLACES: usize = 32;

pub(crate) fn evaluate(tube: &OscillatorTriode, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let [plate, grid, cathode, ..] = *volts;
    let mut mean = Evaluation::NONE;
    for place in 0..PLACES {
        // Vg(t) = Vg + A·cos(ωt)
        let phase = PI * (place as f64 + 0.5) / PLACES as f64;
        let grid = grid - cathode + tube.swing * phase.cos();
        let there = triode::evaluate(&tube.triode, &[plate - cathode, grid, 0.0, 0.0, 0.0]);
        mean.add(&there, 1.0 / PLACES as f64);
    }
    mean
}
