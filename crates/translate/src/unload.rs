//! Source resistance and true volts of a point, from readings with known meters.
//!
//! Each meter loads the point with a conductance `g`; for a source `E` behind `R`
//!
//! ```text
//! V = E/(1 + gR)
//! ```
//!
//! Two readings give both unknowns, `R = (V_b − V_a)/(V_a g_a − V_b g_b)`, `E = V_a (1 + g_a R)`; more are
//! fitted by least squares, each weighted by its own uncertainty (JCGM 100:2008, H.3 for the covariance of
//! such a fit). No drawing is needed. The point is taken as linear.

use circuit::{Meter, MeterRange};
use reconcile::noise_of;
use thiserror::Error;

use crate::linear_source::{fit, heaviest, lightest, standards, two, LoadedPoint};
use crate::uncertainty::quantile;

/// A source resistance that is not known to this share tells little.
const TELLS_LITTLE: f64 = 0.5;

/// Misfit over degrees of freedom above which the readings contradict one source; by chance it is
/// exceeded once in twenty for one degree (χ² of 3.84).
const CONTRADICTS: f64 = 3.84;

/// One reading of a point.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadedReading {
    /// Volts shown.
    pub volts: f64,
    /// One unit of the last digit read, in volts.
    pub resolution: f64,
    /// The meter.
    pub meter: Meter,
    /// The range.
    pub range: MeterRange,
}

/// The result of the fit.
#[derive(Clone, Debug, PartialEq)]
pub struct Unloaded {
    /// Volts without any meter.
    pub volts: f64,
    /// Their standard uncertainty.
    pub volts_standard: f64,
    /// Source resistance in ohms.
    pub ohms: f64,
    /// Its standard uncertainty.
    pub ohms_standard: f64,
    /// What each meter should have shown by these, in volts, and the standard uncertainty of its
    /// reading.
    pub fitted: Vec<(f64, f64)>,
    /// Warnings.
    pub warnings: Vec<UnloadWarning>,
}

/// A warning beside the result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum UnloadWarning {
    /// The loads are so alike, or the readings so close, that the resistance is hardly known.
    LoadsAlike,
    /// More than two readings contradict each other: no one source explains them.
    Contradict,
    /// A reading is within its own uncertainty of the volts without a meter: only an upper limit of
    /// the resistance is known, in ohms (95 %).
    AtMost(f64),
}

/// Why no result is given.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum UnloadError {
    /// Fewer than two readings.
    #[error("two readings of one point are needed")]
    TooFew,
    /// All meters load alike.
    #[error(
        "all meters load the point with the same {}, so the readings cannot tell the source",
        units::engineering(*ohms, units::Unit::Ohm, 3)
    )]
    SameLoad {
        /// Their input resistance in ohms.
        ohms: f64,
    },
    /// The heavier load reads more.
    #[error("the meter that loads more reads more: no source does that")]
    Inverted,
    /// A reading of no volts or of the other sign.
    #[error("readings of both signs, or of nothing, have no common source")]
    Signs,
    /// The meter's error cannot be told.
    #[error("the error of a meter cannot be told")]
    Accuracy,
    /// The search did not end.
    #[error("no source fits these readings")]
    NoFit,
}

impl LoadedReading {
    /// Load in siemens.
    fn siemens(&self) -> f64 {
        1.0 / self.meter.input_ohms(self.range)
    }
}

/// Fits one source to two or more readings.
///
/// # Errors
/// [`UnloadError`] where they tell nothing.
pub fn unload(readings: &[LoadedReading]) -> Result<Unloaded, UnloadError> {
    if readings.len() < 2 {
        return Err(UnloadError::TooFew);
    }
    let sign = readings[0].volts.signum();
    if readings.iter().any(|one| one.volts * sign <= 0.0) {
        return Err(UnloadError::Signs);
    }
    let mut points = Vec::with_capacity(readings.len());
    for one in readings {
        let noise = noise_of(&one.meter, one.range, one.volts, one.resolution);
        let noise = noise.map_err(|_| UnloadError::Accuracy)?;
        points.push(LoadedPoint {
            volts: one.volts.abs(),
            siemens: one.siemens(),
            weight: 1.0 / noise.max(f64::MIN_POSITIVE),
        });
    }
    let light = lightest(&points);
    let heavy = heaviest(&points);
    if (heavy.siemens - light.siemens).abs() <= 1e-9 * heavy.siemens {
        let ohms = 1.0 / heavy.siemens;
        return Err(UnloadError::SameLoad { ohms });
    }
    let start = two(&heavy, &light);
    let noise = (1.0 / heavy.weight + 1.0 / light.weight).sqrt();
    let start = match start {
        Some(start) => start,
        // Equal or inverted within what the meters may be off: no more than an upper limit.
        None if heavy.volts - light.volts <= 2.0 * noise => (light.volts, 0.0),
        None => return Err(UnloadError::Inverted),
    };
    let (volts, ohms) = fit(&points, start)?;
    if ohms < 0.0 && heavy.volts - light.volts > 2.0 * noise {
        return Err(UnloadError::Inverted);
    }
    let (volts_standard, ohms_standard) = standards(&points, volts, ohms)?;
    let mut warnings = Vec::new();
    if ohms <= 2.0 * ohms_standard {
        let most = ohms.max(0.0) + quantile(0.95) * ohms_standard;
        warnings.push(UnloadWarning::AtMost(most));
    } else if ohms_standard > TELLS_LITTLE / 2.0 * ohms {
        warnings.push(UnloadWarning::LoadsAlike);
    }
    let misfit: f64 = points
        .iter()
        .map(|point| point.weight * (point.volts - point.at(volts, ohms)).powi(2))
        .sum();
    let degrees = points.len() - 2;
    if degrees > 0 && misfit > CONTRADICTS * degrees as f64 {
        warnings.push(UnloadWarning::Contradict);
    }
    Ok(Unloaded {
        volts: sign * volts,
        volts_standard,
        ohms,
        ohms_standard,
        fitted: points
            .iter()
            .map(|point| (sign * point.at(volts, ohms), 1.0 / point.weight.sqrt()))
            .collect(),
        warnings,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::meter_by_name;

    fn reading(volts: f64, meter: &str, range: f64) -> LoadedReading {
        let meter = meter_by_name(meter).unwrap();
        LoadedReading {
            volts,
            resolution: 1e-9,
            range: meter.range(range),
            meter,
        }
    }

    #[test]
    fn the_navy_text_finds_the_true_volts() {
        // US Navy Aviation Electrician's Mate 3 & 2 (NAVEDTRA 14009), ch. 2: 22 V on a low range and
        // 82 V on one ten times higher, true 117.7 V. Printed to 0.1 V; exactly 117.6522 V, and a source of
        // 4.3478 times the low range's resistance.
        let found = unload(&[reading(22.0, "20k/V", 25.0), reading(82.0, "20k/V", 250.0)]).unwrap();
        assert!((found.volts - 117.7).abs() < 0.05, "{found:?}");
        assert!((found.ohms / 500e3 - 4.3478).abs() < 5e-5, "{found:?}");
    }

    #[test]
    fn two_ranges_of_a_published_divider() {
        // Kalsi, Electronic Instrumentation, 3rd ed., ex. 4.13, p. 89: 45 kΩ and 5 kΩ on 50 V, so 4500 Ω
        // and 5 V; unrounded readings on 100 kΩ and 200 kΩ, given to 1 µV, which moves the
        // resistance by 0.04 Ω.
        let pair = [
            reading(4.784_689, "20k/V", 5.0),
            reading(4.889_976, "20k/V", 10.0),
        ];
        let found = unload(&pair).unwrap();
        assert!((found.ohms - 4500.0).abs() < 0.1, "{found:?}");
        assert!((found.volts - 5.0).abs() < 1e-5);
        // The rounded pair, 4.785 V and 4.89 V: 4487.18 Ω (recomputed there).
        let found = unload(&[reading(4.785, "20k/V", 5.0), reading(4.89, "20k/V", 10.0)]).unwrap();
        assert!((found.ohms - 4487.18).abs() < 0.01, "{found:?}");
        // So close together the meters' own 3 % leave nothing of the resistance.
        assert!(matches!(found.warnings[..], [UnloadWarning::AtMost(_)]));
    }

    #[test]
    fn three_readings_are_weighed_and_contradiction_is_told() {
        // 100 V behind 100 kΩ, exactly.
        let at = |meter: &str, range: f64| {
            let load = reading(0.0, meter, range).siemens();
            reading(100.0 / (1.0 + load * 100e3), meter, range)
        };
        let three = [at("1k/V", 100.0), at("20k/V", 250.0), at("10M", 200.0)];
        let found = unload(&three).unwrap();
        assert!((found.volts - 100.0).abs() < 1e-6, "{found:?}");
        assert!((found.ohms - 100e3).abs() < 1e-2);
        assert!(found.warnings.is_empty(), "{found:?}");
        let mut bad = three;
        bad[1].volts = 60.0;
        let found = unload(&bad).unwrap();
        assert!(found.warnings.contains(&UnloadWarning::Contradict));
    }

    #[test]
    fn what_cannot_tell_is_refused() {
        let one = reading(22.0, "20k/V", 50.0);
        assert_eq!(unload(std::slice::from_ref(&one)), Err(UnloadError::TooFew));
        let same = [one.clone(), reading(23.0, "20k/V", 50.0)];
        assert!(matches!(unload(&same), Err(UnloadError::SameLoad { .. })));
        let inverted = [reading(82.0, "1k/V", 100.0), reading(22.0, "10M", 200.0)];
        assert_eq!(unload(&inverted), Err(UnloadError::Inverted));
        let signs = [one, reading(-22.0, "10M", 200.0)];
        assert_eq!(unload(&signs), Err(UnloadError::Signs));
    }

    #[test]
    fn uncertainty_follows_the_meters() {
        // By central differences of the closed form, u of each reading from 3 % of full scale.
        let pair = [reading(22.0, "20k/V", 25.0), reading(82.0, "20k/V", 250.0)];
        let found = unload(&pair).unwrap();
        let u = [0.75 / 3f64.sqrt(), 7.5 / 3f64.sqrt()];
        let at = |shift: [f64; 2]| {
            let (a, b) = (22.0 + shift[0], 82.0 + shift[1]);
            let (g_a, g_b) = (1.0 / 500e3, 1.0 / 5e6);
            (b - a) / (a * g_a - b * g_b)
        };
        let slope_a = (at([1e-4, 0.0]) - at([-1e-4, 0.0])) / 2e-4;
        let slope_b = (at([0.0, 1e-4]) - at([0.0, -1e-4])) / 2e-4;
        let want = (slope_a * u[0]).hypot(slope_b * u[1]);
        // The differences are good to about 1e-7 of the slope.
        assert!((found.ohms_standard / want - 1.0).abs() < 1e-5, "{found:?}");
    }
}
