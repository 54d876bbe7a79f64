//! The pentagrid converter, coarsely: two states, oscillating or dead.
//!
//! Oscillating, the average space current is that of a steady grid 1 at a fixed voltage, and the
//! grid leak carries the oscillator's own rectified current, as far as it swings; both follow the screen's volts
//! where it is said at which they hold. Dead, grid 1 is an
//! ordinary grid. The signal grid turns plate current into screen current. Expect 20 to 30 % of error.

use circuit::Pentagrid;

use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::oscillator::swing_share;
use super::pentode::{division, Division};
use super::smooth::{bend, power, Electrode, W0};
use super::triode::grid_current;

const PLATE: usize = 0;
const SCREEN: usize = 1;
const OSCILLATOR: usize = 2;
const SIGNAL: usize = 3;
const CATHODE: usize = 4;

/// Volts of the signal grid at which the stated plate share holds.
const SIGNAL_BIAS: f64 = -1.5;

/// Width in volts over which the signal grid's effect sets in.
const SIGNAL_ONSET: f64 = 0.2;

/// Volts of grid 1 below zero to which the oscillator's swing drives its full rectified current, and
/// those to which it drives none: behind an open grid leak it blocks there (assumed, no source).
const FULL_SWING: f64 = 40.0;
const LARGEST_SWING: f64 = 80.0;

pub(crate) fn evaluate(tube: &Pentagrid, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let to_cathode = |terminal: usize| volts[terminal] - volts[CATHODE];
    let g = tube.perveance * tube.wear.emission;
    let plate = Electrode::at(to_cathode(PLATE));
    let screen = Electrode::at(to_cathode(SCREEN));
    let (p, dp) = (plate.positive(), plate.slope);
    let (q, dq) = (screen.positive(), screen.slope);
    let (running, running_slope) = swing_share(tube.fed_at, to_cathode(SCREEN));
    // Vg1, and its derivatives by grid 1 and by the screen.
    let (vg, follows, runs) = if tube.oscillates {
        let of_swing = tube.oscillating_grid;
        (of_swing * running, 0.0, of_swing * running_slope)
    } else {
        (to_cathode(OSCILLATOR), 1.0, 0.0)
    };
    // It = G·S^x,  S = W0·sp((Vg1 + Q/mu)/W0)
    let (sp, sg) = bend((vg + q / tube.mu) / W0);
    let (space, slope) = power(W0 * sp, tube.exponent);
    let (space, slope) = (g * space, g * slope * sg);
    let (by_grid, by_screen, by_swing) = (slope * follows, slope / tube.mu, slope * runs);

    let share = division(
        Division {
            screen_share: tube.screen_share,
            share_exponent: tube.share_exponent,
            knee: tube.knee,
            knee_power: tube.knee_power,
        },
        q,
        p,
    );
    // e = exp(−d/scale), d the volts of the signal grid below its bias, rounded at the onset
    let below = (SIGNAL_BIAS - to_cathode(SIGNAL)) / SIGNAL_ONSET;
    let (sp, sg) = bend(below);
    let e = (-SIGNAL_ONSET * sp / tube.signal_scale).exp();
    let by_signal = e * sg / tube.signal_scale;
    let f = share.plate * e;
    let (h2, dh2) = screen.collected(1.0);
    let (fp, fq, fs) = (
        share.by_plate * e,
        share.by_screen * e,
        share.plate * by_signal,
    );
    let plate = [
        (PLATE, space * fp * dp),
        (SCREEN, (by_screen * f + space * fq) * dq + by_swing * f),
        (OSCILLATOR, by_grid * f),
        (SIGNAL, space * fs),
    ];
    let screen = [
        (PLATE, -space * fp * h2 * dp),
        (
            SCREEN,
            (by_screen * (1.0 - f) - space * fq) * h2 * dq
                + space * (1.0 - f) * dh2
                + by_swing * (1.0 - f) * h2,
        ),
        (OSCILLATOR, by_grid * (1.0 - f) * h2),
        (SIGNAL, -space * fs * h2),
    ];
    let mut found = Evaluation::NONE;
    found.flow((PLATE, CATHODE), space * f, CATHODE, &plate);
    found.flow((SCREEN, CATHODE), space * (1.0 - f) * h2, CATHODE, &screen);
    let emission = tube.wear.emission;
    if tube.oscillates {
        // Electrons into the grid: it goes negative across its leak.
        let (share, slope) = swing(to_cathode(OSCILLATOR));
        let amperes = tube.oscillator_amperes * running;
        let by_grid = [
            (OSCILLATOR, amperes * slope),
            (SCREEN, tube.oscillator_amperes * running_slope * share),
        ];
        found.flow((OSCILLATOR, CATHODE), amperes * share, CATHODE, &by_grid);
    } else {
        let vg1 = to_cathode(OSCILLATOR);
        grid_current(&mut found, tube.grid, emission, vg1, (OSCILLATOR, CATHODE));
    }
    let vg3 = to_cathode(SIGNAL);
    grid_current(&mut found, tube.grid, emission, vg3, (SIGNAL, CATHODE));
    found.flow((PLATE, SIGNAL), tube.wear.gas, CATHODE, &[]);
    found
}

/// Share of the rectified current that the oscillator drives into its grid at these volts, and its
/// derivative: `t²(3 − 2t)` between the two swings.
fn swing(volts: f64) -> (f64, f64) {
    let width = LARGEST_SWING - FULL_SWING;
    let t = ((volts + LARGEST_SWING) / width).clamp(0.0, 1.0);
    (t * t * (3.0 - 2.0 * t), 6.0 * t * (1.0 - t) / width)
}
