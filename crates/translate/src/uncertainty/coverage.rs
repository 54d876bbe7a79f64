//! Coverage factors.
//!
//! A coverage probability and degrees of freedom come in, the factor k of U = k u goes out.

use statrs::distribution::{ContinuousCDF, StudentsT};
use thiserror::Error;

use super::normal::quantile;

/// Why there is no coverage factor.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum CoverageError {
    /// A probability that is not between 0 and 1.
    #[error("a coverage probability of {probability} does not lie between 0 and 1")]
    Probability {
        /// The probability.
        probability: f64,
    },
    /// Less than one degree of freedom.
    #[error("{degrees} degrees of freedom tell nothing")]
    Degrees {
        /// The degrees of freedom.
        degrees: f64,
    },
}

/// Beyond this many degrees of freedom the expansion round the normal factor is used: it is good
/// to nine digits there, while the library's inverse loses digits as they grow and is off by 7 %
/// at ten million.
const MANY: f64 = 1e3;

/// Coverage factor t_p(ν) of a coverage probability, symmetric, of the t-distribution (JCGM
/// 100:2008, G.3.2 and Table G.2). Degrees of freedom are cut to a whole number (G.4.1 Note 1);
/// infinite ones give the normal factor.
///
/// # Errors
/// [`CoverageError`] for a probability outside 0 to 1, or fewer degrees of freedom than one.
pub fn coverage_factor(probability: f64, degrees: f64) -> Result<f64, CoverageError> {
    if !(probability > 0.0 && probability < 1.0) {
        return Err(CoverageError::Probability { probability });
    }
    let upper = (1.0 + probability) / 2.0;
    let whole = degrees.floor();
    if whole > MANY {
        return Ok(near_normal(quantile(upper), whole));
    }
    match StudentsT::new(0.0, 1.0, whole) {
        Ok(t) if whole >= 1.0 => Ok(t.inverse_cdf(upper)),
        _ => Err(CoverageError::Degrees { degrees }),
    }
}

/// t = z + (z³ + z)/(4ν) + (5z⁵ + 16z³ + 3z)/(96ν²) + … (M. Abramowitz and I. A. Stegun, Handbook
/// of Mathematical Functions, 26.7.5).
fn near_normal(z: f64, degrees: f64) -> f64 {
    let first = (z.powi(3) + z) / 4.0;
    let second = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
    z + first / degrees + second / degrees.powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_degree_is_the_tangent_and_infinitely_many_are_normal() {
        // t with ν = 1: tan(π p/2), an exact form.
        let one = coverage_factor(0.95, 1.9).unwrap();
        assert!((one - (std::f64::consts::FRAC_PI_2 * 0.95).tan()).abs() < 1e-6 * one);
        // G.3.2: for infinite degrees the normal factor, to the ten digits known.
        let normal = coverage_factor(0.95, f64::INFINITY).unwrap();
        assert!((normal - 1.959_963_984_5).abs() < 1e-9);
    }

    #[test]
    fn the_library_and_the_expansion_meet() {
        // At 1000 degrees the next term of the expansion is some 3/ν³ = 3·10⁻⁹.
        for (probability, z) in [(0.95, quantile(0.975)), (0.99, quantile(0.995))] {
            let library = coverage_factor(probability, 1000.0).unwrap();
            assert!((library - near_normal(z, 1000.0)).abs() < 3e-8, "{library}");
        }
    }

    #[test]
    fn nonsense_is_an_error() {
        assert!(coverage_factor(1.0, 5.0).is_err());
        assert!(coverage_factor(f64::NAN, 5.0).is_err());
        assert!(coverage_factor(0.95, 0.5).is_err());
        assert!(coverage_factor(0.95, f64::NAN).is_err());
        assert!(coverage_factor(0.95, -3.0).is_err());
    }
}
