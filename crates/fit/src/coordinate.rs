//! One parameter as the search sees it: on a logarithmic or a linear scale, between bounds, with a
//! weak prior at its usual value.

use rmpfit::{MPPar, MPSide};

/// Step for the differences that the search takes, in the coordinate's own scale.
const STEP: f64 = 1e-5;

/// One parameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Coordinate {
    pub(crate) name: &'static str,
    scale: Scale,
    start: f64,
    low: f64,
    high: f64,
    usual: Option<(f64, f64)>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Scale {
    Linear,
    Logarithmic,
}

impl Coordinate {
    /// A positive parameter between two bounds.
    pub(crate) fn positive(name: &'static str, start: f64, (low, high): (f64, f64)) -> Self {
        Coordinate {
            name,
            scale: Scale::Logarithmic,
            start: start.clamp(low, high).ln(),
            low: low.ln(),
            high: high.ln(),
            usual: None,
        }
    }

    /// A parameter of either sign.
    pub(crate) fn linear(name: &'static str, start: f64, (low, high): (f64, f64)) -> Self {
        Coordinate {
            name,
            scale: Scale::Linear,
            start: start.clamp(low, high),
            low,
            high,
            usual: None,
        }
    }

    /// With a normal prior at its start; the standard deviation is that of the logarithm if it is
    /// positive.
    pub(crate) fn near(mut self, spread: f64) -> Self {
        self.usual = Some((self.start, spread));
        self
    }

    pub(crate) fn start(&self) -> f64 {
        self.start
    }

    /// The parameter itself.
    pub(crate) fn value(&self, at: f64) -> f64 {
        match self.scale {
            Scale::Linear => at,
            Scale::Logarithmic => at.exp(),
        }
    }

    /// Its deviate from what is usual.
    pub(crate) fn deviate(&self, at: f64) -> Option<f64> {
        self.usual.map(|(usual, spread)| (at - usual) / spread)
    }

    /// Whether the search was stopped by a bound.
    pub(crate) fn is_at_bound(&self, at: f64) -> bool {
        at <= self.low + STEP || at >= self.high - STEP
    }

    pub(crate) fn limits(&self) -> MPPar {
        MPPar {
            limited_low: true,
            limit_low: self.low,
            limited_up: true,
            limit_up: self.high,
            step: STEP,
            side: MPSide::Both,
            ..MPPar::new()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_positive_parameter_goes_by_its_logarithm() {
        let mu = Coordinate::positive("mu", 20.0, (1.0, 500.0)).near(0.06);
        assert!((mu.value(mu.start()) - 20.0).abs() < 1e-12);
        // One standard deviation of 6 % is a factor of e^0.06.
        let off = (20.0 * 0.06_f64.exp()).ln();
        assert!((mu.deviate(off).unwrap() - 1.0).abs() < 1e-12);
        assert!(mu.is_at_bound(500.0_f64.ln()) && !mu.is_at_bound(mu.start()));
    }
}
