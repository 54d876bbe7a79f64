//! Which further readings are worth a word, and how much of their predictions is told.

use diagnose::{entropy_bits, Suspects};

/// Bits, and share of what is open, below which a further reading is not worth the walk to the bench.
pub(super) const LEAST_BITS: f64 = 0.05;
pub(super) const LEAST_SHARE: f64 = 0.05;

/// Predicted figures that are told, faults that are named at each, and the probability below which
/// a fault is left out.
pub(super) const TOLD: usize = 4;
pub(super) const NAMED: usize = 3;
pub(super) const LEAST: f64 = 0.005;

/// How open the question is: the entropy of all faults, in bits.
pub(super) fn open_bits(suspects: &Suspects) -> f64 {
    let members = suspects.hypotheses.iter().flat_map(|one| &one.members);
    let odds: Vec<f64> = members.map(|member| member.probability).collect();
    entropy_bits(&odds).max(f64::MIN_POSITIVE)
}
