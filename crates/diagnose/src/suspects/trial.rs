//! One fault tried against the readings, along its size where it has one.
//!
//! A screened fault comes in; its likelihood, its predictions and its likeliest size go out. The
//! sizes at which the readings cannot tell a fault from a set in order are one outcome, those at which
//! they can another.

use std::sync::Arc;

use reconcile::ReconcileError;

use crate::suspects::bench_model::SizedFault;
use crate::suspects::course::Nodes;
use crate::suspects::evaluation::{Evaluated, Evaluator, Spread};
use crate::suspects::fault_size::{Size, Sizes};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::Joint;
use crate::suspects::screening::Screening;
use crate::suspects::size::Profile;

/// Sizes with less than this share of a fault's weight are left out.
const LEAST_SHARE: f64 = 1e-6;

/// Sizes at which the circuit is solved to begin with.
const NODES: usize = 13;

/// How often the spread is taken anew at the most likely size.
const ROUNDS: usize = 3;

/// Sizes added at most where those do not show the course, see [`Profile::wanted`].
const MORE_NODES: usize = 8;

/// A change of the most likely size by less than this share leaves the spread as it is.
const SAME_SIZE: f64 = 0.1;

/// How far an evaluation goes after screening.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Effort {
    /// No further: the fault is hopeless.
    ScreeningOnly,
    /// With a spread of its own, and to the end unless its likelihood then lies below this, in its
    /// logarithm.
    InFull { unless_below: f64 },
}

impl Evaluator<'_> {
    /// Evaluates one fault, or none, after screening; in full if that is worth its time.
    ///
    /// # Errors
    /// [`ReconcileError`] if the faulty circuit has no operating point at enough sizes, or its
    /// spread cannot be inverted.
    pub(crate) fn single(
        &self,
        hypothesis: Hypothesis,
        sizes: Option<Sizes>,
        screening: Screening,
        effort: Effort,
    ) -> Result<Evaluated, ReconcileError> {
        match (sizes, effort) {
            (Some(sizes), Effort::InFull { unless_below }) => {
                self.along((hypothesis, &sizes), &[], screening, unless_below)
            }
            (Some(sizes), Effort::ScreeningOnly) => {
                let order = &self.in_order;
                let profile = self.profile(&screening, &sizes, &order.joint);
                let own = (hypothesis, &sizes);
                Ok(self.fitted(own, &[], &screening, profile, order.spread()))
            }
            (None, Effort::InFull { .. })
                if !self
                    .in_order
                    .is_near(&screening.responses[0], &screening.fault_resistance) =>
            {
                self.evaluated_from(&[(hypothesis, 1.0)], &screening.responses[0])
            }
            (None, _) => {
                let predicted = self.predicted(&screening.responses[0]);
                let spread = self.in_order.spread();
                Ok(self.evaluated(&[(hypothesis, 1.0)], predicted, spread))
            }
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
        let screening = Screening::default();
        self.along((hypothesis, sizes), &[beside], screening, f64::NEG_INFINITY)
    }

    fn along(
        &self,
        (hypothesis, sizes): (Hypothesis, &Sizes),
        beside: &[SizedFault],
        mut screening: Screening,
        unless_below: f64,
    ) -> Result<Evaluated, ReconcileError> {
        let mut all_sizes = screening.logs.is_empty();
        if all_sizes {
            self.screen_along(&mut screening, beside, hypothesis, &sizes.log_sizes(NODES))?;
        }
        let order = &self.in_order;
        let mut spread = order.spread();
        let mut mode = f64::NAN;
        let mut profile = self.profile(&screening, sizes, &spread.joint);
        if profile.wanted().is_some() {
            all_sizes = true;
            profile =
                self.seen_closer((hypothesis, sizes), beside, &mut screening, &spread.joint)?;
        }
        for _ in 0..ROUNDS {
            let next = profile.mode();
            if (next - mode).abs() < SAME_SIZE {
                break;
            }
            let there = screening.between(next);
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
            let Ok((sensitivities, joint)) = self.sensitivities(&faults, &response) else {
                break;
            };
            mode = next;
            spread = Spread {
                joint: Arc::new(joint),
                sensitivities: Arc::new(sensitivities),
            };
            screening.add(next, response);
            profile = self.profile(&screening, sizes, &spread.joint);
            if profile.at_most() < unless_below {
                break;
            }
            if !all_sizes || profile.wanted().is_some() {
                all_sizes = true;
                profile =
                    self.seen_closer((hypothesis, sizes), beside, &mut screening, &spread.joint)?;
            }
        }
        let own = (hypothesis, sizes);
        Ok(self.fitted(own, beside, &screening, profile, spread))
    }

    /// The profile over all sizes, and over more where those do not show the course.
    fn seen_closer(
        &self,
        (hypothesis, sizes): (Hypothesis, &Sizes),
        beside: &[SizedFault],
        screening: &mut Screening,
        joint: &Joint,
    ) -> Result<Profile, ReconcileError> {
        self.screen_along(screening, beside, hypothesis, &sizes.log_sizes(NODES))?;
        let mut profile = self.profile(screening, sizes, joint);
        for _ in 0..MORE_NODES {
            let known = screening.logs.len();
            if let Some(log) = profile.wanted() {
                self.screen_along(screening, beside, hypothesis, &[log])?;
            }
            if screening.logs.len() == known {
                break;
            }
            profile = self.profile(screening, sizes, joint);
        }
        Ok(profile)
    }

    fn profile(&self, screening: &Screening, sizes: &Sizes, joint: &Joint) -> Profile {
        let predicted = self.all_predicted(&screening.responses);
        let nodes = Nodes {
            sizes: &screening.logs,
            predicted: &predicted,
        };
        Profile::new(&nodes, |log| sizes.log_density(log), joint, &self.shown)
    }

    /// The outcome at the most likely size: that of the sizes which the readings tell from a set in
    /// order, with that of the others beside it.
    fn fitted(
        &self,
        own: (Hypothesis, &Sizes),
        beside: &[SizedFault],
        screening: &Screening,
        profile: Profile,
        spread: Spread,
    ) -> Evaluated {
        if !beside.is_empty() {
            return self.fitted_once(own, beside, screening, profile, spread);
        }
        let order = &self.in_order;
        let predicted = self.all_predicted(&screening.responses);
        let nodes = Nodes {
            sizes: &screening.logs,
            predicted: &predicted,
        };
        let unseen = |profile: &Profile| -> Vec<bool> {
            let apart = profile.apart(&nodes, &order.predicted, &order.joint);
            let both = apart.into_iter().zip(profile.log_likelihoods());
            both.map(|(apart, log)| self.is_unseen(apart, *log))
                .collect()
        };
        let hidden = unseen(&profile);
        let seen: Vec<bool> = hidden.iter().map(|hidden| !hidden).collect();
        // Sizes that the readings cannot see have the spread of a set in order.
        let unmoved = Arc::ptr_eq(&spread.joint, &order.joint);
        let at_rest = match unmoved {
            true => profile.clone(),
            false => self.profile(screening, own.1, &order.joint),
        };
        let part = |profile: &Profile, kept: &[bool], spread: Spread| {
            let (profile, share) = profile.only(kept);
            if share.is_nan() || share <= LEAST_SHARE {
                return None;
            }
            let mut evaluated = self.fitted_once(own, &[], screening, profile, spread);
            evaluated.log_likelihood -= share.ln();
            evaluated.share = share;
            Some(evaluated)
        };
        // Both profiles are divided where they have points.
        let hides = match unmoved {
            true => hidden,
            false => unseen(&at_rest),
        };
        let hidden = part(&at_rest, &hides, order.spread()).map(|hidden| Evaluated {
            hides: true,
            ..hidden
        });
        match (part(&profile, &seen, spread.clone()), hidden) {
            (Some(mut seen), Some(hidden)) => {
                seen.share = 1.0 - hidden.share;
                seen.hidden = Some(Box::new(hidden));
                seen
            }
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => self.fitted_once(own, &[], screening, profile, spread),
        }
    }

    fn fitted_once(
        &self,
        (hypothesis, sizes): (Hypothesis, &Sizes),
        beside: &[SizedFault],
        screening: &Screening,
        profile: Profile,
        spread: Spread,
    ) -> Evaluated {
        let mode = profile.mode();
        let [low, high] = profile.quantiles([0.16, 0.84]);
        let predicted = self.predicted(&screening.between(mode));
        let size = Size {
            from: sizes.from,
            to: mode.exp(),
            low: low.exp(),
            high: high.exp(),
            unit: sizes.unit,
        };
        // What a lost connection drifts to is no size that a repairer would look for.
        let told = !hypothesis.breaks();
        let own = (hypothesis, mode.exp());
        Evaluated {
            faults: std::iter::once(own).chain(beside.iter().copied()).collect(),
            sizes: std::iter::once(told.then_some(size))
                .chain(beside.iter().map(|_| None))
                .collect(),
            log_size_sigma: 0.5 * (high - low),
            log_likelihood: profile.log_evidence(),
            log_likelihood_at_mode: profile.most(),
            chi_squared: self.chi_squared(&spread.joint, &predicted),
            misread: None,
            share: 1.0,
            hidden: None,
            hides: false,
            predicted,
            joint: spread.joint,
            sensitivities: spread.sensitivities,
        }
    }
}
