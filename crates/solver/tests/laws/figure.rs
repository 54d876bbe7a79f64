//! A published figure, and what the fit left of it.
//!
//! Two checks. The law must come as near to the published figure as such figures are good for; and it must
//! land where an independent script that fitted the same law says that it does, which is a pin of this
//! program's law to that script's, no evidence for the law.

/// What a typical value of a tube manual is good for, as a share of it: its two or three figures are read
/// off curves of an average tube (common practice, no source).
const PUBLISHED: f64 = 0.10;

/// The same for the plate resistance of a pentode, which manuals give to one figure and call approximate.
const APPROXIMATE: f64 = 0.25;

/// Residuals are printed to 0.1 %, so half of that; as much again for the parameters, which are
/// kept to five digits and enter through mu with up to six times their weight.
const PINNED: f64 = 0.001;

/// A published figure, and the residual in percent that the fitting script reported.
pub struct Figure(pub f64, pub f64);

impl Figure {
    /// Holds what the law gives against it.
    pub fn check(&self, got: f64, what: &str) {
        self.within(PUBLISHED, got, what);
    }

    /// The same for a figure that is only approximate.
    pub fn check_approximate(&self, got: f64, what: &str) {
        self.within(APPROXIMATE, got, what);
    }

    fn within(&self, share: f64, got: f64, what: &str) {
        let Figure(published, percent) = self;
        let miss = (got - published).abs();
        assert!(
            miss <= share * published,
            "{what}: published {published:e}, got {got:e}"
        );
        let pinned = published * (1.0 + percent / 100.0);
        assert!(
            (got - pinned).abs() <= PINNED * published,
            "{what}: the script has {pinned:e} ({percent:+} % of {published:e}), got {got:e}"
        );
    }
}
