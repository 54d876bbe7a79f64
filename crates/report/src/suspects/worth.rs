//! Which further readings are named, and how many of their predictions.

use diagnose::{entropy_bits, Suspects};

/// Bits, and share of what is open, below which a further reading is not suggested.
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

/// Decimals that show a thousandth of full scale.
pub(crate) fn decimals_on(full_scale: f64) -> usize {
    match full_scale.is_finite() && full_scale > 0.0 {
        true => (3.0 - full_scale.log10().ceil()).clamp(0.0, 4.0) as usize,
        false => 1,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn predictions_show_a_thousandth_of_full_scale() {
        let got = [0.2, 2.0, 2.5, 20.0, 200.0, 1000.0, f64::INFINITY].map(decimals_on);
        assert_eq!(got, [3, 2, 2, 1, 0, 0, 1]);
    }
}
