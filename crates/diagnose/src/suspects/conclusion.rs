//! Whether anything can be told.
//!
//! The suspects, ranked, come in; whether the first of them leads, or why not, goes out.

use statrs::function::gamma::gamma_ur;

use crate::suspects::group::AmbiguityGroup;

/// Whether a suspect leads, and if not, why.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Conclusion {
    /// The first suspect leads.
    Leads,
    /// Too few readings to tell anything.
    TooFewReadings {
        /// How many count.
        readings: usize,
    },
    /// No suspect is more probable than all others together.
    CannotTellYet {
        /// Probability of the first.
        leader: f64,
    },
    /// Even the suspect that explains most leaves the readings improbable.
    Contradicted {
        /// `rᵀS⁻¹r` of the first suspect.
        chi_squared: f64,
        /// How many readings are in that.
        readings: usize,
        /// Probability of as much or more by chance.
        probability: f64,
    },
}

/// Fewest readings that tell anything.
const FEWEST_READINGS: usize = 2;

/// Probability by chance below which readings contradict a suspect (common practice, no source).
pub(crate) const CONTRADICTION: f64 = 1e-3;

/// Whether the first suspect leads, by so many readings.
pub(crate) fn conclusion(suspects: &[AmbiguityGroup], readings: usize) -> Conclusion {
    let Some(first) = suspects.first() else {
        return Conclusion::TooFewReadings { readings };
    };
    if readings < FEWEST_READINGS {
        return Conclusion::TooFewReadings { readings };
    }
    let chance = by_chance(first.chi_squared, first.readings);
    if chance < CONTRADICTION {
        return Conclusion::Contradicted {
            chi_squared: first.chi_squared,
            readings: first.readings,
            probability: chance,
        };
    }
    if first.probability < 0.5 {
        return Conclusion::CannotTellYet {
            leader: first.probability,
        };
    }
    Conclusion::Leads
}

/// Probability of a chi-squared of this size or more with so many degrees: `Q(n/2, x/2)`.
pub(crate) fn by_chance(chi_squared: f64, degrees: usize) -> f64 {
    if degrees == 0 || chi_squared <= 0.0 {
        return 1.0;
    }
    if !chi_squared.is_finite() {
        return 0.0;
    }
    gamma_ur(0.5 * degrees as f64, 0.5 * chi_squared)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chance_of_a_chi_squared() {
        // Two degrees: exp(−x/2). Tables give 0.05 at 3.841 for one.
        assert!((by_chance(4.0, 2) - (-2f64).exp()).abs() < 1e-12);
        assert!((by_chance(3.841_459, 1) - 0.05).abs() < 1e-6);
    }
}
