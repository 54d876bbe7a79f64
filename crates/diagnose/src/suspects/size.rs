//! The size of a fault that may have many: how likely the readings are along it, the most likely
//! size, and the whole, integrated.
//!
//! Predictions at a few sizes come in, interpolated between them (`course`); since that is linear in the
//! predictions, the misfit along the size needs only the table of products of the few residuals. The prior is a
//! density over the logarithm, so a fault that has to be tuned finely pays for it: `L = ∫ L(s) p(ln s) d ln s`.

use nalgebra::{DMatrix, DVector};

use crate::suspects::course::{bends, cubic, interpolated, quadratic, Nodes};
use crate::suspects::likelihood::{log_sum, Joint, Shown};

/// Points of the first, even division.
const FIRST: usize = 97;

/// Divisions of an interval that matters, and how often that is done.
const FINER: usize = 4;
const ROUNDS: usize = 4;

/// An interval matters if an end is within this of the best in logarithm, and it is divided if it
/// rises or falls by more than [`STEEP`] or touches the best point.
const MATTERS: f64 = 15.0;
const STEEP: f64 = 0.5;

/// Likelihood along the size.
#[derive(Clone, Debug)]
pub(crate) struct Profile {
    /// Where one more node would tell more, and the logarithm of the likelihood on a straight line there.
    bends: Vec<(f64, f64)>,
    /// Logarithms of sizes, rising.
    sizes: Vec<f64>,
    /// Logarithm of the likelihood at each.
    log_likelihoods: Vec<f64>,
    /// Logarithm of the likelihood times the density of sizes at each.
    weighed: Vec<f64>,
}

impl Profile {
    /// The likelihood of what was shown along the nodes.
    pub(crate) fn new(
        nodes: &Nodes<'_>,
        density: impl Fn(f64) -> f64,
        joint: &Joint,
        shown: &Shown,
    ) -> Self {
        let count = nodes.sizes.len();
        let residuals: Vec<_> = nodes
            .predicted
            .iter()
            .map(|predicted| joint.residuals(shown, predicted))
            .collect();
        let weighted: Vec<_> = residuals
            .iter()
            .map(|left| &joint.covariance.inverse * left)
            .collect();
        let products = DMatrix::from_fn(count, count, |i, j| residuals[i].dot(&weighted[j]));
        let height = joint.log_height();
        let overranges = shown.volts.iter().any(Option::is_none);
        let at = |size: f64| {
            let chi_squared = quadratic(&products, cubic(nodes.sizes, size));
            let tails = if overranges {
                let predicted = interpolated(nodes, size);
                joint.log_overranges(shown, &predicted)
            } else {
                0.0
            };
            height - 0.5 * chi_squared.max(0.0) + tails
        };
        let bends = bends(nodes.sizes, &products)
            .map(|(size, least)| (size, height - 0.5 * least))
            .collect();
        let (low, high) = (nodes.sizes[0], nodes.sizes[count - 1]);
        let step = (high - low) / (FIRST - 1) as f64;
        let mut points: Vec<(f64, f64)> = (0..FIRST)
            .map(|k| low + step * k as f64)
            .map(|size| (size, at(size)))
            .collect();
        for _ in 0..ROUNDS {
            let best = best_of(&points);
            let most = points[best].1;
            let mut more = Vec::new();
            for (left, ends) in points.windows(2).enumerate() {
                let matters = ends[0].1.max(ends[1].1) > most - MATTERS;
                let steep = (ends[1].1 - ends[0].1).abs() > STEEP;
                let touches = left == best || left + 1 == best;
                if touches || (matters && steep) {
                    let step = (ends[1].0 - ends[0].0) / FINER as f64;
                    let inner = (1..FINER).map(|k| ends[0].0 + step * k as f64);
                    more.extend(inner.map(|size| (size, at(size))));
                }
            }
            points.extend(more);
            points.sort_by(|a, b| a.0.total_cmp(&b.0));
        }
        let (sizes, log_likelihoods): (Vec<f64>, Vec<f64>) = points.into_iter().unzip();
        let both = sizes.iter().zip(&log_likelihoods);
        Profile {
            bends,
            weighed: both.map(|(size, log)| log + density(*size)).collect(),
            sizes,
            log_likelihoods,
        }
    }

    /// `ΔᵀS⁻¹Δ` of what is predicted at each size against other predictions, in their spread.
    pub(crate) fn apart(&self, nodes: &Nodes<'_>, from: &[f64], joint: &Joint) -> Vec<f64> {
        let differences: Vec<DVector<f64>> = nodes
            .predicted
            .iter()
            .map(|predicted| {
                let valued = joint.valued.iter();
                let each = valued.map(|place| predicted[*place] - from[*place]);
                DVector::from_iterator(joint.valued.len(), each)
            })
            .collect();
        let weighted: Vec<_> = differences
            .iter()
            .map(|one| &joint.covariance.inverse * one)
            .collect();
        let count = differences.len();
        let products = DMatrix::from_fn(count, count, |i, j| differences[i].dot(&weighted[j]));
        let sizes = self.sizes.iter();
        sizes
            .map(|size| quadratic(&products, cubic(nodes.sizes, *size)))
            .collect()
    }

    /// The same likelihood over some of its sizes alone, and what share of the prior they have.
    pub(crate) fn only(&self, kept: &[bool]) -> (Self, f64) {
        let blank = |logs: &[f64]| -> Vec<f64> {
            let each = logs.iter().zip(kept);
            each.map(|(log, kept)| if *kept { *log } else { f64::NEG_INFINITY })
                .collect()
        };
        let density: Vec<f64> = self
            .weighed
            .iter()
            .zip(&self.log_likelihoods)
            .map(|(both, log)| both - log)
            .collect();
        let mass = |logs: &[f64]| {
            let each: Vec<f64> = pieces(&self.sizes, logs).collect();
            log_sum(each.into_iter())
        };
        let share = (mass(&blank(&density)) - mass(&density)).exp();
        let part = Profile {
            bends: Vec::new(),
            sizes: self.sizes.clone(),
            log_likelihoods: blank(&self.log_likelihoods),
            weighed: blank(&self.weighed),
        };
        (part, share)
    }

    /// Logarithm of the likelihood at each size that is looked at.
    pub(crate) fn log_likelihoods(&self) -> &[f64] {
        &self.log_likelihoods
    }

    /// Logarithm of the most likely size.
    pub(crate) fn mode(&self) -> f64 {
        let both = self.sizes.iter().zip(&self.weighed);
        let points: Vec<(f64, f64)> = both.map(|(size, log)| (*size, *log)).collect();
        self.sizes[best_of(&points)]
    }

    /// The size at which one more node is wanted most: where the nodes do not show the course, and a straight line
    /// between them, or the cubic, is likely enough to matter.
    pub(crate) fn wanted(&self) -> Option<f64> {
        let most = self.at_most();
        let near = |size: f64| {
            let place = self.sizes.partition_point(|own| *own < size);
            let ends = [place.saturating_sub(1), place.min(self.sizes.len() - 1)];
            ends.map(|end| self.log_likelihoods[end])
                .into_iter()
                .fold(f64::NEG_INFINITY, f64::max)
        };
        let each = self
            .bends
            .iter()
            .map(|(size, straight)| (*size, straight.max(near(*size))));
        each.filter(|(_, log)| *log > most - MATTERS)
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .map(|(size, _)| size)
    }

    /// Logarithm of the largest likelihood that the nodes leave possible.
    pub(crate) fn at_most(&self) -> f64 {
        let straight = self.bends.iter().map(|(_, log)| *log);
        straight.fold(self.most(), f64::max)
    }

    /// Logarithm of the largest likelihood.
    pub(crate) fn most(&self) -> f64 {
        let each = self.log_likelihoods.iter();
        each.fold(f64::NEG_INFINITY, |most, value| most.max(*value))
    }

    /// Logarithm of the likelihood averaged over the prior, by trapezoids.
    pub(crate) fn log_evidence(&self) -> f64 {
        log_sum(self.pieces().collect::<Vec<_>>().into_iter())
    }

    /// Logarithms of the sizes below which each of some rising shares of what is open lies.
    pub(crate) fn quantiles<const N: usize>(&self, shares: [f64; N]) -> [f64; N] {
        let pieces: Vec<f64> = self.pieces().collect();
        let whole = log_sum(pieces.iter().copied());
        let mut found = [self.sizes[self.sizes.len() - 1]; N];
        let (mut below, mut next) = (0.0, 0);
        for (k, piece) in pieces.iter().enumerate() {
            let here = (piece - whole).exp();
            while next < N && here > 0.0 && below + here >= shares[next] {
                let part = ((shares[next] - below) / here).clamp(0.0, 1.0);
                found[next] = self.sizes[k] + part * (self.sizes[k + 1] - self.sizes[k]);
                next += 1;
            }
            below += here;
        }
        found
    }

    /// Logarithms of the trapezoids' areas.
    fn pieces(&self) -> impl Iterator<Item = f64> + Clone + '_ {
        pieces(&self.sizes, &self.weighed)
    }
}

fn pieces<'a>(sizes: &'a [f64], logs: &'a [f64]) -> impl Iterator<Item = f64> + Clone + 'a {
    let ends = sizes.windows(2).zip(logs.windows(2));
    ends.map(|(sizes, logs)| {
        let (more, less) = (logs[0].max(logs[1]), logs[0].min(logs[1]));
        // log(eᵃ + eᵇ); of nothing at all it is nothing.
        let sum = match more == f64::NEG_INFINITY {
            true => more,
            false => more + (less - more).exp().ln_1p(),
        };
        sum + (0.5 * (sizes[1] - sizes[0])).ln()
    })
}

fn best_of(points: &[(f64, f64)]) -> usize {
    let each = points.iter().enumerate();
    each.max_by(|a, b| a.1 .1.total_cmp(&b.1 .1))
        .map_or(0, |(place, _)| place)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one_reading(noise: f64, shown: f64) -> (Joint, Shown) {
        let shown = Shown {
            volts: vec![Some(shown)],
            full_scale: vec![500.0],
            noise: vec![noise],
        };
        let joint = Joint::new(&DMatrix::zeros(1, 1), &DMatrix::zeros(1, 0), &shown).unwrap();
        (joint, shown)
    }

    #[test]
    fn a_straight_line_gives_the_normal_integral() {
        // ŷ = 10·ln s for ln s from 0 to 10, read as 40 ± 0.5 V: the integral over ln s of the
        // normal density is 1/10 per unit, the average over the range 1/100.
        let sizes: Vec<f64> = (0..11).map(f64::from).collect();
        let predicted: Vec<Vec<f64>> = sizes.iter().map(|s| vec![10.0 * s]).collect();
        let (joint, shown) = one_reading(0.25, 40.0);
        let nodes = Nodes {
            sizes: &sizes,
            predicted: &predicted,
        };
        let profile = Profile::new(&nodes, |_| -10f64.ln(), &joint, &shown);
        // Steps over which the logarithm changes by ½ at most: a trapezoid is then right to some
        // hundredths of itself at worst, with both signs.
        assert!((profile.log_evidence() - 0.01f64.ln()).abs() < 5e-3);
        assert!((profile.mode() - 4.0).abs() < 1e-3);
        // 16 % below mean − σ; within an interval the share is taken as even.
        assert!((profile.quantiles([0.158_655])[0] - 3.95).abs() < 5e-3);
    }
}
