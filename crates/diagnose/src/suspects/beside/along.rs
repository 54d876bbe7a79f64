//! What readings beside the direct volts say along the sizes of a fault.
//!
//! What they show at even steps of the size comes in; what they show between those, and the middle of weighed
//! sizes, go out.

use translate::OhmsSeen;

use super::ohms::Seen;

/// What readings say along the sizes of a fault.
#[derive(Default)]
pub(super) struct Along {
    /// Logarithm of the likelihood, averaged over the sizes that the volts leave open.
    pub(super) mean: f64,
    /// The same at its best.
    pub(super) most: f64,
    /// Logarithms of the size: the ends of the middle 68 %, with the most probable between them.
    pub(super) sizes: Option<[f64; 3]>,
}

/// The most probable of weighed sizes and the ends of the middle 68 %; none if nothing weighs.
pub(super) fn middle_of(weights: &[(f64, f64)], whole: f64) -> Option<[f64; 3]> {
    if whole.is_nan() || whole <= 0.0 {
        return None;
    }
    let mode = weights.iter().max_by(|a, b| a.1.total_cmp(&b.1))?.0;
    let at = |share: f64| {
        let mut sum = 0.0;
        let mut all = weights.iter();
        let found = all.find(|(_, weight)| {
            sum += weight;
            sum >= share * whole
        });
        found.map(|(size, _)| *size)
    };
    Some([at(0.16)?, mode, at(0.84)?])
}

/// Readings between those at even steps of the size, by their logarithm.
pub(super) fn between(seen: &[Vec<Seen>], at: f64) -> Vec<Seen> {
    let place = at * (seen.len() - 1) as f64;
    let low = (place.floor() as usize).min(seen.len() - 2);
    let share = place - low as f64;
    let mix = |a: f64, b: f64| match a.is_finite() && b.is_finite() {
        true => {
            let log = |value: f64| value.max(1e-6).ln();
            (log(a) * (1.0 - share) + log(b) * share).exp()
        }
        false if share < 0.5 => a,
        false => b,
    };
    let both = |a: OhmsSeen, b: OhmsSeen| OhmsSeen {
        red: mix(a.red, b.red),
        exchanged: mix(a.exchanged, b.exchanged),
    };
    let pairs = seen[low].iter().zip(&seen[low + 1]);
    pairs
        .map(|(a, b)| Seen {
            shown: both(a.shown, b.shown),
            leaks: a.leaks * (1.0 - share) + b.leaks * share,
            perfect: both(a.perfect, b.perfect),
        })
        .collect()
}
