//! What a reading should be by everything else, and how well that is known.
//!
//! Volts and variances come in from a fit; a value's distance from them goes out.

/// What other readings and the parts say a reading should be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prediction {
    /// Volts.
    pub volts: f64,
    /// Standard deviation, in volts, of the difference between a printed value and this: of what
    /// the parts leave open, the rounding and the meter.
    pub standard: f64,
}

impl Prediction {
    /// A value's distance from it, in standard deviations.
    pub fn sigmas(&self, value: f64) -> f64 {
        (value - self.volts) / self.standard
    }
}

/// Prediction of a reading that is not among those of the fit, without its own noise.
#[derive(Clone, Copy, Debug)]
pub(crate) struct NoiselessPrediction {
    /// Volts.
    pub(crate) volts: f64,
    /// Variance in V² that the parts leave open.
    pub(crate) open: f64,
}

impl NoiselessPrediction {
    /// With the variance of its own rounding and meter, in V².
    pub(crate) fn read_with(&self, noise: f64) -> Prediction {
        Prediction {
            volts: self.volts,
            standard: (self.open + noise).sqrt(),
        }
    }
}
