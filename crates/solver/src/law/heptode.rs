//! The heptode mixer: a pentode of which the third grid sends back to the screen what it keeps from the plate.
//!
//! While the oscillator runs, the volts of the third grid are the average ones: the share that they leave to the plate
//! is that of service. At the cathode's volts it is that of an amplifier.

use circuit::Heptode;

use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::pentode;
use super::smooth::bend;
use super::triode::grid_current;

const PLATE: usize = 0;
const SCREEN: usize = 1;
const GRID: usize = 2;
const INJECTION: usize = 3;
const CATHODE: usize = 4;

/// Width in volts over which the third grid's effect sets in below the cathode.
const ONSET: f64 = 0.2;

pub(crate) fn evaluate(tube: &Heptode, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let pentode = tube.pentode;
    let [plate, screen, grid, injection, cathode] = *volts;
    let of_pentode = pentode::evaluate(&pentode, &[plate, screen, grid, cathode, 0.0]);
    let mut found = Evaluation::NONE;
    let places = [PLATE, SCREEN, GRID, CATHODE];
    for (from, to) in places.into_iter().enumerate() {
        found.current[to] = of_pentode.current[from];
        for (by, at) in places.into_iter().enumerate() {
            found.conductance[to][at] = of_pentode.conductance[from][by];
        }
    }
    // e = exp(−d/scale), d the volts of the third grid below the cathode, rounded at the onset
    let (sp, sg) = bend((cathode - injection) / ONSET);
    let e = (-ONSET * sp / tube.injection_scale).exp();
    let by_injection = e * sg / tube.injection_scale;
    // The plate keeps Ip·e; the rest goes to the screen.
    let plate = of_pentode.current[PLATE];
    let moved = |by: usize| (by, (1.0 - e) * of_pentode.conductance[PLATE][by]);
    let slopes = [
        moved(PLATE),
        moved(SCREEN),
        moved(GRID),
        (INJECTION, -by_injection * plate),
    ];
    found.flow((SCREEN, PLATE), (1.0 - e) * plate, CATHODE, &slopes);
    let emission = pentode.wear.emission;
    grid_current(
        &mut found,
        pentode.grid,
        emission,
        injection - cathode,
        (INJECTION, CATHODE),
    );
    found
}
