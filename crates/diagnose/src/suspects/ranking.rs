//! What a ranking is asked for, and what it finds.

use reconcile::ReconcileError;

use crate::suspects::conclusion::Conclusion;
use crate::suspects::fault::Hypothesis;
use crate::suspects::group::AmbiguityGroup;
use crate::suspects::next::NextProbe;
use crate::suspects::next_ohms::NextOhms;
use crate::suspects::next_parts::NextPart;
use crate::suspects::priors::AgeFactors;
use crate::suspects::reading::{ReadingUsed, Unused};

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

/// Everything that the readings say.
#[derive(Clone, Debug)]
pub struct Suspects {
    /// All of them, the most probable first.
    pub hypotheses: Vec<AmbiguityGroup>,
    /// The readings that count; indices of suspects into readings are into this.
    pub readings: Vec<ReadingUsed>,
    /// The readings that do not.
    pub unused: Vec<Unused>,
    /// Readings of resistance that count beside the volts, as indices into [`circuit::Job::readings`].
    pub ohms: Vec<usize>,
    /// Readings of alternating volts that count beside the direct ones, likewise.
    pub alternating: Vec<usize>,
    /// Entries of the manual that the others and the drawing contradict, as indices into
    /// [`circuit::Job::manual`]: there the drawn circuit alone says what should stand on the meter.
    pub doubted: Vec<usize>,
    /// Faults that could not be tried.
    pub not_computed: Vec<NotComputed>,
    /// What to measure next, the most telling first.
    pub next: Vec<NextProbe>,
    /// What to measure with the power off, the most telling first.
    pub next_ohms: Vec<NextOhms>,
    /// Which tube to swap and which lead to lift, the most telling for its cost first.
    pub next_parts: Vec<NextPart>,
    /// Whether anything can be told.
    pub conclusion: Conclusion,
}

impl Suspects {
    /// How many readings count, whatever they measure.
    pub fn counted(&self) -> usize {
        self.readings.len() + self.ohms.len() + self.alternating.len()
    }
}

/// A fault that could not be tried.
#[derive(Clone, Debug, PartialEq)]
pub struct NotComputed {
    /// The fault.
    pub hypothesis: Hypothesis,
    /// Its probability before the readings; it is left out of those after them.
    pub prior: f64,
    /// Why.
    pub why: ReconcileError,
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
