//! The outcome of a trial along a size, and which of its sizes the readings cannot see.
//!
//! A likelihood along the size comes in. The sizes at which the readings cannot tell the fault from a
//! set in order are one outcome, those at which they can another.

use std::sync::Arc;

use nalgebra::DVector;

use crate::suspects::bench_model::{SensitivityMatrix, SizedFault};
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::fault::{Size, Sizes};
use crate::suspects::group::ALIKE;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::Joint;
use crate::suspects::screening::Screening;
use crate::suspects::size::{Nodes, Profile};

/// Sizes with less than this share of a fault's weight are left out.
const LEAST_SHARE: f64 = 1e-6;

impl Evaluator<'_> {
    /// The outcome at the most likely size: that of the sizes which the readings tell from a set in
    /// order, with that of the others beside it.
    pub(crate) fn fitted(
        &self,
        own: (Hypothesis, &Sizes),
        beside: &[SizedFault],
        screening: &Screening,
        (profile, sensitivities): (Profile, (Arc<Joint>, Arc<SensitivityMatrix>)),
    ) -> Evaluated {
        if !beside.is_empty() {
            return self.fitted_once(own, beside, screening, (profile, sensitivities));
        }
        let order = &self.in_order;
        let predicted = self.all_predicted(&screening.responses);
        let nodes = Nodes {
            sizes: &screening.logs,
            predicted: &predicted,
        };
        let apart = profile.apart(&nodes, &self.predicted(&order.response), &order.joint);
        let hidden: Vec<bool> = apart.iter().map(|apart| *apart <= ALIKE * ALIKE).collect();
        let seen: Vec<bool> = hidden.iter().map(|hidden| !hidden).collect();
        // Sizes that the readings cannot see have the spread of a set in order.
        let as_in_order = (Arc::clone(&order.joint), Arc::clone(&order.sensitivities));
        let at_rest = match Arc::ptr_eq(&sensitivities.0, &order.joint) {
            true => profile.clone(),
            false => self.profile((&screening.logs, &screening.responses), own.1, &order.joint),
        };
        let part = |profile: &Profile,
                    kept: &[bool],
                    sensitivities: (Arc<Joint>, Arc<SensitivityMatrix>)| {
            let (profile, share) = profile.only(kept);
            if share.is_nan() || share <= LEAST_SHARE {
                return None;
            }
            let mut evaluated = self.fitted_once(own, &[], screening, (profile, sensitivities));
            evaluated.log_likelihood -= share.ln();
            evaluated.share = share;
            Some(evaluated)
        };
        // Both profiles are divided where they have points.
        let hides = match Arc::ptr_eq(&sensitivities.0, &order.joint) {
            true => hidden.clone(),
            false => {
                let apart = at_rest.apart(&nodes, &self.predicted(&order.response), &order.joint);
                apart.iter().map(|apart| *apart <= ALIKE * ALIKE).collect()
            }
        };
        let hidden = part(&at_rest, &hides, as_in_order).map(|hidden| Evaluated {
            hides: true,
            ..hidden
        });
        match (part(&profile, &seen, sensitivities.clone()), hidden) {
            (Some(mut seen), Some(hidden)) => {
                seen.share = 1.0 - hidden.share;
                seen.hidden = Some(Box::new(hidden));
                seen
            }
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => self.fitted_once(own, &[], screening, (profile, sensitivities)),
        }
    }

    fn fitted_once(
        &self,
        (hypothesis, sizes): (Hypothesis, &Sizes),
        beside: &[SizedFault],
        screening: &Screening,
        (profile, (joint, sensitivities)): (Profile, (Arc<Joint>, Arc<SensitivityMatrix>)),
    ) -> Evaluated {
        let mode = profile.mode();
        let [low, high] = profile.quantiles([0.16, 0.84]);
        let predicted =
            self.predicted(&self.between((&screening.logs, &screening.responses), mode));
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
            chi_squared: self.chi_squared(&joint, &predicted),
            misread: None,
            share: 1.0,
            hidden: None,
            hides: false,
            predicted,
            joint,
            sensitivities,
        }
    }

    /// Whether the readings cannot tell these predictions from those of a set in order, in its spread.
    pub(crate) fn hides(&self, predicted: &[f64]) -> bool {
        let order = &self.in_order;
        let both = predicted.iter().zip(self.predicted(&order.response));
        let differences: Vec<f64> = both.map(|(now, then)| now - then).collect();
        let each = differences.iter().zip(&order.joint.sigma);
        let mut each = each.map(|(difference, sigma)| difference.abs() / sigma);
        if each.any(|off| off > ALIKE) {
            return false;
        }
        let valued = order.joint.valued.iter().map(|place| differences[*place]);
        let valued = DVector::from_iterator(order.joint.valued.len(), valued);
        order.joint.chi_squared(&valued) <= ALIKE * ALIKE
    }
}
