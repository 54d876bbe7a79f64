//! Screening: what a fault shows at a few of its sizes, with the sensitivities of the set in order.
//!
//! Responses of the faulty circuit come in; whether the fault is plausible goes out, so that the costly
//! part of an evaluation, the derivatives of the faulty circuit by all its numbers, is left to the few
//! faults that matter.

use reconcile::ReconcileError;

use crate::suspects::bench_model::{Response, SizedFault};
use crate::suspects::course::{interpolated, Nodes};
use crate::suspects::evaluation::{Evaluator, InOrder};
use crate::suspects::fault_size::Sizes;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::size::Profile;

/// A fault is evaluated in full unless its readings are less likely than those of the best by this many
/// natural logarithms, even if they spread [`WIDER`] times as far as in order, and further still
/// where the resistance of a port has risen: what the numbers move there rises with it.
const LEFT: f64 = 12.0;
const WIDER: f64 = 2.0;

/// Sizes at screening; every second of those of an evaluation in full.
const FIRST_SIZES: usize = 7;

/// A reading that a fault moves by less than this many standard deviations (of what it is known to in order), on a
/// port whose resistance changes by less than this factor, spreads as it does in order.
const NEAR_SIGMAS: f64 = 0.3;
const NEAR_OHMS: f64 = 1.25;

/// Share of what a fault moves by which other parts, with their tolerances, may move the same reading
/// (common practice, no source). A grid that stands at a few millivolts in order spreads by little
/// there; shorted to its cathode it spreads as that does.
const PARTS_SHARE: f64 = 0.03;

/// What screening shows.
#[derive(Clone, Debug, Default)]
pub(crate) struct Screening {
    /// Logarithms of the sizes; none for a fault without a size.
    pub(crate) logs: Vec<f64>,
    /// The responses there, or the only one.
    pub(crate) responses: Vec<Response>,
    /// How far the resistance that stands for the fault may move each reading, in volts; none for a
    /// fault with a size.
    pub(crate) fault_resistance: Vec<f64>,
    /// Least `rᵀS⁻¹r` with the spread of the set in order.
    pub(crate) chi_squared: f64,
    /// The same with the widest spread that the fault may have.
    pub(crate) at_best: f64,
}

impl Screening {
    /// Whether an evaluation in full is worth its time, given the least `rᵀS⁻¹r` of all.
    pub(crate) fn is_plausible(&self, least: f64) -> bool {
        self.at_best <= least / WIDER.powi(2) + 2.0 * LEFT
    }

    /// Adds a response at a size, in the order of the sizes; one that is there already stays.
    pub(crate) fn add(&mut self, log: f64, response: Response) {
        if !self.has(log) {
            let place = self.logs.partition_point(|known| *known < log);
            self.logs.insert(place, log);
            self.responses.insert(place, response);
        }
    }

    pub(crate) fn has(&self, log: f64) -> bool {
        self.logs.iter().any(|known| (known - log).abs() < 1e-6)
    }

    /// The response at a size, from those on either side.
    pub(crate) fn between(&self, at: f64) -> Response {
        let along = |of: fn(&Response) -> &Vec<f64>| {
            let values: Vec<Vec<f64>> = self.responses.iter().map(|one| of(one).clone()).collect();
            let nodes = Nodes {
                sizes: &self.logs,
                predicted: &values,
            };
            interpolated(&nodes, at)
        };
        Response {
            volts: along(|response| &response.volts),
            ohms: along(|response| &response.ohms),
            swing: self.swing(),
        }
    }

    /// The most at any of the sizes by which electrodes on far more ohms than in order may move each reading.
    fn swing(&self) -> Vec<f64> {
        let each = self.responses.iter().map(|response| response.swing.clone());
        let higher = |a: Vec<f64>, b: Vec<f64>| a.iter().zip(&b).map(|(a, b)| a.max(*b)).collect();
        each.reduce(higher).unwrap_or_default()
    }

    /// Least `rᵀS⁻¹r` of several.
    pub(crate) fn least<'a>(screenings: impl Iterator<Item = &'a Screening>) -> f64 {
        screenings.fold(f64::INFINITY, |least, one| least.min(one.chi_squared))
    }
}

impl Evaluator<'_> {
    /// Screens a fault at a few of its sizes.
    ///
    /// # Errors
    /// [`ReconcileError`] if the faulty circuit has no operating point at enough sizes.
    pub(crate) fn screening(
        &self,
        hypothesis: Hypothesis,
        sizes: Option<&Sizes>,
    ) -> Result<Screening, ReconcileError> {
        let mut screening = Screening {
            chi_squared: f64::INFINITY,
            ..Screening::default()
        };
        match sizes {
            None => {
                let fault = [(hypothesis, 1.0)];
                let response = self.bench.response(&fault, &self.probes)?;
                // A joint that changes little if it is good changes little if it is bad.
                if hypothesis.may_raise_electrode_ohms() || !self.in_order.is_near(&response, &[]) {
                    let moved = self
                        .bench
                        .fault_resistances(&fault, &self.probes, &response);
                    screening.fault_resistance = moved.row_iter().map(|row| row.amax()).collect();
                }
                screening.responses.push(response);
            }
            Some(sizes) => {
                self.screen_along(
                    &mut screening,
                    &[],
                    hypothesis,
                    &sizes.log_sizes(FIRST_SIZES),
                )?;
            }
        }
        let predicted = self.all_predicted(&screening.responses);
        screening.chi_squared = self.least_chi_squared(&screening.logs, &predicted);
        let room = self.room(&screening);
        let forgiven: Vec<Vec<f64>> = predicted
            .into_iter()
            .map(|predicted| self.forgiven(predicted, &room))
            .collect();
        // Only an evaluation in full tells how far an electrode may move whose resistance has risen.
        if !self.in_order.is_moved_by(&screening.swing()) {
            screening.at_best = self.least_chi_squared(&screening.logs, &forgiven);
        }
        Ok(screening)
    }

    /// How many times as far as in order each reading may spread.
    fn room(&self, screening: &Screening) -> Vec<f64> {
        let order = &self.in_order;
        let risen = |place: usize| {
            let ohms = screening
                .responses
                .iter()
                .map(|response| response.ohms[place]);
            // Below an ohm a port holds its volts whatever is on it.
            let risen = ohms.fold(1.0, f64::max) / order.response.ohms[place].max(1.0);
            let fault_resistance = screening
                .fault_resistance
                .get(place)
                .map_or(0.0, |volts| volts.abs());
            let moved = screening
                .responses
                .iter()
                .map(|response| response.volts[place] - order.response.volts[place]);
            let moved = PARTS_SHARE * moved.fold(0.0, |most: f64, volts| most.max(volts.abs()));
            risen.max(1.0) + (fault_resistance + moved) / order.joint.sigma[place]
        };
        (0..order.response.ohms.len())
            .map(|place| WIDER * risen(place))
            .collect()
    }

    /// Predictions brought nearer to what was shown by so much.
    fn forgiven(&self, predicted: Vec<f64>, room: &[f64]) -> Vec<f64> {
        let each = predicted.into_iter().zip(&self.shown.volts).zip(room);
        each.map(|((predicted, shown), room)| match shown {
            Some(shown) => shown - (shown - predicted) / room,
            None => predicted,
        })
        .collect()
    }

    /// Least `rᵀS⁻¹r` along the sizes, or of the only response.
    fn least_chi_squared(&self, logs: &[f64], predicted: &[Vec<f64>]) -> f64 {
        let joint = &self.in_order.joint;
        let least = match predicted {
            [only] if logs.is_empty() => self.chi_squared(joint, only).0,
            _ => {
                let nodes = Nodes {
                    sizes: logs,
                    predicted,
                };
                let most = Profile::new(&nodes, |_| 0.0, joint, &self.shown).at_most();
                -2.0 * (most - joint.log_height())
            }
        };
        if least.is_nan() {
            f64::INFINITY
        } else {
            least
        }
    }

    /// Adds responses at sizes, in their order; sizes without an operating point are left out.
    ///
    /// # Errors
    /// The last failure, if fewer than two sizes are left.
    pub(crate) fn screen_along(
        &self,
        screening: &mut Screening,
        beside: &[SizedFault],
        hypothesis: Hypothesis,
        logs: &[f64],
    ) -> Result<(), ReconcileError> {
        let mut failed = None;
        for log in logs {
            if screening.has(*log) {
                continue;
            }
            let own = (hypothesis, log.exp());
            let faults: Vec<_> = std::iter::once(own).chain(beside.iter().copied()).collect();
            match self.bench.response(&faults, &self.probes) {
                Ok(response) => screening.add(*log, response),
                Err(error) => failed = Some(error),
            }
        }
        match failed {
            Some(error) if screening.logs.len() < 2 => Err(error.into()),
            _ => Ok(()),
        }
    }
}

impl InOrder {
    /// Whether so many volts, one number a reading, are more than what is near to a set in order.
    fn is_moved_by(&self, swing: &[f64]) -> bool {
        let mut each = swing.iter().zip(&self.joint.sigma);
        each.any(|(swing, sigma)| *swing > NEAR_SIGMAS * sigma)
    }

    /// Whether what a fault shows is so near to a set in order that it spreads alike.
    pub(crate) fn is_near(&self, response: &Response, fault_resistance: &[f64]) -> bool {
        let moved = |place: usize| fault_resistance.get(place).copied().unwrap_or(0.0);
        (0..response.volts.len()).all(|place| self.is_near_at(response, place, moved(place)))
    }

    /// The same at one reading, which the resistance that stands for the fault may move so far. A port
    /// whose resistance falls counts as near: otherwise a fault that does not move a reading would gain
    /// likelihood from a narrower spread than a set in order has.
    pub(crate) fn is_near_at(
        &self,
        response: &Response,
        place: usize,
        fault_resistance: f64,
    ) -> bool {
        let moved = (response.volts[place] - self.response.volts[place]).abs()
            + fault_resistance
            + response.swing[place];
        // Below an ohm a port holds its volts whatever is on it.
        let (now, then) = (
            response.ohms[place].max(1.0),
            self.response.ohms[place].max(1.0),
        );
        moved <= NEAR_SIGMAS * self.known_to[place] && now <= NEAR_OHMS * then
    }
}
