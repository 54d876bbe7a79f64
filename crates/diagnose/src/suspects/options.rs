//! What a ranking is asked for.

use crate::suspects::priors::AgeFactors;

/// What to look for.
#[derive(Clone, Debug, PartialEq)]
pub struct SuspectOptions {
    /// Which set's readings; those of the first reading's set if none is named.
    pub set: Option<String>,
    /// Factors on the rates of failure, by class of part.
    pub ages: AgeFactors,
    /// Whether to try two faults at once.
    pub pairs: bool,
    /// How many next probes to name.
    pub probes: usize,
    /// Share of the expected gain taken off at a hazardous point, 0 to 1.
    pub hazard_penalty: f64,
}

impl Default for SuspectOptions {
    fn default() -> Self {
        SuspectOptions {
            set: None,
            ages: AgeFactors::default(),
            pairs: false,
            probes: 3,
            hazard_penalty: 0.2,
        }
    }
}

/// Asked now and then with how many steps of a ranking are done and how many there are; where it says
/// no, the ranking stops. From any thread.
pub type GoOn<'a> = &'a (dyn Fn(usize, usize) -> bool + Sync);
