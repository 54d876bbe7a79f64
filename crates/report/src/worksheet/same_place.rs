//! Points that the manual names twice: in its table and again in its socket chart.
//!
//! Points in probing order come in; those whose probes go to the same places under the same
//! conditions are one on the way out, with all their names and with whatever the manual says of the
//! place a second time. Where one reading could not be written for both, they stay two, next to each other.
//! Nothing that was read or printed is lost. How a sheet looks is not known here.

use circuit::{Job, RowId};

use crate::places;
use crate::remarks::UNPRINTED;

use super::point::{Again, Due, SheetPoint, Warning};
use super::rounded::Rounded;

/// A point and its row of the manual.
pub(crate) type Placed = (RowId, SheetPoint);

/// Brings points of the same place together.
pub(crate) fn gathered(job: &Job, points: Vec<Placed>) -> Vec<SheetPoint> {
    let mut kept: Vec<Placed> = Vec::with_capacity(points.len());
    for (id, mut point) in points {
        let same = |(other, _): &Placed| is_same_place(job, *other, id);
        let Some(first) = kept.iter().position(same) else {
            kept.push((id, point));
            continue;
        };
        let last = first + kept[first..].iter().take_while(|one| same(one)).count();
        let mut known = kept[first..last].iter_mut().map(|(_, known)| known);
        match known.find(|known| is_covered(known, &point)) {
            Some(known) => take_in(known, point),
            None => {
                point.group = kept[first].1.group.clone();
                kept.insert(last, (id, point));
            }
        }
    }
    kept.into_iter().map(|(_, point)| point).collect()
}

fn is_same_place(job: &Job, a: RowId, b: RowId) -> bool {
    let (a, b) = (job.row(a), job.row(b));
    a.port.is_some() && places::is_same_place(a, b)
}

/// Whether one row can stand for both: the second has no reading of its own, and what it expects
/// differs from the first by no more than the uncertainty of either, and so do its limits unless they
/// are wider.
fn is_covered(first: &SheetPoint, second: &SheetPoint) -> bool {
    let unread = second.found.is_empty() && second.boxes.iter().all(Option::is_none);
    let mut pairs = first.bench.iter().zip(&second.bench);
    let one = first.bench.len() == second.bench.len() && first.other == second.other;
    unread && one && pairs.all(|(a, b)| is_near(a, b))
}

fn is_near(a: &Due, b: &Due) -> bool {
    let known = |due: &Due| due.uncertainty.map_or(0.0, Rounded::value);
    let least = known(a).min(known(b));
    let near = |a: Option<Rounded>, b: Option<Rounded>| match (a, b) {
        (Some(a), Some(b)) => (a.value() - b.value()).abs() <= least,
        (a, b) => a.is_none() && b.is_none(),
    };
    let kept = |side: usize, sign: f64| {
        near(a.band[side], b.band[side]) || is_tighter(a.band[side], b.band[side], sign)
    };
    let limits = kept(0, 1.0) && kept(1, -1.0);
    a.meter == b.meter && a.range == b.range && near(a.expected, b.expected) && limits
}

/// Whether the first limit allows nothing that the second forbids; `sign` is 1 for lower limits, −1
/// for upper ones.
fn is_tighter(first: Option<Rounded>, second: Option<Rounded>, sign: f64) -> bool {
    match (first, second) {
        (_, None) => true,
        (None, Some(_)) => false,
        (Some(first), Some(second)) => sign * first.value() >= sign * second.value(),
    }
}

/// Adds a second point to the first: its name, the worse danger, and all it says otherwise.
fn take_in(known: &mut SheetPoint, point: SheetPoint) {
    known.also.push(point.point.clone());
    if reach(&point.danger) > reach(&known.danger) {
        known.danger = point.danger.clone();
    }
    let new = |remarks: &[String], known: &[String]| -> Vec<String> {
        let new = remarks.iter().filter(|remark| !known.contains(remark));
        new.cloned().collect()
    };
    let mut remarks = new(&point.remarks, &known.remarks);
    // Of a row that prints no value only its name and its note add anything.
    let is_unprinted = point.is_row() && point.manual.value.is_none();
    if is_unprinted {
        remarks.retain(|remark| remark != UNPRINTED);
    }
    let again = Again {
        remarks,
        brief: new(&point.brief, &known.brief),
        point: point.point,
        manual: point.manual,
        bench: point.bench,
    };
    let says_else = again.manual != known.manual || again.bench != known.bench;
    if says_else && !is_unprinted || !again.remarks.is_empty() {
        known.again.push(again);
    }
}

/// How bad a danger is: by its mark, then by the volts.
fn reach(danger: &Option<Warning>) -> (usize, f64) {
    let volts = |warning: &Warning| warning.volts.map_or(0.0, Rounded::value);
    danger
        .as_ref()
        .map_or((0, 0.0), |warning| (warning.sign.len(), volts(warning)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn due(expected: f64, uncertainty: f64, band: [Option<f64>; 2]) -> Due {
        let number = |value: f64| Rounded::to(value, 3);
        Due {
            meter: "10M".to_owned(),
            range: Some(200.0),
            expected: number(expected),
            uncertainty: number(uncertainty),
            band: band.map(|limit| limit.and_then(number)),
            limits: String::new(),
            as_first: false,
        }
    }

    #[test]
    fn one_row_stands_for_two_only_within_the_smaller_uncertainty() {
        let first = due(277.0, 14.0, [Some(223.0), Some(332.0)]);
        let near = |expected, uncertainty, low, high| {
            is_near(&first, &due(expected, uncertainty, [low, high]))
        };
        assert!(near(280.0, 28.0, Some(225.0), Some(335.0)));
        assert!(!near(292.0, 28.0, Some(225.0), Some(335.0)));
        assert!(!near(277.1, 0.0, Some(223.0), Some(332.0)));
    }

    #[test]
    fn limits_of_the_second_may_be_wider_but_not_narrower() {
        let first = due(277.0, 14.0, [Some(223.0), Some(332.0)]);
        let near = |low, high| is_near(&first, &due(277.0, 14.0, [low, high]));
        assert!(near(Some(150.0), None) && near(None, Some(400.0)));
        assert!(!near(Some(240.0), Some(332.0)) && !near(Some(223.0), Some(310.0)));
        let open = due(277.0, 14.0, [None, Some(332.0)]);
        assert!(!is_near(&open, &first));
    }

    #[test]
    fn the_worse_danger_is_kept() {
        let warning = |sign, volts| {
            Some(Warning {
                word: "",
                sign,
                volts: Rounded::to(volts, 0),
                check_rating: false,
            })
        };
        assert!(reach(&warning("!!", 60.0)) > reach(&warning("!", 90.0)));
        assert!(reach(&warning("!", 50.0)) > reach(&None));
        assert!(reach(&warning("!", 51.0)) > reach(&warning("!", 50.0)));
    }
}
