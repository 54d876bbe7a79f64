//! Shares of outcomes.

use super::run::Told;

/// Bounds of the bins of claimed odds.
pub const BINS: [(f64, f64); 5] = [
    (0.0, 0.5),
    (0.5, 0.7),
    (0.7, 0.85),
    (0.85, 0.95),
    (0.95, 1.01),
];

/// A bin of claimed odds: how many sets, what was claimed in the mean, what was right.
#[derive(Clone, Copy, Debug)]
pub struct Bin {
    pub sets: usize,
    pub claimed: f64,
    pub right: f64,
}

/// The reliability of some outcomes.
pub fn reliability<'a>(told: impl Iterator<Item = &'a Told<'a>>) -> [Bin; 5] {
    let mut sums = [(0usize, 0.0, 0.0); 5];
    for one in told {
        let claimed = one.outcome.claimed;
        let bin = BINS
            .iter()
            .position(|(low, high)| claimed >= *low && claimed < *high);
        let sum = &mut sums[bin.unwrap_or(0)];
        sum.0 += 1;
        sum.1 += claimed;
        sum.2 += f64::from(u8::from(one.outcome.is_right()));
    }
    sums.map(|(sets, claimed, right)| Bin {
        sets,
        claimed: claimed / sets.max(1) as f64,
        right: right / sets.max(1) as f64,
    })
}

/// Share of outcomes that are so; 0 of none.
pub fn share<'a>(
    told: impl Iterator<Item = &'a Told<'a>> + Clone,
    is: impl Fn(&Told<'a>) -> bool,
) -> f64 {
    let whole = told.clone().count();
    told.filter(|one| is(one)).count() as f64 / whole.max(1) as f64
}
