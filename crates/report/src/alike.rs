//! Whether two meters read alike at a point, so that a sheet needs one line for both.

use translate::BenchSide;

/// Limits that differ by less than this share of their distance judge alike: less than the width of a
/// pointer on most scales (assumed, no source).
const OF_THE_BAND: f64 = 0.05;

/// Whether a reading of the second meter could stand in the line of the first: it should show the same
/// within the uncertainty of either, between the same limits.
pub(crate) fn reads_alike(first: &BenchSide, second: &BenchSide) -> bool {
    let least = first.budget.expanded().min(second.budget.expanded());
    let width = match (first.band.low, first.band.high) {
        (Some(low), Some(high)) => OF_THE_BAND * (high - low),
        _ => OF_THE_BAND * first.expected.abs(),
    };
    let near = |one: Option<f64>, other: Option<f64>| match (one, other) {
        (Some(one), Some(other)) => (one - other).abs() <= width,
        (one, other) => one.is_none() && other.is_none(),
    };
    (first.expected - second.expected).abs() <= least.min(width)
        && near(first.band.low, second.band.low)
        && near(first.band.high, second.band.high)
}
