//! How a solution was reached: reported as data, on success too.

/// How a state was reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Convergence {
    /// Newton steps taken in all.
    pub steps: usize,
    /// Largest current in amperes by which any node's balance misses zero.
    pub residual: f64,
    /// The strategy that succeeded.
    pub path: Path,
}

/// The strategy that found a solution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Path {
    /// A linear circuit: one elimination.
    Linear,
    /// Newton's method from the start, without a fall-back.
    Direct,
    /// By removing an added conductance in steps.
    ConductanceStepping,
    /// By raising the sources from zero in steps.
    SourceStepping,
    /// By following the circuit in time.
    PseudoTransient,
}
