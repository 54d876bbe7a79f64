//! Newton's method on the rows of the devices whose derivatives change.
//!
//! With the remainders of all other devices held, their rows `s` obey
//!
//! ```text
//! δ_s = h_s − Z_ss r_s(δ_s)        (1 + Z_ss B_s) Δ = −(δ_s − h_s + Z_ss r_s)
//! ```
//!
//! A step is damped by the rules of [`crate::damping`].

use nalgebra::{DMatrix, DVector};

use super::rows::Rows;
use super::{largest, Deviation};
use crate::damping::{passes, share_within};
use crate::law::Evaluation;

/// Steps after which the search is given up.
const MOST_STEPS: usize = 60;

/// A step is halved until it passes the natural test, or to this share.
const LEAST_SHARE: f64 = 1e-4;

/// What double precision leaves of the equations, as a share of the largest volts: sums of some hundred terms.
const ROUNDING: f64 = 1e-13;

/// Some devices of a circuit and the rows they touch.
pub(super) struct Strong<'a> {
    deviation: &'a Deviation<'a>,
    rows: Rows,
    /// `Z_ss`
    impedances: DMatrix<f64>,
}

/// The strong devices at a state.
struct Here {
    /// `r_s`
    remainder: DVector<f64>,
    /// `δ_s − h_s + Z_ss r_s`
    miss: DVector<f64>,
}

impl<'a> Strong<'a> {
    pub(super) fn new(deviation: &'a Deviation<'a>, rows: Rows) -> Self {
        Strong {
            impedances: rows.impedances(deviation),
            deviation,
            rows,
        }
    }

    /// Solves for them from some volts, `held` being the volts at which their remainder would be zero.
    /// Stores their evaluations, adds their remainders, and returns the number of steps.
    pub(super) fn settle(
        &self,
        held: &DVector<f64>,
        start: &DVector<f64>,
        tolerance: f64,
        evaluations: &mut [Evaluation],
        remainder: &mut DVector<f64>,
    ) -> Option<usize> {
        let held = held.select_rows(&self.rows.rows);
        let enough = tolerance * (1.0 + largest(start).max(largest(&held)));
        let mut volts = start.clone();
        let mut here = self.at(&volts, &held, evaluations);
        let mut shortest = f64::INFINITY;
        for steps in 1..=MOST_STEPS {
            let factors = self
                .rows
                .return_difference(self.deviation, evaluations, &self.impedances)
                .lu();
            let mut step = -factors.solve(&here.miss)?;
            let length = largest(&step);
            if !length.is_finite() {
                return None;
            }
            // Where the rest of the equations is rounding, steps grow no shorter.
            let rounding = ROUNDING * (1.0 + largest(&volts).max(largest(&held)));
            let is_rounding = largest(&here.miss) <= rounding && length > 0.5 * shortest;
            shortest = shortest.min(length);
            if length <= enough || is_rounding {
                self.rows
                    .jacobian_change(self.deviation, evaluations, |row, column, change| {
                        here.remainder[row] += change * step[column];
                    });
                for (row, amperes) in self.rows.rows.iter().zip(here.remainder.iter()) {
                    remainder[*row] += amperes;
                }
                return Some(steps);
            }
            step *= share_within(length);
            step *= self.junction_share(&volts, &step);
            let part = largest(&step) / length;
            let mut share = 1.0;
            (volts, here) = loop {
                let next = self.moved(&volts, &step, share);
                let there = self.at(&next, &held, evaluations);
                let rest = largest(&factors.solve(&there.miss)?);
                if passes(rest, share * part, length) || share < LEAST_SHARE {
                    break (next, there);
                }
                share /= 2.0;
            };
        }
        None
    }

    fn moved(&self, volts: &DVector<f64>, step: &DVector<f64>, share: f64) -> DVector<f64> {
        let mut next = volts.clone();
        for (row, volts) in self.rows.rows.iter().zip(step.iter()) {
            next[*row] += share * volts;
        }
        next
    }

    fn at(
        &self,
        volts: &DVector<f64>,
        held: &DVector<f64>,
        evaluations: &mut [Evaluation],
    ) -> Here {
        let rows = &self.rows;
        let deviation = volts - self.deviation.from;
        let mut remainder = DVector::zeros(rows.rows.len());
        for place in rows.devices() {
            let now = self.deviation.devices[place].at(volts);
            self.deviation
                .add_remainder(place, &now, &deviation, &mut |row, amperes| {
                    if let Some(place) = rows.places[row] {
                        remainder[place] += amperes;
                    }
                });
            evaluations[place] = now;
        }
        let mut miss = volts.select_rows(&rows.rows) - held;
        miss.gemv(1.0, &self.impedances, &remainder, 1.0);
        Here { remainder, miss }
    }

    fn junction_share(&self, volts: &DVector<f64>, step: &DVector<f64>) -> f64 {
        let mut whole = DVector::zeros(volts.len());
        for (row, volts) in self.rows.rows.iter().zip(step.iter()) {
            whole[*row] = *volts;
        }
        let devices = &self.deviation.devices;
        self.rows
            .devices()
            .map(|place| devices[place].allowed_share(volts, &whole))
            .fold(1.0, f64::min)
    }
}
