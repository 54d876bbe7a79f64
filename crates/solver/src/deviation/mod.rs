//! How far tubes and semiconductors deviate from a solved state when something near them changes.
//!
//! At a solved state `u₀` with derivatives `G` of the devices let `Z = (Y + G)⁻¹`, one row and one
//! column for each row that devices touch. A change that would move those rows by `δ₀` if the devices
//! were linear moves them by
//!
//! ```text
//! δ = δ₀ − Z r(δ),   r(δ) = f(u₀ + δ) − f(u₀) − G δ
//! ```
//!
//! exactly. The derivatives of most devices hardly change, so `r` is negligible for all but a few
//! devices, the strong ones. With all others held, the strong ones are solved by Newton's method on
//! their own rows ([`strong`]); then the others are evaluated again, and so on. The weaker the others
//! are, the more each such sweep reduces the error. Devices that the change hardly reaches are not
//! evaluated ([`active`]).
//! The circuit round the devices is not known here.

mod active;
mod changed;
mod rows;
mod strong;
mod tangent;

use nalgebra::DVector;

use crate::device::Device;
use crate::impedances::Impedances;
use crate::law::Evaluation;

use active::Allowed;
pub(crate) use active::{ActiveDevices, Curvature};
use rows::Rows;
use strong::Strong;

/// Sweeps after which the search is given up.
const MOST_SWEEPS: usize = 40;

/// A derivative that has changed by more than this, times the resistance at its terminals, makes its
/// device a strong one.
const STRONG: f64 = 0.3;

/// A sweep that leaves more than this share of the error before it has held devices that matter.
const SLOW: f64 = 0.2;

/// Largest remaining change of an answer, as a share of the largest volts, plus as many volts.
pub(crate) const ANSWER: f64 = 1e-11;

/// The same where a fit of measured values rests on it, and follows it by small differences.
pub(crate) const FIT: f64 = 1e-10;

/// The same where it is one of thousands of trials.
pub(crate) const TRIAL: f64 = 1e-9;

/// Devices near a solved state.
#[derive(Clone, Copy)]
pub(crate) struct Deviation<'a> {
    pub(crate) devices: &'a [Device],
    /// The same devices in the solved state, where some may be connected to other rows or have another
    /// law.
    pub(crate) before: &'a [Device],
    /// Their currents and derivatives there: `f(u₀)` and `G`.
    pub(crate) tangents: &'a [Evaluation],
    /// `u₀`
    pub(crate) from: &'a DVector<f64>,
    /// `δ₀`
    pub(crate) origin: &'a DVector<f64>,
    /// `Z`
    pub(crate) impedances: Impedances<'a>,
    /// The curvature of each device there; none where all devices are to be evaluated.
    pub(crate) curvatures: Option<&'a [Curvature]>,
}

/// Where a search starts.
#[derive(Clone, Copy)]
pub(crate) struct Start<'a> {
    /// `u₀ + δ`
    pub(crate) volts: &'a DVector<f64>,
    /// `r(δ)`, or about that.
    pub(crate) remainder: &'a DVector<f64>,
}

/// The state that the devices reach.
pub(crate) struct Arrived {
    /// `u₀ + δ`
    pub(crate) volts: DVector<f64>,
    /// `r(δ)`
    pub(crate) remainder: DVector<f64>,
    /// Currents and derivatives of each device there.
    pub(crate) evaluations: Vec<Evaluation>,
    /// Devices that are not taken by their tangents.
    pub(crate) active: ActiveDevices,
    pub(crate) steps: usize,
}

impl Deviation<'_> {
    /// The state that the devices reach from a start; none where the iteration does not converge.
    pub(crate) fn settle(&self, start: Start<'_>, tolerance: f64) -> Option<Arrived> {
        let linear = self.from + self.origin;
        let mut safe = start.volts.clone();
        let mut volts = &linear - self.impedances.times(start.remainder);
        let mut least = STRONG;
        let mut before = f64::INFINITY;
        let mut steps = 0;
        // u₀ + δ₀ − Z r from sweep to sweep
        let mut active = self.initially_active();
        let mut evaluations = self.tangents.to_vec();
        let enough = tolerance * (1.0 + largest(self.from));
        for _ in 0..MOST_SWEEPS {
            let deviation = &volts - self.from;
            self.activate(&mut active, &deviation, enough);
            for place in active.places() {
                evaluations[*place] = self.devices[*place].at(&volts);
            }
            let strong = Rows::moved(self, &evaluations, &active, least);
            let mut remainder = DVector::zeros(volts.len());
            for place in strong.others() {
                let now = &evaluations[place];
                self.add_remainder(place, now, &deviation, &mut |row, amperes| {
                    remainder[row] += amperes;
                });
            }
            steps += 1;
            if !strong.rows.is_empty() {
                let held = &linear - self.impedances.times(&remainder);
                let strong = Strong::new(self, strong);
                steps +=
                    strong.settle(&held, &safe, tolerance, &mut evaluations, &mut remainder)?;
            }
            let next = &linear - self.impedances.times(&remainder);
            let moved = distance(&next, &volts);
            if !moved.is_finite() {
                return None;
            }
            // The next sweep would move the rows less by the ratio of this sweep to the last.
            let shrinks = if before.is_finite() {
                moved / before
            } else {
                1.0
            };
            if moved * shrinks.min(1.0) <= tolerance * (1.0 + largest(&next)) {
                return Some(Arrived {
                    volts: next,
                    remainder,
                    evaluations,
                    active,
                    steps,
                });
            }
            if moved > SLOW * before {
                least *= SLOW;
            }
            before = moved;
            // A current that hardly any slope answers leads far beyond what the circuit has.
            if moved <= 1.0 + largest(self.from) {
                safe.copy_from(&next);
            }
            volts = next;
        }
        None
    }

    /// The devices to evaluate before anything has moved: those that are not what they were in the solved state.
    fn initially_active(&self) -> ActiveDevices {
        let count = self.devices.len();
        if self.curvatures.is_none() {
            return ActiveDevices::all(count);
        }
        let mut active = ActiveDevices::none(count);
        if !std::ptr::eq(self.devices, self.before) {
            active.activate(|place| self.devices[place] == self.before[place]);
        }
        active
    }

    /// Makes those devices active that a deviation reaches. A driven port is read to this tolerance in volts.
    fn activate(&self, active: &mut ActiveDevices, deviation: &DVector<f64>, tolerance: f64) {
        let Some(curvatures) = self.curvatures else {
            return;
        };
        let Some(port) = self.impedances.driven else {
            active.activate(|place| {
                curvatures[place].stays_near(&self.devices[place], deviation, &self.impedances)
            });
            return;
        };
        let mut allowed = Allowed::of(tolerance, port.ohms);
        active.activate(|place| {
            curvatures[place].stays_linear(&self.devices[place], deviation, port, &mut allowed)
        });
    }

    /// Adds a device's present currents less its tangent.
    fn add_remainder(
        &self,
        place: usize,
        now: &Evaluation,
        deviation: &DVector<f64>,
        add: &mut impl FnMut(usize, f64),
    ) {
        for (terminal, row) in self.devices[place].rows() {
            add(row, now.current[terminal]);
        }
        let (device, tangent) = (&self.before[place], &self.tangents[place]);
        for (terminal, row) in device.rows() {
            let slopes = &tangent.conductance[terminal];
            let each = device.rows();
            let linear: f64 = each
                .map(|(other, column)| slopes[other] * deviation[column])
                .sum();
            add(row, -(tangent.current[terminal] + linear));
        }
    }

    /// `r` of devices with these evaluations at some volts.
    pub(crate) fn remainder(
        &self,
        volts: &DVector<f64>,
        evaluations: &[Evaluation],
    ) -> DVector<f64> {
        let deviation = volts - self.from;
        let mut remainder = DVector::zeros(volts.len());
        for (place, now) in evaluations.iter().enumerate() {
            self.add_remainder(place, now, &deviation, &mut |row, amperes| {
                remainder[row] += amperes;
            });
        }
        remainder
    }
}

/// Currents and derivatives of each device at a state.
pub(crate) fn evaluations(devices: &[Device], volts: &DVector<f64>) -> Vec<Evaluation> {
    devices.iter().map(|device| device.at(volts)).collect()
}

/// The largest entry.
fn largest(vector: &DVector<f64>) -> f64 {
    let each = vector.iter().map(|value| value.abs());
    each.fold(0.0, most)
}

/// The largest difference.
fn distance(a: &DVector<f64>, b: &DVector<f64>) -> f64 {
    let each = a.iter().zip(b.iter()).map(|(a, b)| (a - b).abs());
    each.fold(0.0, most)
}

/// The larger of two; infinite if one is not a number.
fn most(one: f64, other: f64) -> f64 {
    if other.is_nan() {
        return f64::INFINITY;
    }
    one.max(other)
}
