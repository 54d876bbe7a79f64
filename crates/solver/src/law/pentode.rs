//! The pentode and the beam tetrode: one space current, shared between plate and screen.
//!
//! The sharing is an empirical division function on a three-halves law, as treated by J. Darr and
//! S. Manber, "Space current division in small pentodes", MIT thesis 1948 (summary read).

use circuit::{DeviceParameter, Pentode};

use super::by_number::{flow, ByNumber};
use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::smooth::{bend, power, Electrode, W0};
use super::triode::grid_current;
use super::vacuum_diode::space_charge;

const PLATE: usize = 0;
const SCREEN: usize = 1;
const GRID: usize = 2;
const CATHODE: usize = 3;

/// Space current and its derivatives by grid volts, contact potential, screen volts and plate `P`.
struct Space {
    amperes: f64,
    by_grid: f64,
    by_contact: f64,
    by_screen: f64,
    by_plate: f64,
}

/// Share of the plate, `f`, and its derivatives by `P` and `Q`.
pub(crate) struct Share {
    pub(crate) plate: f64,
    /// By the logarithm of `D`.
    pub(crate) by_screen_share: f64,
    pub(crate) by_plate: f64,
    pub(crate) by_screen: f64,
}

pub(crate) fn evaluate(tube: &Pentode, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let vg = volts[GRID] - volts[CATHODE];
    let plate = Electrode::at(volts[PLATE] - volts[CATHODE]);
    let screen = Electrode::at(volts[SCREEN] - volts[CATHODE]);
    let (p, dp) = (plate.positive(), plate.slope);
    let (q, dq) = (screen.positive(), screen.slope);
    let space = space_current(tube, tube.wear.emission, vg, screen, p);
    let share = division(Division::of(tube), q, p);
    // h2 = s/(s + 1 V): a screen below the cathode takes nothing.
    let (h2, dh2) = screen.collected(1.0);
    let (f, rest) = (share.plate, 1.0 - share.plate);
    // Ip = It·f            Ig2 = It·(1 − f)·h2
    let plate = [
        (
            PLATE,
            (space.by_plate * f + space.amperes * share.by_plate) * dp,
        ),
        (
            SCREEN,
            space.by_screen * f + space.amperes * share.by_screen * dq,
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
            (space.by_screen * rest - space.amperes * share.by_screen * dq) * h2
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

pub(crate) fn by_number(tube: &Pentode, volts: &[f64; MOST_TERMINALS]) -> Vec<ByNumber> {
    let vg = volts[GRID] - volts[CATHODE];
    let plate = Electrode::at(volts[PLATE] - volts[CATHODE]);
    let screen = Electrode::at(volts[SCREEN] - volts[CATHODE]);
    let (p, q) = (plate.positive(), screen.positive());
    // Everything but gas is proportional to the emission.
    let full = space_current(tube, 1.0, vg, screen, p);
    let share = division(Division::of(tube), q, p);
    let (h2, _) = screen.collected(1.0);
    let (grid, by_grid) = space_charge(tube.grid.perveance, vg - tube.grid.onset);
    let emission = tube.wear.emission;
    let shared = |amperes: f64| {
        [
            ((PLATE, CATHODE), amperes * share.plate),
            ((SCREEN, CATHODE), amperes * (1.0 - share.plate) * h2),
        ]
    };
    let [to_plate, to_screen] = shared(full.amperes);
    let contact = full.by_contact * emission;
    let turned = full.amperes * emission * share.by_screen_share;
    let at_grid = |amperes| flow(&[((GRID, CATHODE), amperes)]);
    vec![
        (
            DeviceParameter::Emission,
            flow(&[to_plate, to_screen, ((GRID, CATHODE), grid)]),
        ),
        (
            DeviceParameter::AmplificationFactor,
            flow(&shared(-contact * screen.signed() / tube.mu)),
        ),
        (DeviceParameter::ContactPotential, flow(&shared(contact))),
        (
            DeviceParameter::ScreenShare,
            flow(&[
                ((PLATE, CATHODE), turned),
                ((SCREEN, CATHODE), -turned * h2),
            ]),
        ),
        (DeviceParameter::GridOnset, at_grid(-by_grid * emission)),
        (DeviceParameter::GridPerveance, at_grid(grid * emission)),
        (DeviceParameter::GasCurrent, flow(&[((PLATE, GRID), 1.0)])),
    ]
}

/// With this share of full emission.
fn space_current(tube: &Pentode, emission: f64, vg: f64, screen: Electrode, p: f64) -> Space {
    let mut space = section(tube, (emission, 1.0), vg, screen, p);
    if let Some(remote) = tube.remote {
        let wide = section(tube, (emission * remote.share, remote.reach), vg, screen, p);
        space.amperes += wide.amperes;
        space.by_grid += wide.by_grid;
        space.by_contact += wide.by_contact;
        space.by_screen += wide.by_screen;
        space.by_plate += wide.by_plate;
    }
    space
}

/// One part of the grid winding: `share` of the perveance, `reach` of the grid's effect.
fn section(
    tube: &Pentode,
    (share, reach): (f64, f64),
    vg: f64,
    screen: Electrode,
    p: f64,
) -> Space {
    let g = tube.perveance * share;
    // w = W0 + Q/kp    U = β·Vg1 + V0 + N/mu + P/mup    S = w·sp(U/w)
    // A screen below the cathode repels as a grid does: there `N` is negative, and `Q` is not.
    let w = W0 + screen.positive() / tube.softness;
    let u = (reach * vg + tube.contact + screen.signed() / tube.mu + p / tube.mu_plate) / w;
    let (sp, sg) = bend(u);
    // It = G·S^x and x·G·S^(x−1)
    let (power, slope) = power(w * sp, tube.exponent);
    let slope = g * slope;
    Space {
        amperes: g * power,
        by_grid: slope * sg * reach,
        by_contact: slope * sg,
        by_screen: slope * (sg / tube.mu + (sp - u * sg) / tube.softness * screen.slope),
        by_plate: slope * sg / tube.mu_plate,
    }
}

/// Numbers of the division function.
pub(crate) struct Division {
    pub(crate) screen_share: f64,
    pub(crate) share_exponent: f64,
    pub(crate) knee: f64,
    pub(crate) knee_power: f64,
}

impl Division {
    fn of(tube: &Pentode) -> Self {
        Division {
            screen_share: tube.screen_share,
            share_exponent: tube.share_exponent,
            knee: tube.knee,
            knee_power: tube.knee_power,
        }
    }
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
        // f by ln D
        by_screen_share: -f * f * a,
        // fP = f²·(n·a + m·k)/P        fQ = −f²·(n·a/Q + m·k·kk/Vk)
        by_plate: f * f * (n * a + m * k) / p,
        by_screen: -f * f * (n * a / q + m * k * numbers.knee / vk),
    }
}
