//! One hypothesis tried against the readings.
//!
//! The bench, what the manual adds and what was shown come in; the likelihood, the predictions
//! and, for a fault with a size, its size go out. Weights before the readings are not known here.

use crate::error::DiagnoseError;
use crate::suspects::anchoring::Anchoring;
use crate::suspects::fault::{Fault, Hypothesis, Size, Sizes};
use crate::suspects::likelihood::{Joint, Shown};
use crate::suspects::misread::Misreading;
use crate::suspects::size::{interpolated, Nodes, Profile};
use crate::suspects::view::{Bench, Look, Sized, Spread, View};

/// Sizes at which the circuit is solved to begin with.
const NODES: usize = 9;

/// How often the spread is taken anew at the most likely size.
const ROUNDS: usize = 3;

/// A change of the most likely size by less than this share leaves the spread as it is.
const SAME_SIZE: f64 = 0.1;

/// Everything that hypotheses are tried against.
pub(crate) struct Trials<'a> {
    pub(crate) bench: Bench<'a>,
    pub(crate) looks: Vec<Look>,
    pub(crate) shown: Shown,
    pub(crate) anchoring: Anchoring,
    /// The spread of the circuit in order.
    pub(crate) in_order: (View, Spread),
}

/// A hypothesis after its trial.
#[derive(Clone, Debug)]
pub(crate) struct Tried {
    /// Faults and their most likely sizes.
    pub(crate) faults: Vec<Sized>,
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
    pub(crate) joint: Joint,
    pub(crate) spread: Spread,
    /// `rᵀS⁻¹r`, and the number of readings in it.
    pub(crate) chi_squared: (f64, usize),
    /// For a wrong reading: the likeliest way it went wrong.
    pub(crate) misread: Option<Misreading>,
}

impl Trials<'_> {
    /// Tries one fault, or none.
    ///
    /// # Errors
    /// [`DiagnoseError`] if the faulty circuit has no operating point at enough sizes, or its
    /// spread cannot be inverted.
    pub(crate) fn single(
        &self,
        hypothesis: Hypothesis,
        sizes: Option<Sizes>,
    ) -> Result<Tried, DiagnoseError> {
        match sizes {
            None => self.of_one_size(&[(hypothesis, 1.0)]),
            Some(sizes) => self.of_many_sizes(hypothesis, &sizes, None),
        }
    }

    /// Tries faults of given sizes.
    ///
    /// # Errors
    /// As [`Trials::single`].
    pub(crate) fn of_one_size(&self, faults: &[Sized]) -> Result<Tried, DiagnoseError> {
        let (view, spread) = self.bench.spread(faults, &self.looks)?;
        let predicted = self.predicted(&view, &self.shift(&view, &spread));
        let joint = Joint::new(&spread, &self.shown)?;
        let log_likelihood = joint.log_likelihood(&self.shown, &predicted);
        Ok(Tried {
            faults: faults.to_vec(),
            sizes: vec![None; faults.len()],
            log_size_sigma: 0.0,
            log_likelihood,
            log_likelihood_at_mode: log_likelihood,
            chi_squared: self.chi_squared(&joint, &predicted),
            misread: None,
            predicted,
            joint,
            spread,
        })
    }

    /// Tries a fault along its size, beside another one of a given size if there is one.
    ///
    /// # Errors
    /// As [`Trials::single`].
    pub(crate) fn of_many_sizes(
        &self,
        hypothesis: Hypothesis,
        sizes: &Sizes,
        beside: Option<Sized>,
    ) -> Result<Tried, DiagnoseError> {
        let with = |log: f64| -> Vec<Sized> {
            let own = (hypothesis, log.exp());
            std::iter::once(own).chain(beside).collect()
        };
        let mut logs = Vec::with_capacity(NODES + ROUNDS);
        let mut views = Vec::with_capacity(NODES + ROUNDS);
        let mut failed = None;
        for log in sizes.spaced(NODES) {
            match self.bench.view(&with(log), &self.looks) {
                Ok(view) => {
                    logs.push(log);
                    views.push(view);
                }
                Err(error) => failed = Some(error),
            }
        }
        // Two ends make a line; fewer leave nothing to look along.
        if let (true, Some(error)) = (logs.len() < 2, failed) {
            return Err(error.into());
        }
        let (view, spread) = &self.in_order;
        let mut shift = self.shift(view, spread);
        let mut joint = Joint::new(spread, &self.shown)?;
        let mut spread = spread.clone();
        let mut mode = f64::NAN;
        let mut profile = self.profile((&logs, &views), &shift, &joint);
        for _ in 0..ROUNDS {
            let next = profile.mode();
            if (next - mode).abs() < SAME_SIZE {
                break;
            }
            // No state at the most likely size: the spread at the one before has to do.
            let Ok((view, own)) = self.bench.spread(&with(next), &self.looks) else {
                break;
            };
            mode = next;
            shift = self.shift(&view, &own);
            joint = Joint::new(&own, &self.shown)?;
            spread = own;
            let place = logs.partition_point(|log| *log < next);
            let near = |log: &f64| (log - next).abs() < 1e-6;
            if !logs.iter().any(near) {
                logs.insert(place, next);
                views.insert(place, view);
            }
            profile = self.profile((&logs, &views), &shift, &joint);
        }
        let mode = profile.mode();
        let (low, high) = (profile.quantile(0.16), profile.quantile(0.84));
        // A glow discharge may find no rest at just this size: what its neighbours show has to do.
        let predicted = match self.bench.view(&with(mode), &self.looks) {
            Ok(view) => self.predicted(&view, &shift),
            Err(_) => self.between((&logs, &views), mode, &shift),
        };
        let size = Size {
            from: sizes.from,
            to: mode.exp(),
            low: low.exp(),
            high: high.exp(),
            unit: sizes.unit,
        };
        // What a lost connection drifts to is no size that a repairer would look for.
        let told = hypothesis.fault != Fault::ElectrodeOpen;
        Ok(Tried {
            faults: with(mode),
            sizes: std::iter::once(told.then_some(size))
                .chain(beside.map(|_| None))
                .collect(),
            log_size_sigma: 0.5 * (high - low),
            log_likelihood: profile.log_evidence(),
            log_likelihood_at_mode: profile.most(),
            chi_squared: self.chi_squared(&joint, &predicted),
            misread: None,
            predicted,
            joint,
            spread,
        })
    }

    /// Predictions at a size from those on either side.
    fn between(&self, (logs, views): (&[f64], &[View]), at: f64, shift: &[f64]) -> Vec<f64> {
        let predicted = self.all_predicted(views, shift);
        let nodes = Nodes {
            sizes: logs,
            predicted: &predicted,
        };
        interpolated(&nodes, at)
    }

    fn all_predicted(&self, views: &[View], shift: &[f64]) -> Vec<Vec<f64>> {
        let each = views.iter();
        each.map(|view| self.predicted(view, shift)).collect()
    }

    fn profile(&self, (logs, views): (&[f64], &[View]), shift: &[f64], joint: &Joint) -> Profile {
        let predicted = self.all_predicted(views, shift);
        let nodes = Nodes {
            sizes: logs,
            predicted: &predicted,
        };
        Profile::new(&nodes, joint, &self.shown)
    }

    fn chi_squared(&self, joint: &Joint, predicted: &[f64]) -> (f64, usize) {
        let residuals = joint.residuals(&self.shown, predicted);
        (joint.chi_squared(&residuals), residuals.len())
    }

    fn shift(&self, view: &View, spread: &Spread) -> Vec<f64> {
        self.anchoring.shift(view, spread)
    }

    fn predicted(&self, view: &View, shift: &[f64]) -> Vec<f64> {
        let both = view.volts.iter().zip(shift);
        both.map(|(volts, shift)| volts + shift).collect()
    }
}
