//! How closely each number of a data sheet is to be met.
//!
//! These weights are assumed, from the rounding and the scatter of printed data; no source gives
//! them.

/// One standard deviation of a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FitTolerance {
    /// Of its natural logarithm.
    Logarithmic(f64),
    /// In its own unit.
    Absolute(f64),
}

impl FitTolerance {
    /// Miss of `got` from `want` in standard deviations.
    pub fn deviate(self, want: f64, got: f64) -> f64 {
        match self {
            // A current that underflows to nothing must still have a logarithm.
            FitTolerance::Logarithmic(sigma) => (got.max(f64::MIN_POSITIVE) / want).ln() / sigma,
            FitTolerance::Absolute(sigma) => (got - want) / sigma,
        }
    }
}

/// Plate current at an operating point.
pub(crate) const PLATE_CURRENT: FitTolerance = FitTolerance::Logarithmic(0.03);
/// Screen current.
pub(crate) const SCREEN_CURRENT: FitTolerance = FitTolerance::Logarithmic(0.06);
/// Transconductance.
pub(crate) const TRANSCONDUCTANCE: FitTolerance = FitTolerance::Logarithmic(0.05);
/// Plate resistance of a triode.
pub(crate) const TRIODE_RESISTANCE: FitTolerance = FitTolerance::Logarithmic(0.07);
/// Plate resistance of a tube with a screen: printed coarsely, and scattering widely.
pub(crate) const PENTODE_RESISTANCE: FitTolerance = FitTolerance::Logarithmic(0.25);
/// Current at cut-off: a factor of 2.
pub(crate) const CUTOFF_CURRENT: FitTolerance = FitTolerance::Logarithmic(std::f64::consts::LN_2);
/// Average plate current of an oscillator: the law leaves out the plate's alternating volts.
pub(crate) const OSCILLATOR_CURRENT: FitTolerance = FitTolerance::Logarithmic(0.25);
/// Transconductance in the tail of a remote-cutoff grid.
pub(crate) const TAIL_TRANSCONDUCTANCE: FitTolerance = FitTolerance::Logarithmic(0.10);
/// A point of a curve, as a share of the largest current of its curves.
pub(crate) const CURVE_SHARE: f64 = 0.045;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_current_of_twice_the_cut_off_is_one_standard_deviation_off() {
        assert!((CUTOFF_CURRENT.deviate(10e-6, 20e-6) - 1.0).abs() < 1e-12);
        assert!((CUTOFF_CURRENT.deviate(10e-6, 5e-6) + 1.0).abs() < 1e-12);
        assert!((FitTolerance::Absolute(0.2).deviate(5.0, 4.9) + 0.5).abs() < 1e-12);
        assert!(PLATE_CURRENT.deviate(1e-3, 0.0).is_finite());
    }
}
