//! Suspects: faults that no reading tells apart, gathered.
//!
//! Trials with their probabilities come in; suspects, the most probable first, go out. Two faults
//! are one suspect if the readings they predict lie closer together than a reading can see, by the
//! spread of the more probable one, and explain what was shown equally well.

use nalgebra::DVector;

use crate::suspects::conclusion::by_chance;
use crate::suspects::evaluation::{Evaluated, ALIKE, ALIKE_LOG, UNEXPLAINED};
use crate::suspects::fault_size::Size;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::Shown;
use crate::suspects::misreading::Misreading;

/// Probability above which one of all readings is as far off by chance, that of two standard deviations.
const BY_CHANCE: f64 = 0.0455;

/// The same for all readings together.
const TOGETHER: f64 = 1e-3;

/// One fault, or two at once, with what the readings make of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// The faults, each with its size where it has one.
    pub faults: Vec<(Hypothesis, Option<Size>)>,
    /// Probability before the readings.
    pub prior: f64,
    /// Probability after them.
    pub probability: f64,
    /// Natural logarithm of the likelihood of the readings, averaged over the sizes.
    pub log_likelihood: f64,
    /// For a wrong reading: the likeliest way it went wrong.
    pub misread: Option<Misreading>,
    /// What it predicts for each used reading, in volts or amperes.
    pub predicted: Vec<f64>,
}

/// Faults that no reading tells apart.
#[derive(Clone, Debug, PartialEq)]
pub struct AmbiguityGroup {
    /// The faults, the most probable first.
    pub members: Vec<Member>,
    /// Probability of all of them together.
    pub probability: f64,
    /// Their probability before the readings.
    pub prior: f64,
    /// What the first of them predicts for each used reading, in volts or amperes.
    pub predicted: Vec<f64>,
    /// The standard deviation of each prediction against its reading, in volts or amperes.
    pub sigma: Vec<f64>,
    /// `rᵀS⁻¹r` under the first of them.
    pub chi_squared: f64,
    /// How many readings are in that.
    pub readings: usize,
    /// Used readings that a set in order leaves unexplained and this suspect explains.
    pub explained: Vec<usize>,
    /// Used readings more than two standard deviations off under this suspect.
    pub unexplained: Vec<usize>,
    /// How far the furthest of them is off, in standard deviations; infinite for an overrange.
    pub furthest: f64,
    /// Resistances with the power off that are as far off, as indices into [`circuit::Job::readings`].
    pub ohms_unexplained: Vec<usize>,
}

impl AmbiguityGroup {
    /// Whether it leaves no reading unexplained, whatever was measured.
    pub fn fits_all(&self) -> bool {
        self.unexplained.is_empty() && self.ohms_unexplained.is_empty()
    }

    /// Whether chance alone makes readings as far off together, at least once in a thousand sets. Two points that a
    /// fault joins may each be near to what it predicts, and too far from each other.
    pub fn fits_together(&self) -> bool {
        by_chance(self.chi_squared, self.readings) > TOGETHER
    }

    /// Whether what it leaves unexplained is no more than chance: of twenty sound readings one is two standard
    /// deviations off as a rule.
    pub fn fits_but_for_chance(&self) -> bool {
        let one = by_chance(self.furthest.powi(2), 1);
        let any = 1.0 - (1.0 - one).powf(self.readings.max(1) as f64);
        self.ohms_unexplained.is_empty() && (self.unexplained.is_empty() || any > BY_CHANCE)
    }
}

/// A trial with its weights.
pub(crate) struct Posterior {
    pub(crate) evaluated: Evaluated,
    pub(crate) prior: f64,
    pub(crate) probability: f64,
}

/// Gathers trials that the readings cannot tell apart. With each suspect go the places of its
/// members among the trials, in their order. Sizes that
/// the readings cannot see are grouped with the set in order.
pub(crate) fn gathered(
    posteriors: &[Posterior],
    shown: &Shown,
) -> Vec<(Vec<usize>, AmbiguityGroup)> {
    let mut order: Vec<usize> = (0..posteriors.len()).collect();
    let nothing = |place: &usize| is(&posteriors[*place].evaluated, NOTHING_WRONG);
    // What cannot be told from a set in order is gathered about that one.
    order.sort_by(|a, b| {
        let in_order = nothing(b).cmp(&nothing(a));
        let by_probability = posteriors[*b]
            .probability
            .total_cmp(&posteriors[*a].probability);
        in_order.then(by_probability).then(a.cmp(b))
    });
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for place in order {
        let hides = |place: usize| posteriors[place].evaluated.hides;
        let alike = |group: &&mut Vec<usize>| {
            let hide = hides(group[0]) && hides(place);
            hide || alike(
                &posteriors[group[0]].evaluated,
                &posteriors[place].evaluated,
            )
        };
        match groups.iter_mut().find(alike) {
            Some(group) => group.push(place),
            None => groups.push(vec![place]),
        }
    }
    let in_order = posteriors
        .iter()
        .find(|one| is(&one.evaluated, NOTHING_WRONG))
        .map(|one| off(&one.evaluated, shown));
    let mut suspects: Vec<(Vec<usize>, AmbiguityGroup)> = groups
        .into_iter()
        .map(|mut group| {
            let suspect = suspect(posteriors, &group, shown, in_order.as_deref());
            // A set in order is named first, whatever else reads the same.
            group.sort_by_key(|place| !is(&posteriors[*place].evaluated, NOTHING_WRONG));
            let members = group
                .iter()
                .map(|place| member(&posteriors[*place]))
                .collect();
            (group, AmbiguityGroup { members, ..suspect })
        })
        .collect();
    suspects.sort_by(|a, b| {
        let by_probability = b.1.probability.total_cmp(&a.1.probability);
        by_probability.then(a.0.cmp(&b.0))
    });
    suspects
}

fn suspect(
    posteriors: &[Posterior],
    group: &[usize],
    shown: &Shown,
    in_order: Option<&[bool]>,
) -> AmbiguityGroup {
    let leader = &posteriors[group[0]].evaluated;
    let off_now = off(leader, shown);
    let places = 0..off_now.len();
    AmbiguityGroup {
        probability: group
            .iter()
            .map(|place| posteriors[*place].probability)
            .sum(),
        prior: group.iter().map(|place| posteriors[*place].prior).sum(),
        members: Vec::new(),
        predicted: leader.predicted.clone(),
        sigma: leader.joint.sigma.clone(),
        chi_squared: leader.chi_squared.0,
        readings: leader.chi_squared.1,
        explained: places
            .clone()
            .filter(|place| !off_now[*place] && in_order.is_some_and(|off| off[*place]))
            .collect(),
        unexplained: places.filter(|place| off_now[*place]).collect(),
        furthest: furthest(leader, shown, &off_now),
        ohms_unexplained: Vec::new(),
    }
}

fn member(posterior: &Posterior) -> Member {
    let evaluated = &posterior.evaluated;
    let faults = evaluated.faults.iter().map(|(hypothesis, _)| *hypothesis);
    Member {
        faults: faults.zip(evaluated.sizes.iter().copied()).collect(),
        prior: posterior.prior,
        probability: posterior.probability,
        log_likelihood: evaluated.log_likelihood,
        misread: evaluated.misread,
        predicted: evaluated.predicted.clone(),
    }
}

/// For each reading whether it is off by more than [`UNEXPLAINED`]; an overrange is off if the
/// prediction is that far inside the range.
fn off(evaluated: &Evaluated, shown: &Shown) -> Vec<bool> {
    let each = evaluated
        .predicted
        .iter()
        .zip(&evaluated.joint.sigma)
        .enumerate();
    each.map(|(place, (predicted, sigma))| match shown.volts[place] {
        Some(volts) => (volts - predicted).abs() > UNEXPLAINED * sigma,
        None => predicted.abs() + UNEXPLAINED * sigma < shown.full_scale[place],
    })
    .collect()
}

/// How far off the furthest of some readings is, in standard deviations.
fn furthest(evaluated: &Evaluated, shown: &Shown, among: &[bool]) -> f64 {
    let places = (0..among.len()).filter(|place| among[*place]);
    let each = places.map(|place| match shown.volts[place] {
        Some(volts) => (volts - evaluated.predicted[place]).abs() / evaluated.joint.sigma[place],
        None => f64::INFINITY,
    });
    each.fold(0.0, f64::max)
}

/// What a set in order is supposed to be.
const NOTHING_WRONG: Hypothesis = Hypothesis::NothingWrong;

fn is(evaluated: &Evaluated, supposed: Hypothesis) -> bool {
    evaluated
        .faults
        .iter()
        .any(|(hypothesis, _)| *hypothesis == supposed)
}

/// Whether a trial stands on its own, whatever else looks the same.
fn stands_alone(evaluated: &Evaluated) -> bool {
    evaluated.faults.iter().any(|(hypothesis, _)| {
        matches!(
            hypothesis,
            Hypothesis::ReadingWrong { .. } | Hypothesis::NoneOfThese
        )
    })
}

/// Whether some fault of the one is also one of the other.
fn shares_a_fault(one: &Evaluated, other: &Evaluated) -> bool {
    let in_other = |fault: &Hypothesis| other.faults.iter().any(|(known, _)| known == fault);
    one.faults.iter().any(|(fault, _)| in_other(fault))
}

/// Whether the readings cannot tell two trials apart.
fn alike(leader: &Evaluated, other: &Evaluated) -> bool {
    if stands_alone(leader) || stands_alone(other) {
        return false;
    }
    // Two faults at once stand on their own, for each is more than any of its two; unless one of
    // them is something that no reading shows beside the other.
    if leader.faults.len() != other.faults.len() && !shares_a_fault(leader, other) {
        return false;
    }
    // At their best, or over all their sizes: a fault that may have many sizes pays for that, and not
    // for what it says of the readings.
    let at_best = leader.log_likelihood_at_mode - other.log_likelihood_at_mode;
    let over_all = leader.log_likelihood - other.log_likelihood;
    let apart = at_best.abs().min(over_all.abs());
    if apart.is_nan() || apart > ALIKE_LOG {
        return false;
    }
    let both = leader.predicted.iter().zip(&other.predicted);
    let differences: Vec<f64> = both.map(|(a, b)| a - b).collect();
    let each = differences.iter().zip(&leader.joint.sigma);
    // Δᵀ S⁻¹ Δ is at least the largest of Δ²/S_ii.
    if each
        .clone()
        .any(|(difference, sigma)| difference.abs() > ALIKE * sigma)
    {
        return false;
    }
    let valued = leader.joint.valued.iter().map(|place| differences[*place]);
    let differences = DVector::from_iterator(leader.joint.valued.len(), valued);
    leader.joint.chi_squared(&differences) <= ALIKE * ALIKE
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two sides of the normal distribution by its tables: 0.0455 beyond 2 σ, 0.0027 beyond 3 σ. Of 20 readings one
    /// is beyond 2.4 σ (0.0164 a side pair) with 1 − 0.9836²⁰ = 0.28, beyond 3.2 σ (0.00137) with 0.027.
    #[test]
    fn one_reading_of_twenty_is_two_sigma_off_by_chance() {
        let off = |readings, furthest| AmbiguityGroup {
            members: Vec::new(),
            probability: 1.0,
            prior: 1.0,
            predicted: Vec::new(),
            sigma: Vec::new(),
            chi_squared: 0.0,
            readings,
            explained: Vec::new(),
            unexplained: vec![0],
            furthest,
            ohms_unexplained: Vec::new(),
        };
        assert!(off(20, 2.4).fits_but_for_chance());
        assert!(!off(20, 3.2).fits_but_for_chance());
        assert!(!off(1, 2.1).fits_but_for_chance());
        assert!(!off(20, f64::INFINITY).fits_but_for_chance());
        assert!(!AmbiguityGroup {
            ohms_unexplained: vec![3],
            ..off(20, 2.4)
        }
        .fits_but_for_chance());
    }
}
