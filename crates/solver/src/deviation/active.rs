//! Devices that a meter hardly reaches, which are taken by their tangents.
//!
//! A meter on one stage hardly moves the next but one. How far a device's currents then deviate from
//! its tangent is bounded by the curvature of its law at the solved state: with `d` the changes of its
//! terminals' volts above the last one, which is the cathode, emitter or source, and `b_ijl = |∂²f_i/∂v_j∂v_l|`,
//!
//! ```text
//! |r_i| ≤ ½ Σ b_ijl d_j d_l        |B_ij| ≤ Σ b_ijl d_l
//! ```
//!
//! as long as the terminals move so little that the curvature on the way is hardly larger (`near`
//! below). A device stays linear where that bound is negligible in the port's reading and in the
//! resistance seen there. The bounds are checked again in every sweep (**own**).

use nalgebra::DVector;

use crate::device::Device;
use crate::impedances::{Driven, Impedances};
use crate::law::{evaluate, Evaluation, MOST_TERMINALS};

/// Volts by which a terminal of a tube may move: a seventh of the 0.139 V on which its bends are drawn.
const NEAR_OF_TUBE: f64 = 0.02;

/// The same of a semiconductor, a fifth of kT/q.
const NEAR_OF_JUNCTION: f64 = 0.005;

/// A terminal of a tube that governs less than another may move farther, up to this many times.
const WEAKER: f64 = 20.0;

/// Factor by which the curvature may be larger within that change than at its ends: e to the power of
/// twice a fifth is 1.5.
const SAFELY: f64 = 2.0;

/// Largest error of its own rows in volts, below what anybody reads …
const OWN_VOLTS: f64 = 1e-4;

/// … and of its derivatives, as a share of the largest of them or of what matters at its terminals.
const OWN_SLOPES: f64 = 1e-3;

/// The same in an altered circuit, which is read at many ports at once: that many volts at its own terminals …
const NEAR_VOLTS: f64 = 1e-6;

/// … and this share of what they move.
const NEAR_SHARE: f64 = 1e-3;

/// All linear devices together may change the resistance at the port by this share.
const OF_RESISTANCE: f64 = 1e-6;

/// The second derivatives of a device at a solved state, as a law of the volts of its terminals above the last one:
/// where all of them move alike, no current changes.
#[derive(Clone, Debug)]
pub(crate) struct Curvature {
    /// Volts by which each terminal may move against the last.
    near: [f64; MOST_TERMINALS],
    /// Terminals before the last.
    terminals: usize,
    /// `b_ijl`, by rows of `terminals³` entries.
    second: Vec<f64>,
    /// The root of the resistance in ohms between each terminal and the last.
    root_ohms: [f64; MOST_TERMINALS],
    /// The size of each derivative in siemens, by rows of `terminals`, and the largest of them.
    slopes: Vec<f64>,
    siemens: f64,
}

/// The error that linear devices together may still cause at a port.
#[derive(Clone, Copy)]
pub(super) struct Allowed {
    volts: f64,
    ohms: f64,
}

impl Curvature {
    /// Of a device that does this at some volts.
    pub(crate) fn of(
        device: &Device,
        tangent: &Evaluation,
        kept: &DVector<f64>,
        impedances: &Impedances<'_>,
    ) -> Self {
        let law = &device.characteristic;
        let terminals = law.terminals() - 1;
        let is_tube = law.limits_its_current();
        let near = if is_tube {
            NEAR_OF_TUBE
        } else {
            NEAR_OF_JUNCTION
        };
        let volts = device.terminal_volts(kept);
        let mut second = vec![0.0; terminals * terminals * terminals];
        for moved in 0..terminals {
            for way in [near, -near] {
                let mut there = volts;
                there[moved] += way;
                let there = evaluate(law, &there);
                for i in 0..terminals {
                    for j in 0..terminals {
                        let change = there.conductance[i][j] - tangent.conductance[i][j];
                        let own: &mut f64 = &mut second[(i * terminals + j) * terminals + moved];
                        *own = own.max(SAFELY * (change / near).abs());
                    }
                }
            }
        }
        let entries = (0..terminals * terminals).map(|at| (at / terminals, at % terminals));
        let slopes: Vec<f64> = entries
            .map(|(i, j)| tangent.conductance[i][j].abs())
            .collect();
        let largest = |each: &mut dyn Iterator<Item = &f64>| each.copied().fold(0.0, f64::max);
        let most_by = |j: usize| largest(&mut slopes.iter().skip(j).step_by(terminals));
        let siemens = largest(&mut slopes.iter());
        let mut limits = [near; MOST_TERMINALS];
        let mut root_ohms = [0.0; MOST_TERMINALS];
        for terminal in 0..terminals {
            if is_tube {
                let weaker = siemens / most_by(terminal);
                limits[terminal] *= weaker.clamp(1.0, WEAKER);
            }
            root_ohms[terminal] = device.ohms_to_last(terminal, impedances).sqrt();
        }
        Curvature {
            near: limits,
            terminals,
            second,
            root_ohms,
            slopes,
            siemens,
        }
    }

    /// By how much each terminal moves against the last; none where one moves too far.
    fn moved(&self, device: &Device, deviation: &DVector<f64>) -> Option<[f64; MOST_TERMINALS]> {
        let mut moved = [0.0; MOST_TERMINALS];
        for (terminal, volts) in moved.iter_mut().enumerate().take(self.terminals) {
            *volts = device.above_last(terminal, deviation).abs();
        }
        // Not a number is not near.
        let mut each = moved.iter().zip(&self.near);
        let is_near = each.all(|(volts, near)| volts <= near);
        is_near.then_some(moved)
    }

    /// `Σ b_ijl d_l`, the most by which a derivative changes.
    fn siemens(&self, i: usize, j: usize, moved: &[f64; MOST_TERMINALS]) -> f64 {
        let count = self.terminals;
        let start = (i * count + j) * count;
        let each = self.second[start..start + count].iter().zip(moved);
        each.map(|(curvature, volts)| curvature * volts).sum()
    }

    /// Whether the device may be taken by its tangent in an altered circuit, whatever is read there, given the
    /// deviation of its terminals.
    pub(super) fn stays_near(
        &self,
        device: &Device,
        deviation: &DVector<f64>,
        impedances: &Impedances<'_>,
    ) -> bool {
        let Some(moved) = self.moved(device, deviation) else {
            return false;
        };
        let mut ohms = [0.0; MOST_TERMINALS];
        for (terminal, ohms) in ohms.iter_mut().enumerate().take(self.terminals) {
            *ohms = device.ohms_to_last(terminal, impedances);
        }
        (0..self.terminals).all(|i| {
            let mut volts = 0.0;
            let mut hardly_bends = true;
            for j in 0..self.terminals {
                let siemens = self.siemens(i, j, &moved);
                volts += 0.5 * siemens * moved[j] * ohms[i];
                hardly_bends &= siemens <= OWN_SLOPES * self.slopes[i * self.terminals + j]
                    || siemens * siemens * ohms[i] * ohms[j] <= OWN_SLOPES * OWN_SLOPES;
            }
            hardly_bends && volts <= NEAR_VOLTS + NEAR_SHARE * moved[i]
        })
    }

    /// Whether the device may be taken by its tangent, given the deviation of its terminals and the port.
    pub(super) fn stays_linear(
        &self,
        device: &Device,
        deviation: &DVector<f64>,
        port: Driven<'_>,
        allowed: &mut Allowed,
    ) -> bool {
        let Some(moved) = self.moved(device, deviation) else {
            return false;
        };
        let mut response = [0.0; MOST_TERMINALS];
        for (terminal, ohms) in response.iter_mut().enumerate().take(self.terminals) {
            *ohms = device.above_last(terminal, port.response).abs();
        }
        let (mut volts, mut ohms) = (0.0, 0.0);
        let (mut own, mut slopes, mut counts): (f64, f64, f64) = (0.0, 0.0, 0.0);
        for i in 0..self.terminals {
            let adjoint_response = device.above_last(i, port.adjoint_response).abs();
            let mut amperes = 0.0;
            for j in 0..self.terminals {
                let siemens = self.siemens(i, j, &moved);
                amperes += 0.5 * siemens * moved[j];
                ohms += adjoint_response * siemens * response[j];
                slopes = slopes.max(siemens);
                counts = counts.max(siemens * self.root_ohms[i] * self.root_ohms[j]);
            }
            volts += adjoint_response * amperes;
            own = own.max(amperes * self.root_ohms[i].powi(2));
        }
        let stays_linear = volts <= allowed.volts
            && ohms <= allowed.ohms
            && own <= OWN_VOLTS
            && (slopes <= OWN_SLOPES * self.siemens || counts <= OWN_SLOPES);
        if stays_linear {
            allowed.volts -= volts;
            allowed.ohms -= ohms;
        }
        stays_linear
    }
}

impl Allowed {
    /// For a reading found to this tolerance in volts, on a port of this resistance in ohms.
    pub(super) fn of(tolerance: f64, ohms: f64) -> Self {
        Allowed {
            volts: tolerance,
            ohms: OF_RESISTANCE * ohms.abs(),
        }
    }
}

/// The devices that are evaluated; their number grows from sweep to sweep.
#[derive(Clone, Debug)]
pub(crate) struct ActiveDevices {
    is_active: Vec<bool>,
    places: Vec<usize>,
}

impl ActiveDevices {
    /// All of so many.
    pub(crate) fn all(devices: usize) -> Self {
        ActiveDevices {
            is_active: vec![true; devices],
            places: (0..devices).collect(),
        }
    }

    /// None yet.
    pub(super) fn none(devices: usize) -> Self {
        ActiveDevices {
            is_active: vec![false; devices],
            places: Vec::new(),
        }
    }

    /// Makes those of the others active that a test says do not stay linear.
    pub(super) fn activate(&mut self, mut stays_linear: impl FnMut(usize) -> bool) {
        for place in 0..self.is_active.len() {
            if !self.is_active[place] && !stays_linear(place) {
                self.is_active[place] = true;
                self.places.push(place);
            }
        }
    }

    /// Their places.
    pub(super) fn places(&self) -> &[usize] {
        &self.places
    }
}
