//! First-order propagation of correlated inputs.
//!
//! Standard uncertainties and correlation coefficients come in; covariances of outputs of the
//! same inputs go out. Where the coefficients come from is not known here. An error shared by two
//! readings, such as that of one meter, is better made an input of its own (JCGM 100:2008,
//! F.1.2.4).

use thiserror::Error;

/// Why correlations cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum CorrelationError {
    /// A pair names an input that is not there, or one input twice.
    #[error("inputs {first} and {second} are no pair of {inputs} inputs")]
    NoPair {
        /// Index of one.
        first: usize,
        /// Index of the other.
        second: usize,
        /// How many inputs there are.
        inputs: usize,
    },
    /// A coefficient outside −1 to 1.
    #[error("a correlation coefficient of {r} does not lie between -1 and 1")]
    Coefficient {
        /// The coefficient.
        r: f64,
    },
    /// An output with another number of sensitivities than there are inputs.
    #[error("{sensitivities} sensitivities for {inputs} inputs")]
    Sensitivities {
        /// How many sensitivities there are.
        sensitivities: usize,
        /// How many inputs there are.
        inputs: usize,
    },
    /// Coefficients that no quantities can have together.
    #[error("the correlation coefficients contradict each other: a variance of {variance}")]
    Contradiction {
        /// The negative variance.
        variance: f64,
    },
}

/// Inputs with their standard uncertainties and correlation coefficients.
#[derive(Clone, Debug, PartialEq)]
pub struct CorrelatedInputs {
    standard: Vec<f64>,
    /// Row by row; 1 on the diagonal.
    coefficients: Vec<f64>,
}

impl CorrelatedInputs {
    /// Inputs with these standard uncertainties, so far independent.
    pub fn new(standard: Vec<f64>) -> Self {
        let n = standard.len();
        let mut coefficients = vec![0.0; n * n];
        for diagonal in coefficients.iter_mut().step_by(n + 1) {
            *diagonal = 1.0;
        }
        CorrelatedInputs {
            standard,
            coefficients,
        }
    }

    /// The same inputs with the correlation coefficient of one pair set.
    ///
    /// # Errors
    /// [`CorrelationError::NoPair`] and [`CorrelationError::Coefficient`].
    pub fn correlated(
        mut self,
        first: usize,
        second: usize,
        r: f64,
    ) -> Result<Self, CorrelationError> {
        let inputs = self.standard.len();
        if first == second || first >= inputs || second >= inputs {
            return Err(CorrelationError::NoPair {
                first,
                second,
                inputs,
            });
        }
        if !(-1.0..=1.0).contains(&r) {
            return Err(CorrelationError::Coefficient { r });
        }
        self.coefficients[first * inputs + second] = r;
        self.coefficients[second * inputs + first] = r;
        Ok(self)
    }

    /// Combined standard uncertainty of one output (JCGM 100:2008, 5.2.2 (16)).
    ///
    /// # Errors
    /// [`CorrelationError::Sensitivities`] and [`CorrelationError::Contradiction`].
    pub fn combined(&self, sensitivities: &[f64]) -> Result<f64, CorrelationError> {
        let parts = self.parts(sensitivities)?;
        let variance = self.together(&parts, &parts);
        // Full correlations may cancel to within rounding.
        let rounding = 1e-12 * parts.iter().map(|part| part * part).sum::<f64>();
        if variance < -rounding {
            return Err(CorrelationError::Contradiction { variance });
        }
        Ok(variance.max(0.0).sqrt())
    }

    /// Covariance of two outputs of these inputs (JCGM 100:2008, H.2.3 (H.9)).
    ///
    /// # Errors
    /// [`CorrelationError::Sensitivities`].
    pub fn covariance(&self, one: &[f64], other: &[f64]) -> Result<f64, CorrelationError> {
        Ok(self.together(&self.parts(one)?, &self.parts(other)?))
    }

    /// Correlation coefficient of two outputs of these inputs (JCGM 100:2008, 5.2.2 (14)); none
    /// where one of them has no uncertainty.
    ///
    /// # Errors
    /// As [`CorrelatedInputs::combined`].
    pub fn correlation(&self, one: &[f64], other: &[f64]) -> Result<Option<f64>, CorrelationError> {
        // r(y_l, y_m) = u(y_l, y_m) / (u(y_l) u(y_m))
        let product = self.combined(one)? * self.combined(other)?;
        let covariance = self.covariance(one, other)?;
        Ok((product > 0.0).then(|| (covariance / product).clamp(-1.0, 1.0)))
    }

    /// c_i u(x_i)
    fn parts(&self, sensitivities: &[f64]) -> Result<Vec<f64>, CorrelationError> {
        if sensitivities.len() != self.standard.len() {
            return Err(CorrelationError::Sensitivities {
                sensitivities: sensitivities.len(),
                inputs: self.standard.len(),
            });
        }
        let pairs = sensitivities.iter().zip(&self.standard);
        Ok(pairs.map(|(c, u)| c * u).collect())
    }

    /// u(y_l, y_m) = Σ_i Σ_j c_li c_mj u(x_i) u(x_j) r(x_i, x_j)
    fn together(&self, one: &[f64], other: &[f64]) -> f64 {
        let rows = self.coefficients.chunks(other.len().max(1));
        rows.zip(one)
            .map(|(row, part)| part * row.iter().zip(other).map(|(r, o)| r * o).sum::<f64>())
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_of_fully_correlated_inputs_is_certain() {
        let inputs = CorrelatedInputs::new(vec![0.1, 0.1]);
        let inputs = inputs.correlated(0, 1, 1.0).unwrap();
        assert!(inputs.combined(&[1.0, -1.0]).unwrap() < 1e-9);
        assert!((inputs.combined(&[1.0, 1.0]).unwrap() - 0.2).abs() < 1e-12);
        assert_eq!(inputs.correlation(&[1.0, 0.0], &[0.0, 0.0]), Ok(None));
    }

    #[test]
    fn what_cannot_be_is_an_error() {
        let three = || CorrelatedInputs::new(vec![1.0, 1.0, 1.0]);
        assert!(three().correlated(0, 3, 0.5).is_err());
        assert!(three().correlated(1, 1, 0.5).is_err());
        assert!(three().correlated(0, 1, 1.1).is_err());
        assert!(three().correlated(0, 1, f64::NAN).is_err());
        assert!(three().combined(&[1.0]).is_err());
        // a goes with b, b with c, but a against c: the sum of squares would be 3 + 2(−1 − 1 − 1).
        let against = three().correlated(0, 1, -1.0).unwrap();
        let against = against.correlated(1, 2, -1.0).unwrap();
        let against = against.correlated(0, 2, -1.0).unwrap();
        let error = against.combined(&[1.0, 1.0, 1.0]);
        assert!(
            matches!(error, Err(CorrelationError::Contradiction { variance }) if (variance + 3.0).abs() < 1e-12)
        );
        assert!(CorrelatedInputs::new(Vec::new()).combined(&[]).unwrap() < 1e-300);
    }
}
