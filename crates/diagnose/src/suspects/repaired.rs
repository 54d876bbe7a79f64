//! Readings from before and after a repair.
//!
//! Readings in their order come in; whether a later one of the same point agrees, what a repair has changed, and
//! which readings are of the set before it go out.

use circuit::{Job, Reading, Shown};
use translate::Verdict;

use crate::suspects::reading::Sources;

/// Two readings of a point with one meter and range agree if they differ by less than this share of
/// the larger, and by so many units of the last digit (common practice, no source): the set has not
/// changed between them.
const AGREES_SHARE: f64 = 0.01;
const AGREES_DIGITS: f64 = 3.0;

/// Whether every later reading of the same point with the same meter and range agrees with it: then
/// nothing was repaired in between, and both count.
pub(super) fn confirmed(readings: &[Reading], index: usize) -> bool {
    let one = &readings[index];
    let mut later = readings.iter().skip(index + 1).filter(|other| {
        let alike = other.meter.name == one.meter.name && other.range == one.range;
        alike && other.point == one.point && other.set == one.set
    });
    later.all(|other| agree(&one.shown, &other.shown, AGREES_SHARE))
}

/// Whether two displays differ by no more than a share of the larger and a few digits.
fn agree(one: &Shown, other: &Shown, share: f64) -> bool {
    match (one, other) {
        (Shown::Value(a), Shown::Value(b)) => {
            let digits = AGREES_DIGITS * a.resolution.max(b.resolution);
            let most = a.value.abs().max(b.value.abs());
            (a.value - b.value).abs() <= share * most + digits
        }
        (Shown::Overrange, Shown::Overrange) => true,
        _ => false,
    }
}

/// A point whose later reading differs from the earlier by more than this share of the larger was repaired, or
/// spoiled; the line alone moves all readings by less (common practice, no source).
const REPAIRED_SHARE: f64 = 0.1;

/// Fewest points that have to change so much: one alone may be a slip that was read again.
const REPAIRED_POINTS: usize = 2;

/// Pairs of an earlier and a later reading of points that a repair has changed; empty where none has.
pub(super) fn repaired(readings: &[Reading], replaced: &[usize]) -> Vec<(usize, usize)> {
    let last = |old: usize| {
        let mut later = (old + 1..readings.len()).rev();
        later.find(|new| {
            let (old, new) = (&readings[old], &readings[*new]);
            old.point == new.point && old.set == new.set && old.meter.name == new.meter.name
        })
    };
    let pairs = replaced.iter().filter_map(|old| Some((*old, last(*old)?)));
    let pairs: Vec<(usize, usize)> = pairs
        .filter(|(old, new)| !agree(&readings[*old].shown, &readings[*new].shown, REPAIRED_SHARE))
        .collect();
    let mut points: Vec<&str> = pairs
        .iter()
        .map(|(old, _)| readings[*old].point.as_str())
        .collect();
    points.sort_unstable();
    points.dedup();
    match points.len() >= REPAIRED_POINTS {
        true => pairs,
        false => Vec::new(),
    }
}

/// Whether a reading was surely taken before a repair and does not pass: of a point that was in order before,
/// nothing says that the repair has changed it.
pub(super) fn is_stale(
    job: &Job,
    sources: &Sources<'_>,
    repaired: &[(usize, usize)],
    index: usize,
) -> bool {
    let compared = sources.comparison.readings.get(index);
    let verdict = compared.map(|compared| compared.judgement.verdict);
    let passes = matches!(verdict, Some(Verdict::Pass | Verdict::ConditionalPass));
    let before = |(old, new): &(usize, usize)| {
        let order = circuit::read_before(&job.readings[index], &job.readings[*new]);
        // Without dates only what stands above the old reading is surely older.
        order.unwrap_or(index < *old)
    };
    !passes && repaired.iter().any(before)
}
