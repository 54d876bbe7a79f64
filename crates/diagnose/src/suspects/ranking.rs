//! What a ranking finds.

use reconcile::ReconcileError;

use crate::suspects::conclusion::Conclusion;
use crate::suspects::group::AmbiguityGroup;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::next::NextProbe;
use crate::suspects::next_ohms::NextOhms;
use crate::suspects::next_parts::NextPart;
use crate::suspects::reading::{ReadingUsed, Unused};

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
    /// [`circuit::Job::manual`]: there the drawn circuit alone says what should stand on the meter. Those
    /// that are read as printed and not as drawn are not among them.
    pub doubted: Vec<usize>,
    /// Indices into `readings` of those that fail by a printed value of `doubted`.
    pub against_print: Vec<usize>,
    /// Whether the readings show the other of two stable states than the manual's values do.
    pub in_other_state: bool,
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
