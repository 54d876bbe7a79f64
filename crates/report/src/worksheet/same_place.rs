//! Points that the manual names twice: in its table and again in its socket chart.
//!
//! Points in probing order come in; those whose probes go to the same places under the same
//! conditions stand together on the way out, and where they also say the same they are one point
//! with two names. Nothing that was read or printed is lost.

use circuit::{Job, ManualEntry};

use super::point::{Due, SheetPoint};

/// A point and its entry, as an index into the manual.
pub(crate) type Placed = (usize, SheetPoint);

/// Brings points of the same place together.
pub(crate) fn gathered(job: &Job, points: Vec<Placed>) -> Vec<SheetPoint> {
    let mut kept: Vec<Placed> = Vec::with_capacity(points.len());
    for (index, point) in points {
        let same = |(other, known): &Placed| {
            known.group == point.group && is_same_place(job, *other, index)
        };
        let Some(first) = kept.iter().position(same) else {
            kept.push((index, point));
            continue;
        };
        let last = first + kept[first..].iter().take_while(|one| same(one)).count();
        match kept[first..last]
            .iter_mut()
            .find(|(_, known)| says_the_same(known, &point))
        {
            Some((_, known)) => known.also.push(point.point),
            None => kept.insert(last, (index, point)),
        }
    }
    kept.into_iter().map(|(_, point)| point).collect()
}

fn is_same_place(job: &Job, a: usize, b: usize) -> bool {
    let (Some(a), Some(b)) = (job.manual.get(a), job.manual.get(b)) else {
        return false;
    };
    let drawn = |entry: &ManualEntry| entry.port.is_some();
    drawn(a) && a.port == b.port && a.quantity == b.quantity && a.settings == b.settings
}

/// Whether the second adds nothing to the first but a name: the same value printed, the same
/// expected, limits no narrower, and no reading or note of its own.
fn says_the_same(first: &SheetPoint, second: &SheetPoint) -> bool {
    let unread = second.found.is_empty() && second.boxes.iter().all(Option::is_none);
    let alike = |(a, b): (&Due, &Due)| {
        a.meter == b.meter
            && a.range == b.range
            && a.expected == b.expected
            && a.uncertainty == b.uncertainty
            && is_within(a, b)
    };
    let dues =
        first.bench.len() == second.bench.len() && first.bench.iter().zip(&second.bench).all(alike);
    let notes = second.remarks.iter();
    let mut notes = notes.filter(|remark| !first.remarks.contains(remark));
    unread && first.manual.text == second.manual.text && dues && notes.next().is_none()
}

/// Whether the first limits lie within the second.
fn is_within(first: &Due, second: &Due) -> bool {
    let volts = |due: &Due, side: usize| due.band[side].map(|limit| limit.value());
    let low = match (volts(first, 0), volts(second, 0)) {
        (_, None) => true,
        (Some(first), Some(second)) => first >= second,
        (None, Some(_)) => false,
    };
    let high = match (volts(first, 1), volts(second, 1)) {
        (_, None) => true,
        (Some(first), Some(second)) => first <= second,
        (None, Some(_)) => false,
    };
    low && high
}
