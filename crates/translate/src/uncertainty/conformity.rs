//! Does a value with an uncertainty keep to its limits?
//!
//! A measured value, its standard uncertainty and limits come in; the probability that the true
//! value keeps to the limits (JCGM 106:2012, clause 7) and one of four words (ILAC-G8:09/2019,
//! 4.2.3) go out. What follows from the word is for others to say.

use thiserror::Error;

use super::normal::{probability_below, quantile};
use crate::band::Band;

/// A measured value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The value.
    pub value: f64,
    /// Its standard uncertainty, in the same unit.
    pub standard: f64,
}

/// Why conformity cannot be judged.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum ConformityError {
    /// A value, uncertainty or guard band that is not a finite number, or negative where it must
    /// not be.
    #[error("a value of {value} with an uncertainty or guard band of {width} cannot be judged")]
    Figures {
        /// The value.
        value: f64,
        /// The uncertainty or guard band.
        width: f64,
    },
    /// No limit on either side.
    #[error("there is no limit to judge by")]
    NoLimit,
    /// A lower limit above the upper one.
    #[error("the lower limit {low} lies above the upper limit {high}")]
    Reversed {
        /// The lower limit.
        low: f64,
        /// The upper limit.
        high: f64,
    },
}

/// Where a value lies, with a guard band on both sides of each limit (ILAC-G8:09/2019, 4.2.3).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Conformity {
    /// Inside by more than the guard band.
    Pass,
    /// Inside or on the limit, but not by more than the guard band.
    ConditionalPass,
    /// Outside, but not by more than the guard band.
    ConditionalFail,
    /// Outside by more than the guard band.
    Fail,
}

/// Probability that a normal quantity of this value and uncertainty keeps to the limits
/// (JCGM 106:2012, 7.2 to 7.4); 1 without any limit. Without uncertainty it is 0 or 1, the limits
/// included.
///
/// # Errors
/// [`ConformityError::Figures`] and [`ConformityError::Reversed`].
pub fn conformance_probability(measured: Measured, limits: Band) -> Result<f64, ConformityError> {
    let Measured { value, standard } = measured;
    check(value, standard, limits)?;
    if standard == 0.0 {
        return Ok(if limits.holds(value) { 1.0 } else { 0.0 });
    }
    // p_c = Φ((H − y)/u) − Φ((L − y)/u); an open side stands at infinity.
    let below = limits
        .low
        .map_or(f64::NEG_INFINITY, |low| (low - value) / standard);
    let above = limits
        .high
        .map_or(f64::INFINITY, |high| (high - value) / standard);
    // Far below both limits the two are almost 1 and their difference would lose its digits; the
    // mirror image does not.
    let probability = if below > 0.0 {
        probability_below(-below) - probability_below(-above)
    } else {
        probability_below(above) - probability_below(below)
    };
    Ok(probability.clamp(0.0, 1.0))
}

/// One of four words for a value, limits and a guard band w, usually the expanded uncertainty U
/// (ILAC-G8:09/2019, 4.2.3).
///
/// # Errors
/// [`ConformityError`].
pub fn guarded(value: f64, limits: Band, guard: f64) -> Result<Conformity, ConformityError> {
    check(value, guard, limits)?;
    let below = limits.low.map(|low| value - low);
    let above = limits.high.map(|high| high - value);
    let inside = match (below, above) {
        (Some(below), Some(above)) => below.min(above),
        (Some(one), None) | (None, Some(one)) => one,
        (None, None) => return Err(ConformityError::NoLimit),
    };
    Ok(if inside > guard {
        Conformity::Pass
    } else if inside >= 0.0 {
        Conformity::ConditionalPass
    } else if inside >= -guard {
        Conformity::ConditionalFail
    } else {
        Conformity::Fail
    })
}

/// Whether the uncertainty is too large for limits this far from their middle: even a value in
/// the middle would conform with a probability below 0.95, that is half the band < 1.96 u.
pub fn too_coarse(half_band: f64, standard: f64) -> bool {
    half_band < quantile(0.975) * standard
}

fn check(value: f64, width: f64, limits: Band) -> Result<(), ConformityError> {
    let sound = value.is_finite() && width.is_finite() && width >= 0.0;
    if !sound {
        return Err(ConformityError::Figures { value, width });
    }
    match (limits.low, limits.high) {
        (Some(low), Some(high)) if low > high => Err(ConformityError::Reversed { low, high }),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn between(low: f64, high: f64) -> Band {
        Band {
            low: Some(low),
            high: Some(high),
        }
    }

    #[test]
    fn the_four_words_from_inside_to_outside() {
        // 100 V ± 20 % with U = 5 V.
        use Conformity::{ConditionalFail, ConditionalPass, Fail, Pass};
        let rows = [
            (100.0, Pass),
            (114.9, Pass),
            (115.0, ConditionalPass),
            (120.0, ConditionalPass),
            (120.1, ConditionalFail),
            (125.0, ConditionalFail),
            (125.1, Fail),
            (85.1, Pass),
            (84.9, ConditionalPass),
            (79.9, ConditionalFail),
            (74.9, Fail),
        ];
        for (value, want) in rows {
            assert_eq!(
                guarded(value, between(80.0, 120.0), 5.0),
                Ok(want),
                "{value}"
            );
        }
        // Without a guard band only the limits count.
        assert_eq!(guarded(119.9, between(80.0, 120.0), 0.0), Ok(Pass));
        assert_eq!(guarded(120.1, between(80.0, 120.0), 0.0), Ok(Fail));
    }

    #[test]
    fn a_band_narrower_than_the_guard_passes_nothing() {
        let word = guarded(0.0, between(-1.0, 1.0), 2.0);
        assert_eq!(word, Ok(Conformity::ConditionalPass));
        assert!(too_coarse(1.0, 1.0) && !too_coarse(2.0, 1.0));
    }

    #[test]
    fn an_open_side_has_no_say() {
        let at_most = Band {
            low: None,
            high: Some(1.0),
        };
        assert_eq!(guarded(-1e6, at_most, 0.5), Ok(Conformity::Pass));
        assert_eq!(
            guarded(0.0, Band::default(), 0.5),
            Err(ConformityError::NoLimit)
        );
        let measured = Measured {
            value: 1.0,
            standard: 0.1,
        };
        let half = conformance_probability(measured, at_most).unwrap();
        assert!((half - 0.5).abs() < 1e-12);
        let open = conformance_probability(measured, Band::default()).unwrap();
        assert!((open - 1.0).abs() < 1e-12);
    }

    #[test]
    fn far_outside_on_either_side_the_probability_keeps_its_digits() {
        // Limits 8 and 20 u away: Φ(−8) = 6.2210 ⋅ 10⁻¹⁶ (a table value), to a tenth of a percent.
        for (low, high) in [(8.0, 20.0), (-20.0, -8.0)] {
            let measured = Measured {
                value: 0.0,
                standard: 1.0,
            };
            let p = conformance_probability(measured, between(low, high)).unwrap();
            assert!((p - 6.221e-16).abs() < 1e-3 * 6.221e-16, "{p}");
        }
    }

    #[test]
    fn nonsense_is_an_error_and_certainty_is_not() {
        let at = |value, standard| Measured { value, standard };
        let limits = between(-1.0, 1.0);
        assert!(conformance_probability(at(f64::NAN, 1.0), limits).is_err());
        assert!(conformance_probability(at(0.0, -1.0), limits).is_err());
        assert!(conformance_probability(at(0.0, 1.0), between(1.0, -1.0)).is_err());
        assert!(guarded(0.0, limits, f64::INFINITY).is_err());
        let certain = |value| conformance_probability(at(value, 0.0), limits).unwrap();
        assert!((certain(1.0) - 1.0).abs() < 1e-12 && certain(1.1) < 1e-12);
    }
}
