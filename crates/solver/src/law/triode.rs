//! The triode: an equivalent diode at `Vg + V0 + Vp/mu`, with a soft cut-off.

use circuit::{DeviceParameter, GridCurrent, Triode};

use super::by_number::{flow, ByNumber};
use super::evaluation::{Evaluation, MOST_TERMINALS};
use super::smooth::{bend, power, Electrode, W0};
use super::vacuum_diode::space_charge;

const PLATE: usize = 0;
const GRID: usize = 1;
const CATHODE: usize = 2;

/// Plate volts at which the plate takes half of the space current: `VH`.
const HALF_COLLECTION: f64 = 2.0;

/// Space current and plate's share at a state.
struct Space {
    /// Volts of the plate as the cathode sees them, `P`, and their derivative.
    plate_volts: f64,
    by_volts: f64,
    /// `G·S^x`, and its derivatives by `Vg + V0` and by `P`.
    amperes: f64,
    by_grid: f64,
    by_plate: f64,
    /// `h` and `h′`
    share: f64,
    share_slope: f64,
}

impl Space {
    /// With this share of full emission.
    fn at(tube: &Triode, emission: f64, vp: f64, vg: f64) -> Self {
        let g = tube.perveance * emission;
        let plate = Electrode::at(vp);
        let p = plate.positive();
        // w = W0 + P/kp      U = Vg + V0 + P/mu      u = U/w      S = w·sp(u)
        let w = W0 + p / tube.softness;
        let u = (vg + tube.contact + p / tube.mu) / w;
        let (sp, sg) = bend(u);
        // G·S^x and x·G·S^(x−1)
        let (power, slope) = power(w * sp, tube.exponent);
        let slope = g * slope;
        // h = s/(s + VH)
        let (share, share_slope) = plate.collected(HALF_COLLECTION);
        Space {
            plate_volts: p,
            by_volts: plate.slope,
            amperes: g * power,
            by_grid: slope * sg,
            // dS/dP = sg(u)/mu + (sp(u) − u·sg(u))/kp
            by_plate: slope * (sg / tube.mu + (sp - u * sg) / tube.softness),
            share,
            share_slope,
        }
    }
}

pub(crate) fn evaluate(tube: &Triode, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let vp = volts[PLATE] - volts[CATHODE];
    let vg = volts[GRID] - volts[CATHODE];
    let space = Space::at(tube, tube.wear.emission, vp, vg);
    let h = space.share;
    // Ip = G·S^x·h       gm = x·G·S^(x−1)·sg(u)·h
    let gm = space.by_grid * h;
    // gp = x·G·S^(x−1)·(dS/dP)·h·P′ + G·S^x·h′
    let gp = space.by_plate * h * space.by_volts + space.amperes * space.share_slope;

    let mut found = Evaluation::NONE;
    found.flow(
        (PLATE, CATHODE),
        space.amperes * h,
        CATHODE,
        &[(PLATE, gp), (GRID, gm)],
    );
    grid_current(
        &mut found,
        tube.grid,
        tube.wear.emission,
        vg,
        (GRID, CATHODE),
    );
    // Ions leave at the grid and make the grid more positive; their electrons go to the plate.
    found.flow((PLATE, GRID), tube.wear.gas, CATHODE, &[]);
    found
}

pub(crate) fn by_number(tube: &Triode, volts: &[f64; MOST_TERMINALS]) -> Vec<ByNumber> {
    let vp = volts[PLATE] - volts[CATHODE];
    let vg = volts[GRID] - volts[CATHODE];
    // Everything but gas is proportional to the emission.
    let full = Space::at(tube, 1.0, vp, vg);
    let (grid, by_grid) = space_charge(tube.grid.perveance, vg - tube.grid.onset);
    let emission = tube.wear.emission;
    let plate = full.amperes * full.share;
    let contact = full.by_grid * full.share * emission;
    let at_plate = |amperes| flow(&[((PLATE, CATHODE), amperes)]);
    let at_grid = |amperes| flow(&[((GRID, CATHODE), amperes)]);
    vec![
        (
            DeviceParameter::Emission,
            flow(&[((PLATE, CATHODE), plate), ((GRID, CATHODE), grid)]),
        ),
        (
            DeviceParameter::AmplificationFactor,
            at_plate(-contact * full.plate_volts / tube.mu),
        ),
        (DeviceParameter::ContactPotential, at_plate(contact)),
        (DeviceParameter::GridOnset, at_grid(-by_grid * emission)),
        (DeviceParameter::GridPerveance, at_grid(grid * emission)),
        (DeviceParameter::GasCurrent, flow(&[((PLATE, GRID), 1.0)])),
    ]
}

/// Electrons that a positive grid collects: `Ig = Gg·Sg^1.5`, `Sg = W0·sp((Vg − Vgo)/W0)`.
pub(crate) fn grid_current(
    found: &mut Evaluation,
    grid: GridCurrent,
    emission: f64,
    vg: f64,
    (at, cathode): (usize, usize),
) {
    let (amperes, siemens) = space_charge(grid.perveance * emission, vg - grid.onset);
    found.flow((at, cathode), amperes, cathode, &[(at, siemens)]);
}
