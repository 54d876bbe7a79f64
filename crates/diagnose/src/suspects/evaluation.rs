//! What hypotheses are evaluated against, and the evaluation of faults of given sizes.
//!
//! The bench, what the manual adds and what was shown come in; the likelihood and the predictions go
//! out. Weights before the readings are not known here.

use std::sync::Arc;

use circuit::ManualEntry;
use reconcile::ReconcileError;

use crate::suspects::amperes::WithAmmeters;
use crate::suspects::bench_model::{BenchModel, Probe, Response, SensitivityMatrix, SizedFault};
use crate::suspects::device_laws::DeviceLaws;
use crate::suspects::fault_size::Size;
use crate::suspects::joined_points::{grids_and_cathodes, SharedErrors};
use crate::suspects::likelihood::{Joint, LawErrors, Shown};
use crate::suspects::misreading::Misreading;
use crate::suspects::reading::{ReadingUsed, Readings, Unused, WhyUnused};

/// Predictions closer than this many standard deviations, taken together, are alike: readings of
/// the one speak for it against the other by a factor of `√e`, 1.6, as a rule.
pub(crate) const ALIKE: f64 = 1.0;

/// Likelihoods closer than this factor's logarithm are alike: R. E. Kass and A. E. Raftery, Bayes Factors (1995), call
/// `2 ln B` below 2 *not worth more than a bare mention* (from memory).
pub(crate) const ALIKE_LOG: f64 = 1.0;

/// A reading further off than this many standard deviations is not explained.
pub(crate) const UNEXPLAINED: f64 = 2.0;

/// Everything that hypotheses are tried against.
pub(crate) struct Evaluator<'a> {
    pub(crate) bench: BenchModel<'a>,
    pub(crate) probes: Vec<Probe>,
    pub(crate) shown: Shown,
    /// For each reading the first one of its point.
    pub(crate) points: Vec<usize>,
    /// Readings of grids and of their cathodes.
    pub(crate) grids_and_cathodes: Vec<[usize; 2]>,
    /// Indices of the used readings into [`circuit::Job::readings`].
    pub(crate) readings: Vec<usize>,
    pub(crate) in_order: InOrder,
    pub(crate) laws: DeviceLaws,
}

/// The set in order, as the readings see it.
pub(crate) struct InOrder {
    pub(crate) response: Response,
    pub(crate) sensitivities: Arc<SensitivityMatrix>,
    pub(crate) joint: Arc<Joint>,
    /// Predicted volts of each reading.
    pub(crate) predicted: Vec<f64>,
    /// Logarithm of the likelihood of what was shown.
    pub(crate) log_likelihood: f64,
    /// How well each reading is known, in volts: its standard deviation, or that of its difference from another
    /// reading of the same place, such as one after a tube was swapped, where that is less.
    pub(crate) known_to: Vec<f64>,
}

/// How the readings scatter about their predictions, and how they follow the numbers.
#[derive(Clone)]
pub(crate) struct Spread {
    pub(crate) joint: Arc<Joint>,
    pub(crate) sensitivities: Arc<SensitivityMatrix>,
}

impl InOrder {
    pub(crate) fn spread(&self) -> Spread {
        Spread {
            joint: Arc::clone(&self.joint),
            sensitivities: Arc::clone(&self.sensitivities),
        }
    }
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

impl Evaluated {
    /// Another spread from here on, and the one until now; the likelihood stays.
    pub(crate) fn scatter_as(&mut self, spread: Spread) -> Spread {
        Spread {
            joint: std::mem::replace(&mut self.joint, spread.joint),
            sensitivities: std::mem::replace(&mut self.sensitivities, spread.sensitivities),
        }
    }
}

impl<'a> Evaluator<'a> {
    /// The bench, and the set in order as the readings see it; readings of points that no current
    /// reaches leave those that count.
    ///
    /// # Errors
    /// [`ReconcileError`] if the circuit in order has no trustworthy solution, or the covariance of its
    /// readings cannot be inverted.
    pub(crate) fn new(
        made: &'a WithAmmeters,
        read: &mut Readings,
        manual: &[ManualEntry],
    ) -> Result<Self, ReconcileError> {
        let bench = BenchModel::new(&made.second, &made.drawn, read, manual)?;
        // A point that no current reaches has no voltage to compare.
        let floating = |used: &ReadingUsed| bench.floats(used.state, used.port);
        let (gone, used) = std::mem::take(&mut read.used)
            .into_iter()
            .partition(floating);
        read.used = used;
        read.unused
            .extend(gone.into_iter().map(|used: ReadingUsed| Unused {
                reading: used.reading,
                why: WhyUnused::Floating,
            }));
        let probes: Vec<Probe> = read.used.iter().map(Probe::of).collect();
        let (response, sensitivities) = bench.sensitivities(&[], &probes)?;
        let shown = Shown {
            volts: (read
                .used
                .iter()
                .map(|used| Some(used.shown? * used.volts_per_unit())))
            .collect(),
            full_scale: (read.used.iter())
                .map(|used| used.range.full_scale * used.volts_per_unit())
                .collect(),
            noise: (read.used.iter())
                .map(|used| used.noise * used.volts_per_unit().powi(2))
                .collect(),
        };
        let joint = Joint::new(&sensitivities, &bench.known, &shown)?;
        let known_to = (0..probes.len()).map(|place| {
            let others = (0..probes.len()).filter(|other| *other != place);
            let twins = others.filter(|other| probes[*other].port == probes[place].port);
            let differences = twins.map(|twin| joint.difference_sigma(place, twin, &shown));
            differences.fold(joint.sigma[place], f64::min)
        });
        let in_order = predicted(&bench, &probes, &response);
        Ok(Evaluator {
            in_order: InOrder {
                known_to: known_to.collect(),
                log_likelihood: joint.log_likelihood(&shown, &in_order),
                predicted: in_order,
                joint: Arc::new(joint),
                sensitivities: Arc::new(sensitivities),
                response,
            },
            points: points(&probes),
            laws: DeviceLaws::of(bench.circuit),
            grids_and_cathodes: grids_and_cathodes(bench.circuit, &probes),
            bench,
            probes,
            shown,
            readings: read.used.iter().map(|used| used.reading).collect(),
        })
    }
}

/// For each probe the first one at its point.
fn points(probes: &[Probe]) -> Vec<usize> {
    let first = |probe: &Probe| {
        let mut all = probes.iter();
        all.position(|other| probe.sign_beside(other).is_some())
    };
    let each = probes.iter().enumerate();
    each.map(|(place, probe)| first(probe).unwrap_or(place))
        .collect()
}

impl Evaluator<'_> {
    /// Tries faults of given sizes.
    ///
    /// # Errors
    /// [`ReconcileError`] if the faulty circuit has no operating point, or its spread cannot be inverted.
    pub(crate) fn of_one_size(&self, faults: &[SizedFault]) -> Result<Evaluated, ReconcileError> {
        let response = self.bench.response(faults, &self.probes)?;
        self.evaluated_from(faults, &response)
    }

    /// The same where it is known what they show.
    pub(crate) fn evaluated_from(
        &self,
        faults: &[SizedFault],
        response: &Response,
    ) -> Result<Evaluated, ReconcileError> {
        let (sensitivities, joint) = self.sensitivities(faults, response)?;
        let predicted = self.predicted(response);
        let spread = Spread {
            joint: Arc::new(joint),
            sensitivities: Arc::new(sensitivities),
        };
        let mut evaluated = self.evaluated(faults, predicted, spread);
        // As sizes that the readings cannot see have it. A large set has thousands of such faults, and a matrix for
        // each would take gigabytes.
        if evaluated.hides {
            evaluated.scatter_as(self.in_order.spread());
        }
        Ok(evaluated)
    }

    /// How the readings follow the numbers with these faults, and their spread. Readings that the
    /// faults leave near to where they were in order follow them as there.
    ///
    /// # Errors
    /// [`ReconcileError`] if the faulty circuit has no operating point, or the spread cannot be
    /// inverted.
    pub(crate) fn sensitivities(
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
        let own = self.laws.at(&self.probes, response, &order.response);
        let shared = SharedErrors::of(self, faults, &response.volts, own);
        let laws = LawErrors {
            volts: &shared.volts,
            points: &shared.points,
        };
        let joint = order.joint.changed(before, changed, laws, &self.shown)?;
        Ok((sensitivities, joint))
    }

    pub(crate) fn evaluated(
        &self,
        faults: &[SizedFault],
        predicted: Vec<f64>,
        spread: Spread,
    ) -> Evaluated {
        let Spread {
            joint,
            sensitivities,
        } = spread;
        let log_likelihood = joint.log_likelihood(&self.shown, &predicted);
        let hides = faults.len() == 1 && self.hides(&predicted, log_likelihood);
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

    pub(crate) fn all_predicted(&self, responses: &[Response]) -> Vec<Vec<f64>> {
        responses
            .iter()
            .map(|response| self.predicted(response))
            .collect()
    }

    pub(crate) fn chi_squared(&self, joint: &Joint, predicted: &[f64]) -> (f64, usize) {
        let residuals = joint.residuals(&self.shown, predicted);
        (joint.chi_squared(&residuals), residuals.len())
    }

    /// Predicted volts of each reading.
    pub(crate) fn predicted(&self, response: &Response) -> Vec<f64> {
        predicted(&self.bench, &self.probes, response)
    }
}

/// Predicted volts of each probe, by what the circuit shows and what the manual adds.
fn predicted(bench: &BenchModel<'_>, probes: &[Probe], response: &Response) -> Vec<f64> {
    let lacking = bench.lacking(probes, response);
    let both = response.volts.iter().zip(lacking);
    both.map(|(volts, lacking)| volts + lacking).collect()
}
