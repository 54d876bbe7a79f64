//! The devices whose slopes move, by themselves: Newton's method on the rows they touch.
//!
//! With what the others leave held, their rows `s` obey
//!
//! ```text
//! δ_s = h_s − Z_ss r_s(δ_s)        (1 + Z_ss B_s) Δ = −(δ_s − h_s + Z_ss r_s)
//! ```
//!
//! A step is damped by the rules of [`crate::newton`].

use nalgebra::{DMatrix, DVector};

use super::{largest, Departure};
use crate::law::Evaluation;

/// Steps after which it is given up.
const MOST_STEPS: usize = 60;

/// Largest change of a row in one step, in volts.
const LARGEST_STEP: f64 = 100.0;

/// A step is halved until what is left of it passes the natural test, or to this share.
const LEAST_SHARE: f64 = 1e-4;

/// Some devices of a circuit and the rows they touch.
pub(super) struct Strong<'a> {
    departure: &'a Departure<'a>,
    is_strong: Vec<bool>,
    rows: Vec<usize>,
    /// The place of each row of the circuit among them.
    places: Vec<Option<usize>>,
    /// `Z_ss`
    impedances: DMatrix<f64>,
}

/// Where they arrive.
pub(super) struct Found<'a> {
    strong: &'a Strong<'a>,
    here: Here,
    pub(super) steps: usize,
}

/// The strong devices at a state.
struct Here {
    evaluations: Vec<(usize, Evaluation)>,
    /// `r_s`
    left_over: DVector<f64>,
    /// `δ_s − h_s + Z_ss r_s`
    miss: DVector<f64>,
}

impl<'a> Strong<'a> {
    /// Those whose slopes have moved by more than this share.
    pub(super) fn among(
        departure: &'a Departure<'a>,
        evaluations: &[Evaluation],
        least: f64,
    ) -> Self {
        let each = evaluations.iter().enumerate();
        let is_strong: Vec<bool> = each
            .map(|(place, now)| departure.has_moved(place, now, least))
            .collect();
        let mut places = vec![None; departure.from.len()];
        let mut rows = Vec::new();
        for (place, _) in is_strong.iter().enumerate().filter(|(_, strong)| **strong) {
            let before = departure.before[place].rows();
            for (_, row) in departure.devices[place].rows().chain(before) {
                if places[row].is_none() {
                    places[row] = Some(rows.len());
                    rows.push(row);
                }
            }
        }
        let count = rows.len();
        let between = |i: usize, j: usize| departure.impedances.at(rows[i], rows[j]);
        Strong {
            impedances: DMatrix::from_fn(count, count, between),
            departure,
            is_strong,
            rows,
            places,
        }
    }

    pub(super) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The other devices.
    pub(super) fn others(&self) -> impl Iterator<Item = usize> + '_ {
        let each = self.is_strong.iter().enumerate();
        each.filter_map(|(place, strong)| (!strong).then_some(place))
    }

    fn devices(&self) -> impl Iterator<Item = usize> + '_ {
        let each = self.is_strong.iter().enumerate();
        each.filter_map(|(place, strong)| strong.then_some(place))
    }

    /// Lets them settle, starting from some volts, with `held` the volts at which they would leave
    /// nothing over.
    pub(super) fn settle(
        &'a self,
        held: &DVector<f64>,
        start: &DVector<f64>,
        settled: f64,
    ) -> Option<Found<'a>> {
        let held = held.select_rows(&self.rows);
        let enough = settled * (1.0 + largest(start).max(largest(&held)));
        let mut volts = start.clone();
        let mut here = self.at(&volts, &held);
        for steps in 1..=MOST_STEPS {
            let slopes = self.slopes(&here.evaluations);
            let mut yielding = &self.impedances * &slopes;
            for place in 0..self.rows.len() {
                yielding[(place, place)] += 1.0;
            }
            let factors = yielding.lu();
            let mut step = -factors.solve(&here.miss)?;
            let length = largest(&step);
            if !length.is_finite() {
                return None;
            }
            if length <= enough {
                here.left_over += slopes * step;
                return Some(Found {
                    strong: self,
                    here,
                    steps,
                });
            }
            step *= (LARGEST_STEP / length).min(1.0);
            step *= self.junction_share(&volts, &step);
            let part = largest(&step) / length;
            let mut share = 1.0;
            (volts, here) = loop {
                let next = self.moved(&volts, &step, share);
                let there = self.at(&next, &held);
                let rest = largest(&factors.solve(&there.miss)?);
                if rest <= (1.0 - share * part / 4.0) * length || share < LEAST_SHARE {
                    break (next, there);
                }
                share /= 2.0;
            };
        }
        None
    }

    fn moved(&self, volts: &DVector<f64>, step: &DVector<f64>, share: f64) -> DVector<f64> {
        let mut next = volts.clone();
        for (row, volts) in self.rows.iter().zip(step.iter()) {
            next[*row] += share * volts;
        }
        next
    }

    fn at(&self, volts: &DVector<f64>, held: &DVector<f64>) -> Here {
        let count = self.rows.len();
        let departure = volts - self.departure.from;
        let mut left_over = DVector::zeros(count);
        let mut add = |row: usize, amperes: f64| {
            if let Some(place) = self.places[row] {
                left_over[place] += amperes;
            }
        };
        let evaluate = |place: usize| {
            let now = self.departure.devices[place].at(volts);
            self.departure.leave(place, &now, &departure, &mut add);
            (place, now)
        };
        let evaluations = self.devices().map(evaluate).collect();
        let own = DVector::from_fn(count, |place, _| volts[self.rows[place]] - held[place]);
        Here {
            evaluations,
            miss: own + &self.impedances * &left_over,
            left_over,
        }
    }

    /// `B_s`
    fn slopes(&self, evaluations: &[(usize, Evaluation)]) -> DMatrix<f64> {
        let count = self.rows.len();
        let mut slopes = DMatrix::zeros(count, count);
        for (place, now) in evaluations {
            self.departure
                .bend(*place, now, &mut |row, column, change| {
                    if let (Some(row), Some(column)) = (self.places[row], self.places[column]) {
                        slopes[(row, column)] += change;
                    }
                });
        }
        slopes
    }

    fn junction_share(&self, volts: &DVector<f64>, step: &DVector<f64>) -> f64 {
        let mut whole = DVector::zeros(volts.len());
        for (row, volts) in self.rows.iter().zip(step.iter()) {
            whole[*row] = *volts;
        }
        let devices = &self.departure.devices;
        self.devices()
            .map(|place| devices[place].allowed_share(volts, &whole))
            .fold(1.0, f64::min)
    }
}

impl Found<'_> {
    /// Puts what the devices do there in its place, and adds what they leave over.
    pub(super) fn put(self, evaluations: &mut [Evaluation], left_over: &mut DVector<f64>) {
        for (row, amperes) in self.strong.rows.iter().zip(self.here.left_over.iter()) {
            left_over[*row] += amperes;
        }
        for (place, evaluation) in self.here.evaluations {
            evaluations[place] = evaluation;
        }
    }
}
