//! Devices that a meter hardly reaches, which are taken by their tangents.
//!
//! A meter on one stage hardly moves the next but one. How far a device's currents then deviate from
//! its tangent is bounded by the curvature of its law at the solved state: with `d` the changes of its
//! terminal volts and `b_ijl = |∂²f_i/∂v_j∂v_l|`,
//!
//! ```text
//! |r_i| ≤ ½ Σ b_ijl d_j d_l        |B_ij| ≤ Σ b_ijl d_l
//! ```
//!
//! as long as the terminals move so little that the curvature on the way is hardly larger (`near`
//! below). A device stays linear where that bound is negligible in the port's reading and in the
//! resistance seen there. The bounds are checked again in every sweep (**own**).

use circuit::Characteristic;
use nalgebra::DVector;

use crate::device::Device;
use crate::impedances::{Driven, Impedances};
use crate::law::{evaluate, Evaluation, MOST_TERMINALS};

/// Volts by which a terminal of a tube may move: a seventh of the 0.139 V on which its bends are drawn.
const NEAR_OF_TUBE: f64 = 0.02;

/// The same of a semiconductor, a fifth of kT/q.
const NEAR_OF_JUNCTION: f64 = 0.005;

/// Factor by which the curvature may be larger within that change than at its ends: e to the power of
/// twice a fifth is 1.5.
const SAFELY: f64 = 2.0;

/// Largest error of its own rows in volts, below what anybody reads …
const OWN_VOLTS: f64 = 1e-4;

/// … and of its derivatives, as a share of the largest of them or of what matters at its terminals.
const OWN_SLOPES: f64 = 1e-3;

/// All linear devices together may change the resistance at the port by this share.
const OF_RESISTANCE: f64 = 1e-6;

/// The second derivatives of a device at a solved state.
#[derive(Clone, Debug)]
pub(crate) struct Curvature {
    near: f64,
    terminals: usize,
    /// `b_ijl`, by rows of `terminals³` entries.
    second: Vec<f64>,
    /// The root of the resistance in ohms at each terminal.
    root_ohms: [f64; MOST_TERMINALS],
    /// The largest derivative in siemens.
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
        let terminals = law.terminals();
        let near = match law {
            Characteristic::VacuumDiode(_)
            | Characteristic::Triode(_)
            | Characteristic::Pentode(_)
            | Characteristic::Pentagrid(_) => NEAR_OF_TUBE,
            _ => NEAR_OF_JUNCTION,
        };
        let volts = device.terminal_volts(kept);
        let mut second = vec![0.0; terminals * terminals * terminals];
        for (moved, _) in device.rows() {
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
        let slopes = tangent.conductance.iter().flatten();
        let mut root_ohms = [0.0; MOST_TERMINALS];
        for (terminal, row) in device.rows() {
            root_ohms[terminal] = impedances.at(row, row).abs().sqrt();
        }
        Curvature {
            near,
            terminals,
            second,
            root_ohms,
            siemens: slopes.fold(0.0, |most, slope| slope.abs().max(most)),
        }
    }

    /// Whether the device may be taken by its tangent, given the deviation of its terminals and the port.
    pub(super) fn stays_linear(
        &self,
        device: &Device,
        deviation: &DVector<f64>,
        port: Driven<'_>,
        allowed: &mut Allowed,
    ) -> bool {
        let mut moved = [0.0; MOST_TERMINALS];
        for (terminal, row) in device.rows() {
            moved[terminal] = deviation[row].abs();
        }
        let count = self.terminals;
        // Not a number is not near.
        if !moved.iter().all(|volts| *volts <= self.near) {
            return false;
        }
        let (mut volts, mut ohms) = (0.0, 0.0);
        let (mut own, mut slopes, mut counts): (f64, f64, f64) = (0.0, 0.0, 0.0);
        for (i, row) in device.rows() {
            let adjoint_response = port.adjoint_response[row].abs();
            let mut amperes = 0.0;
            for (j, column) in device.rows() {
                let start = (i * count + j) * count;
                let each = self.second[start..start + count].iter().zip(moved);
                let siemens: f64 = each.map(|(curvature, volts)| curvature * volts).sum();
                amperes += 0.5 * siemens * moved[j];
                ohms += adjoint_response * siemens * port.response[column].abs();
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
