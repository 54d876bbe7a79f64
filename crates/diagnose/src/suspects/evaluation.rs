//! One hypothesis evaluated against the readings.
//!
//! The bench, what the manual adds and what was shown come in; the likelihood, the predictions
//! and, for a fault with a size, its size go out. Weights before the readings are not known here.

use std::sync::Arc;

use crate::suspects::bench_model::{BenchModel, Probe, Response, SensitivityMatrix, SizedFault};
use crate::suspects::fault::{Size, Sizes};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::{Joint, Shown};
use crate::suspects::misreading::Misreading;
use crate::suspects::screening::Screening;
use crate::suspects::size::{interpolated, Nodes, Profile};
use reconcile::ReconcileError;

/// Sizes at which the circuit is solved to begin with.
const NODES: usize = 13;

/// How often the spread is taken anew at the most likely size.
const ROUNDS: usize = 3;

/// A change of the most likely size by less than this share leaves the spread as it is.
const SAME_SIZE: f64 = 0.1;

/// Everything that hypotheses are tried against.
pub(crate) struct Evaluator<'a> {
    pub(crate) bench: BenchModel<'a>,
    pub(crate) probes: Vec<Probe>,
    pub(crate) shown: Shown,
    /// Indices of the used readings into [`circuit::Job::readings`].
    pub(crate) readings: Vec<usize>,
    pub(crate) in_order: InOrder,
    /// Share of what a fault moves by which the laws may be off.
    pub(crate) law_error: f64,
}

/// The set in order, as the readings see it.
pub(crate) struct InOrder {
    pub(crate) response: Response,
    pub(crate) sensitivities: Arc<SensitivityMatrix>,
    pub(crate) joint: Arc<Joint>,
}

/// How far an evaluation goes after screening.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Effort {
    /// No further: the fault is hopeless.
    ScreeningOnly,
    /// With a spread of its own, and to the end unless its likelihood then lies below this, in its
    /// logarithm.
    InFull { unless_below: f64 },
}

/// A hypothesis after its trial.
#[derive(Clone, Debug)]
pub(crate) struct Evaluated {
    /// Faults and their most likely sizes.
    pub(crate) faults: Vec<SizedFault>,
    /// Sizes, fitted, for those faults that have one.
    pub(crate) sizes: Vec<Option<Size>>,
    /// Standard deviation of the logarithm of the first fault's size; 0 without one.
    pub(crate) log_size_sigma: f64,
    /// Logarithm of the likelihood, averaged over the sizes.
    pub(crate) log_likelihood: f64,
    /// Logarithm of the likelihood at the most likely size.
    pub(crate) log_likelihood_at_mode: f64,
    /// Predicted volts of each reading.
    pub(crate) predicted: Vec<f64>,
    /// Their spread.
    pub(crate) joint: Arc<Joint>,
    pub(crate) sensitivities: Arc<SensitivityMatrix>,
    /// `rᵀS⁻¹r`, and the number of readings in it.
    pub(crate) chi_squared: (f64, usize),
    /// For a wrong reading: the likeliest way it went wrong.
    pub(crate) misread: Option<Misreading>,
    /// Share of the fault's weight that its sizes have, of those that are looked at here.
    pub(crate) share: f64,
    /// The same fault at sizes that these readings cannot tell from a set in order; the trial
    /// itself then holds the others alone.
    pub(crate) hidden: Option<Box<Evaluated>>,
    /// Whether the trial is of such sizes alone.
    pub(crate) hides: bool,
}

impl Evaluator<'_> {
    /// Evaluates one fault, or none, after screening; in full if that is worth its time.
    ///
    /// # Errors
    /// [`ReconcileError`] if the faulty circuit has no operating point at enough sizes, or its
    /// spread cannot be inverted.
    pub(crate) fn single(
        &self,
        (hypothesis, sizes): (Hypothesis, Option<Sizes>),
        screening: Screening,
        effort: Effort,
    ) -> Result<Evaluated, ReconcileError> {
        match (sizes, effort) {
            (Some(sizes), Effort::InFull { unless_below }) => {
                self.along((hypothesis, &sizes), &[], (screening, unless_below))
            }
            (Some(sizes), Effort::ScreeningOnly) => {
                let order = &self.in_order;
                let sensitivities = (Arc::clone(&order.joint), Arc::clone(&order.sensitivities));
                let along = (screening.logs.as_slice(), screening.responses.as_slice());
                let profile = self.profile(along, &sizes, &order.joint);
                Ok(self.fitted(
                    (hypothesis, &sizes),
                    &[],
                    &screening,
                    (profile, sensitivities),
                ))
            }
            (None, Effort::InFull { .. })
                if !self
                    .in_order
                    .is_near(&screening.responses[0], &screening.fault_resistance) =>
            {
                self.evaluated_from(&[(hypothesis, 1.0)], &screening.responses[0])
            }
            (None, _) => {
                let order = &self.in_order;
                let predicted = self.predicted(&screening.responses[0]);
                let sensitivities = (Arc::clone(&order.joint), Arc::clone(&order.sensitivities));
                Ok(self.evaluated(&[(hypothesis, 1.0)], predicted, sensitivities))
            }
        }
    }

    /// Tries faults of given sizes.
    ///
    /// # Errors
    /// As [`Evaluator::single`].
    pub(crate) fn of_one_size(&self, faults: &[SizedFault]) -> Result<Evaluated, ReconcileError> {
        let response = self.bench.response(faults, &self.probes)?;
        self.evaluated_from(faults, &response)
    }

    /// The same where it is known what they show.
    fn evaluated_from(
        &self,
        faults: &[SizedFault],
        response: &Response,
    ) -> Result<Evaluated, ReconcileError> {
        let (sensitivities, joint) = self.sensitivities(faults, response)?;
        let predicted = self.predicted(response);
        Ok(self.evaluated(
            faults,
            predicted,
            (Arc::new(joint), Arc::new(sensitivities)),
        ))
    }

    /// How the readings follow the numbers with these faults, and their spread. Readings that the
    /// faults leave near to where they were in order follow them as there.
    ///
    /// # Errors
    /// [`ReconcileError`] if the faulty circuit has no operating point, or the spread cannot be
    /// inverted.
    fn sensitivities(
        &self,
        faults: &[SizedFault],
        response: &Response,
    ) -> Result<(SensitivityMatrix, Joint), ReconcileError> {
        let order = &self.in_order;
        let fault_resistances = self.bench.fault_resistances(faults, &self.probes, response);
        let rows: Vec<usize> = (0..self.probes.len())
            .filter(|place| {
                !order.is_near_at(response, *place, fault_resistances.row(*place).amax())
            })
            .collect();
        let probes: Vec<Probe> = rows.iter().map(|row| self.probes[*row]).collect();
        let (_, own) = self.bench.sensitivities(faults, &probes)?;
        let gone = self.bench.columns_set_by_faults(faults);
        let mut sensitivities = SensitivityMatrix::clone(&order.sensitivities);
        for column in &gone {
            sensitivities.column_mut(*column).fill(0.0);
        }
        for (place, row) in rows.iter().enumerate() {
            sensitivities.set_row(*row, &own.row(place));
        }
        self.bench
            .with_fault_resistances(&mut sensitivities, &fault_resistances);
        let changed = (&sensitivities, rows.as_slice(), gone.as_slice());
        let before = (&*order.sensitivities, &self.bench.known);
        let laws = self.laws(response);
        let joint = order.joint.changed(before, changed, &laws, &self.shown)?;
        Ok((sensitivities, joint))
    }

    fn evaluated(
        &self,
        faults: &[SizedFault],
        predicted: Vec<f64>,
        (joint, sensitivities): (Arc<Joint>, Arc<SensitivityMatrix>),
    ) -> Evaluated {
        let log_likelihood = joint.log_likelihood(&self.shown, &predicted);
        let hides = faults.len() == 1 && self.hides(&predicted);
        Evaluated {
            faults: faults.to_vec(),
            sizes: vec![None; faults.len()],
            log_size_sigma: 0.0,
            log_likelihood,
            log_likelihood_at_mode: log_likelihood,
            chi_squared: self.chi_squared(&joint, &predicted),
            misread: None,
            share: 1.0,
            hidden: None,
            hides,
            predicted,
            joint,
            sensitivities,
        }
    }

    /// Tries a fault along its size, beside another one of a given size.
    ///
    /// # Errors
    /// As [`Evaluator::single`].
    pub(crate) fn of_many_sizes(
        &self,
        hypothesis: Hypothesis,
        sizes: &Sizes,
        beside: SizedFault,
    ) -> Result<Evaluated, ReconcileError> {
        let screening = (Screening::default(), f64::NEG_INFINITY);
        self.along((hypothesis, sizes), &[beside], screening)
    }

    fn along(
        &self,
        (hypothesis, sizes): (Hypothesis, &Sizes),
        beside: &[SizedFault],
        (mut screening, unless_below): (Screening, f64),
    ) -> Result<Evaluated, ReconcileError> {
        let mut all_sizes = screening.logs.is_empty();
        if all_sizes {
            self.screen_along(&mut screening, beside, hypothesis, &sizes.log_sizes(NODES))?;
        }
        let order = &self.in_order;
        let mut joint = Arc::clone(&order.joint);
        let mut sensitivities = Arc::clone(&order.sensitivities);
        let mut mode = f64::NAN;
        let mut profile = self.profile((&screening.logs, &screening.responses), sizes, &joint);
        for _ in 0..ROUNDS {
            let next = profile.mode();
            if (next - mode).abs() < SAME_SIZE {
                break;
            }
            let there = self.between((&screening.logs, &screening.responses), next);
            let near = order.is_near(&there, &[]);
            if mode.is_nan() && beside.is_empty() && near {
                break;
            }
            // No state at the most likely size: the spread at the previous size is used.
            let own = (hypothesis, next.exp());
            let faults: Vec<SizedFault> =
                std::iter::once(own).chain(beside.iter().copied()).collect();
            let Ok(response) = self.bench.response(&faults, &self.probes) else {
                break;
            };
            // Nor a spread that can be inverted.
            let Ok((own, its_joint)) = self.sensitivities(&faults, &response) else {
                break;
            };
            mode = next;
            joint = Arc::new(its_joint);
            sensitivities = Arc::new(own);
            screening.add(next, response);
            profile = self.profile((&screening.logs, &screening.responses), sizes, &joint);
            if profile.most() < unless_below {
                break;
            }
            if !all_sizes {
                all_sizes = true;
                self.screen_along(&mut screening, beside, hypothesis, &sizes.log_sizes(NODES))?;
                profile = self.profile((&screening.logs, &screening.responses), sizes, &joint);
            }
        }
        let fit = (profile, (joint, sensitivities));
        Ok(self.fitted((hypothesis, sizes), beside, &screening, fit))
    }

    /// The view at a size, from those on either side.
    pub(crate) fn between(&self, (logs, responses): (&[f64], &[Response]), at: f64) -> Response {
        let along = |of: fn(&Response) -> &Vec<f64>| {
            let values: Vec<Vec<f64>> = responses
                .iter()
                .map(|response| of(response).clone())
                .collect();
            let nodes = Nodes {
                sizes: logs,
                predicted: &values,
            };
            interpolated(&nodes, at)
        };
        Response {
            volts: along(|response| &response.volts),
            ohms: along(|response| &response.ohms),
            electrode_ohms_risen: responses
                .iter()
                .any(|response| response.electrode_ohms_risen),
        }
    }

    pub(crate) fn all_predicted(&self, responses: &[Response]) -> Vec<Vec<f64>> {
        responses
            .iter()
            .map(|response| self.predicted(response))
            .collect()
    }

    pub(crate) fn profile(
        &self,
        (logs, responses): (&[f64], &[Response]),
        sizes: &Sizes,
        joint: &Joint,
    ) -> Profile {
        let predicted = self.all_predicted(responses);
        let nodes = Nodes {
            sizes: logs,
            predicted: &predicted,
        };
        Profile::new(&nodes, |log| sizes.log_density(log), joint, &self.shown)
    }

    pub(crate) fn chi_squared(&self, joint: &Joint, predicted: &[f64]) -> (f64, usize) {
        let residuals = joint.residuals(&self.shown, predicted);
        (joint.chi_squared(&residuals), residuals.len())
    }

    /// Variance in V² that the laws of tubes and semiconductors leave open at each reading: they were
    /// fitted to parts at work, and say less of one that a fault has driven out of its usual state.
    fn laws(&self, response: &Response) -> Vec<f64> {
        let moved = response.volts.iter().zip(&self.in_order.response.volts);
        moved
            .map(|(now, then)| (self.law_error * (now - then)).powi(2))
            .collect()
    }

    /// Predicted volts of each reading.
    pub(crate) fn predicted(&self, response: &Response) -> Vec<f64> {
        let lacking = self.bench.lacking(&self.probes, response);
        let both = response.volts.iter().zip(lacking);
        both.map(|(volts, lacking)| volts + lacking).collect()
    }
}
