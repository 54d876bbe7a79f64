//! The pentode and the beam tetrode: one space current, shared between plate and screen.
//!
//! The sharing is an empirical division function on a three-halves law, as treated by J. Darr and
//! S. Manber, "Space current division in small pentodes", MIT thesis 1948 (summary read).

use circuit::Pentode;

use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::smooth::{collected, positive, sg, sp, W0};
use super::triode::grid_current;

const PLATE: usize = 0;
const SCREEN: usize = 1;
const GRID: usize = 2;
const CATHODE: usize = 3;

/// Space current and its derivatives by grid volts, screen `Q` and plate `P`.
struct Space {
    amperes: f64,
    by_grid: f64,
    by_screen: f64,
    by_plate: f64,
}

/// Share of the plate, `f`, and its derivatives by `P` and `Q`.
pub(crate) struct Share {
    pub(crate) plate: f64,
    pub(crate) by_plate: f64,
    pub(crate) by_screen: f64,
}

pub(crate) fn evaluate(tube: &Pentode, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let vg = volts[GRID] - volts[CATHODE];
    let (p, dp) = positive(volts[PLATE] - volts[CATHODE]);
    let vs = volts[SCREEN] - volts[CATHODE];
    let (q, dq) = positive(vs);
    let space = space_current(tube, vg, q, p);
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
    // h2 = s/(s + 1 V): a screen below the cathode takes nothing.
    let (h2, dh2) = collected(vs, 1.0);
    let (f, rest) = (share.plate, 1.0 - share.plate);
    // Ip = It·f            Ig2 = It·(1 − f)·h2
    let plate = [
        (
            PLATE,
            (space.by_plate * f + space.amperes * share.by_plate) * dp,
        ),
        (
            SCREEN,
            (space.by_screen * f + space.amperes * share.by_screen) * dq,
        ),
        (GRID, space.by_grid * f),
    ];
    let screen = [
        (
            PLATE,
            (space.by_plate * rest - space.amperes * share.by_plate) * h2 * dp,
        ),
        (
            SCREEN,
            (space.by_screen * rest - space.amperes * share.by_screen) * h2 * dq
                + space.amperes * rest * dh2,
        ),
        (GRID, space.by_grid * rest * h2),
    ];
    let mut found = Evaluation::NONE;
    found.flow((PLATE, CATHODE), space.amperes * f, CATHODE, &plate);
    found.flow(
        (SCREEN, CATHODE),
        space.amperes * rest * h2,
        CATHODE,
        &screen,
    );
    grid_current(
        &mut found,
        tube.grid,
        tube.wear.emission,
        vg,
        (GRID, CATHODE),
    );
    found.flow((PLATE, GRID), tube.wear.gas, CATHODE, &[]);
    found
}

fn space_current(tube: &Pentode, vg: f64, q: f64, p: f64) -> Space {
    let mut space = section(tube, 1.0, 1.0, vg, q, p);
    if let Some(remote) = tube.remote {
        let wide = section(tube, remote.share, remote.reach, vg, q, p);
        space.amperes += wide.amperes;
        space.by_grid += wide.by_grid;
        space.by_screen += wide.by_screen;
        space.by_plate += wide.by_plate;
    }
    space
}

/// One part of the grid winding: `share` of the perveance, `reach` of the grid's effect.
fn section(tube: &Pentode, share: f64, reach: f64, vg: f64, q: f64, p: f64) -> Space {
    let g = tube.perveance * tube.wear.emission * share;
    let x = tube.exponent;
    // w = W0 + Q/kp    U = β·Vg1 + V0 + Q/mu + P/mup    S = w·sp(U/w)
    let w = W0 + q / tube.softness;
    let u = (reach * vg + tube.contact + q / tube.mu + p / tube.mu_plate) / w;
    let s = w * sp(u);
    // It = G·S^x; below, x·It/S
    let slope = x * g * s.powf(x - 1.0);
    Space {
        amperes: g * s.powf(x),
        by_grid: slope * sg(u) * reach,
        by_screen: slope * (sg(u) / tube.mu + (sp(u) - u * sg(u)) / tube.softness),
        by_plate: slope * sg(u) / tube.mu_plate,
    }
}

/// Numbers of the division function.
pub(crate) struct Division {
    pub(crate) screen_share: f64,
    pub(crate) share_exponent: f64,
    pub(crate) knee: f64,
    pub(crate) knee_power: f64,
}

pub(crate) fn division(numbers: Division, q: f64, p: f64) -> Share {
    let (n, m) = (numbers.share_exponent, numbers.knee_power);
    // a = D·(Q/P)^n        k = (Vk/P)^m,  Vk = kk·Q + 1 V        f = 1/(1 + a + k)
    let a = numbers.screen_share * (q / p).powf(n);
    let vk = numbers.knee * q + 1.0;
    let k = (vk / p).powf(m);
    let f = 1.0 / (1.0 + a + k);
    // f² underflows harmlessly where k is huge: the plate is far below the knee.
    Share {
        plate: f,
        // fP = f²·(n·a + m·k)/P        fQ = −f²·(n·a/Q + m·k·kk/Vk)
        by_plate: f * f * (n * a + m * k) / p,
        by_screen: -f * f * (n * a / q + m * k * numbers.knee / vk),
    }
}
