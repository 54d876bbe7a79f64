//! One hypothesis tried against the readings.
//!
//! The bench, what the manual adds and what was shown come in; the likelihood, the predictions
//! and, for a fault with a size, its size go out. Weights before the readings are not known here.

use std::sync::Arc;

use crate::suspects::fault::{Size, Sizes};
use crate::suspects::glance::Glance;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::{Joint, Shown};
use crate::suspects::misread::Misreading;
use crate::suspects::size::{interpolated, Nodes, Profile};
use crate::suspects::view::{Bench, Look, Sized, Spread, View};
use reconcile::ReconcileError;

/// Sizes at which the circuit is solved to begin with.
const NODES: usize = 13;

/// How often the spread is taken anew at the most likely size.
const ROUNDS: usize = 3;

/// A change of the most likely size by less than this share leaves the spread as it is.
const SAME_SIZE: f64 = 0.1;

/// Everything that hypotheses are tried against.
pub(crate) struct Trials<'a> {
    pub(crate) bench: Bench<'a>,
    pub(crate) looks: Vec<Look>,
    pub(crate) shown: Shown,
    /// Indices of the used readings into [`circuit::Job::readings`].
    pub(crate) readings: Vec<usize>,
    pub(crate) in_order: InOrder,
    /// Share of what a fault moves by which the laws may be off.
    pub(crate) law_error: f64,
}

/// The set in order, as the readings see it.
pub(crate) struct InOrder {
    pub(crate) view: View,
    pub(crate) spread: Arc<Spread>,
    pub(crate) joint: Arc<Joint>,
}

/// How far a trial goes after the first look.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Effort {
    /// No further: the fault is hopeless.
    FirstLook,
    /// With a spread of its own, and to the end unless its likelihood then lies below this, in its
    /// logarithm.
    InFull { unless_below: f64 },
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
    pub(crate) joint: Arc<Joint>,
    pub(crate) spread: Arc<Spread>,
    /// `rᵀS⁻¹r`, and the number of readings in it.
    pub(crate) chi_squared: (f64, usize),
    /// For a wrong reading: the likeliest way it went wrong.
    pub(crate) misread: Option<Misreading>,
    /// Share of the fault's weight that its sizes have, of those that are looked at here.
    pub(crate) share: f64,
    /// The same fault at sizes that these readings cannot tell from a set in order; the trial
    /// itself then holds the others alone.
    pub(crate) hidden: Option<Box<Tried>>,
    /// Whether the trial is of such sizes alone.
    pub(crate) hides: bool,
}

impl Trials<'_> {
    /// Tries one fault, or none, after a first look; in full if that is worth its time.
    ///
    /// # Errors
    /// [`ReconcileError`] if the faulty circuit has no operating point at enough sizes, or its
    /// spread cannot be inverted.
    pub(crate) fn single(
        &self,
        (hypothesis, sizes): (Hypothesis, Option<Sizes>),
        glance: Glance,
        effort: Effort,
    ) -> Result<Tried, ReconcileError> {
        match (sizes, effort) {
            (Some(sizes), Effort::InFull { unless_below }) => {
                self.along((hypothesis, &sizes), &[], (glance, unless_below))
            }
            (Some(sizes), Effort::FirstLook) => {
                let order = &self.in_order;
                let spread = (Arc::clone(&order.joint), Arc::clone(&order.spread));
                let along = (glance.logs.as_slice(), glance.views.as_slice());
                let profile = self.profile(along, &sizes, &order.joint);
                Ok(self.fitted((hypothesis, &sizes), &[], &glance, (profile, spread)))
            }
            (None, Effort::InFull { .. })
                if !self.in_order.is_near(&glance.views[0], &glance.stand_in) =>
            {
                self.seen_as(&[(hypothesis, 1.0)], &glance.views[0])
            }
            (None, _) => {
                let order = &self.in_order;
                let predicted = self.predicted(&glance.views[0]);
                let spread = (Arc::clone(&order.joint), Arc::clone(&order.spread));
                Ok(self.tried(&[(hypothesis, 1.0)], predicted, spread))
            }
        }
    }

    /// Tries faults of given sizes.
    ///
    /// # Errors
    /// As [`Trials::single`].
    pub(crate) fn of_one_size(&self, faults: &[Sized]) -> Result<Tried, ReconcileError> {
        let view = self.bench.view(faults, &self.looks)?;
        self.seen_as(faults, &view)
    }

    /// The same where it is known what they show.
    fn seen_as(&self, faults: &[Sized], view: &View) -> Result<Tried, ReconcileError> {
        let (spread, joint) = self.spread(faults, view)?;
        let predicted = self.predicted(view);
        Ok(self.tried(faults, predicted, (Arc::new(joint), Arc::new(spread))))
    }

    /// How the readings follow the numbers with these faults, and their spread. Readings that the
    /// faults leave near to where they were in order follow them as there.
    ///
    /// # Errors
    /// [`ReconcileError`] if the faulty circuit has no operating point, or the spread cannot be
    /// inverted.
    fn spread(&self, faults: &[Sized], view: &View) -> Result<(Spread, Joint), ReconcileError> {
        let order = &self.in_order;
        let stand_ins = self.bench.stand_ins(faults, &self.looks, view);
        let rows: Vec<usize> = (0..self.looks.len())
            .filter(|place| !order.is_near_at(view, *place, stand_ins.row(*place).amax()))
            .collect();
        let looks: Vec<Look> = rows.iter().map(|row| self.looks[*row]).collect();
        let (_, own) = self.bench.spread(faults, &looks)?;
        let gone = self.bench.settled_columns(faults);
        let mut spread = Spread::clone(&order.spread);
        for column in &gone {
            spread.column_mut(*column).fill(0.0);
        }
        for (place, row) in rows.iter().enumerate() {
            spread.set_row(*row, &own.row(place));
        }
        self.bench.with_stand_ins(&mut spread, &stand_ins);
        let changed = (&spread, rows.as_slice(), gone.as_slice());
        let before = (&*order.spread, &self.bench.known);
        let laws = self.laws(view);
        let joint = order.joint.changed(before, changed, &laws, &self.shown)?;
        Ok((spread, joint))
    }

    fn tried(
        &self,
        faults: &[Sized],
        predicted: Vec<f64>,
        (joint, spread): (Arc<Joint>, Arc<Spread>),
    ) -> Tried {
        let log_likelihood = joint.log_likelihood(&self.shown, &predicted);
        let hides = faults.len() == 1 && self.hides(&predicted);
        Tried {
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
            spread,
        }
    }

    /// Tries a fault along its size, beside another one of a given size.
    ///
    /// # Errors
    /// As [`Trials::single`].
    pub(crate) fn of_many_sizes(
        &self,
        hypothesis: Hypothesis,
        sizes: &Sizes,
        beside: Sized,
    ) -> Result<Tried, ReconcileError> {
        let glance = (Glance::default(), f64::NEG_INFINITY);
        self.along((hypothesis, sizes), &[beside], glance)
    }

    fn along(
        &self,
        (hypothesis, sizes): (Hypothesis, &Sizes),
        beside: &[Sized],
        (mut glance, unless_below): (Glance, f64),
    ) -> Result<Tried, ReconcileError> {
        let mut all_sizes = glance.logs.is_empty();
        if all_sizes {
            self.look_along(&mut glance, beside, hypothesis, &sizes.looks(NODES))?;
        }
        let order = &self.in_order;
        let mut joint = Arc::clone(&order.joint);
        let mut spread = Arc::clone(&order.spread);
        let mut mode = f64::NAN;
        let mut profile = self.profile((&glance.logs, &glance.views), sizes, &joint);
        for _ in 0..ROUNDS {
            let next = profile.mode();
            if (next - mode).abs() < SAME_SIZE {
                break;
            }
            let there = self.between((&glance.logs, &glance.views), next);
            let near = order.is_near(&there, &[]);
            if mode.is_nan() && beside.is_empty() && near {
                break;
            }
            // No state at the most likely size: the spread at the one before has to do.
            let own = (hypothesis, next.exp());
            let faults: Vec<Sized> = std::iter::once(own).chain(beside.iter().copied()).collect();
            let Ok(view) = self.bench.view(&faults, &self.looks) else {
                break;
            };
            // Nor a spread that can be inverted.
            let Ok((own, its_joint)) = self.spread(&faults, &view) else {
                break;
            };
            mode = next;
            joint = Arc::new(its_joint);
            spread = Arc::new(own);
            glance.add(next, view);
            profile = self.profile((&glance.logs, &glance.views), sizes, &joint);
            if profile.most() < unless_below {
                break;
            }
            if !all_sizes {
                all_sizes = true;
                self.look_along(&mut glance, beside, hypothesis, &sizes.looks(NODES))?;
                profile = self.profile((&glance.logs, &glance.views), sizes, &joint);
            }
        }
        let fit = (profile, (joint, spread));
        Ok(self.fitted((hypothesis, sizes), beside, &glance, fit))
    }

    /// The view at a size, from those on either side.
    pub(crate) fn between(&self, (logs, views): (&[f64], &[View]), at: f64) -> View {
        let along = |of: fn(&View) -> &Vec<f64>| {
            let values: Vec<Vec<f64>> = views.iter().map(|view| of(view).clone()).collect();
            let nodes = Nodes {
                sizes: logs,
                predicted: &values,
            };
            interpolated(&nodes, at)
        };
        View {
            volts: along(|view| &view.volts),
            ohms: along(|view| &view.ohms),
            loose: views.iter().any(|view| view.loose),
        }
    }

    pub(crate) fn all_predicted(&self, views: &[View]) -> Vec<Vec<f64>> {
        views.iter().map(|view| self.predicted(view)).collect()
    }

    pub(crate) fn profile(
        &self,
        (logs, views): (&[f64], &[View]),
        sizes: &Sizes,
        joint: &Joint,
    ) -> Profile {
        let predicted = self.all_predicted(views);
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
    fn laws(&self, view: &View) -> Vec<f64> {
        let moved = view.volts.iter().zip(&self.in_order.view.volts);
        moved
            .map(|(now, then)| (self.law_error * (now - then)).powi(2))
            .collect()
    }

    /// Predicted volts of each reading.
    pub(crate) fn predicted(&self, view: &View) -> Vec<f64> {
        let lacking = self.bench.lacking(&self.looks, view);
        let both = view.volts.iter().zip(lacking);
        both.map(|(volts, lacking)| volts + lacking).collect()
    }
}
