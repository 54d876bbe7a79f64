//! A triode that oscillates: the average of its currents over the swing of its grid.
//!
//! The grid goes positive at each peak and charges its capacitor through its own current, so that its leak holds it
//! far below the cathode. The plate's alternating volts are left out: in a receiver's oscillator they are small beside
//! its supply. With less volts on its plate it swings less, in proportion: by the three-halves law all volts of a tube
//! scale together.

use std::f64::consts::PI;

use circuit::OscillatorTriode;

use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::smooth::bend;
use super::triode;

const PLATE: usize = 0;
const GRID: usize = 1;
const CATHODE: usize = 2;

/// Places in half a period at which the triode is looked at; the other half repeats them. With twice as many the
/// currents of a swing of 12 V change by less than a thousandth.
const PLACES: usize = 32;

pub(crate) fn evaluate(tube: &OscillatorTriode, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let [plate, grid, cathode, ..] = *volts;
    let (share, slope) = swing_share(tube.fed_at, plate - cathode);
    let mut mean = Evaluation::NONE;
    for place in 0..PLACES {
        // Vg(t) = Vg + A·cos(ωt)
        let phase = PI * (place as f64 + 0.5) / PLACES as f64;
        let peak = tube.swing * phase.cos();
        let grid = grid - cathode + peak * share;
        let mut there = triode::evaluate(&tube.triode, &[plate - cathode, grid, 0.0, 0.0, 0.0]);
        for row in &mut there.conductance {
            let by_plate = row[GRID] * peak * slope;
            row[PLATE] += by_plate;
            row[CATHODE] -= by_plate;
        }
        mean.add(&there, 1.0 / PLACES as f64);
    }
    mean
}

/// Share of its swing that an oscillator has at these volts that feed it, and its derivative: in proportion to them,
/// with a bend of a volt at nothing.
pub(super) fn swing_share(fed_at: Option<f64>, volts: f64) -> (f64, f64) {
    let Some(full) = fed_at else {
        return (1.0, 0.0);
    };
    let (full, _) = bend(full);
    let (now, slope) = bend(volts);
    (now / full, slope / full)
}
