//! A published figure, and what the fit left of it.
//!
//! The laws were fitted to published points by an independent script, which left residuals. A law
//! must land on the product of figure and residual.

/// Residuals are printed to 0.1 %, so half of that; as much again for the parameters, which are
/// kept to five digits and enter through mu with up to six times their weight.
const SHARE: f64 = 0.001;

/// A published figure, and the residual in percent that the fitting script reported.
pub struct Figure(pub f64, pub f64);

impl Figure {
    pub fn check(&self, got: f64, what: &str) {
        let Figure(published, percent) = self;
        let want = published * (1.0 + percent / 100.0);
        let tolerance = SHARE * published;
        assert!(
            (got - want).abs() <= tolerance,
            "{what}: want {want:e} (published {published:e} {percent:+} %), got {got:e}, miss \
             {:e}, allowed {tolerance:e}",
            (got - want).abs()
        );
    }
}
