//! How a solution was reached: reported as data, on success too.

/// How a state was reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Convergence {
    /// Newton steps taken in all.
    pub steps: usize,
    /// Largest current in amperes by which any node's balance misses zero.
    pub residual: f64,
    /// Which way led there.
    pub path: Path,
}

/// The way that led to a solution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Path {
    /// A linear circuit: one elimination.
    Linear,
    /// Newton's method straight from the start.
    Direct,
    /// By taking away an added conductance in steps.
    ConductanceStepping,
    /// By raising the sources from zero in steps.
    SourceStepping,
}
