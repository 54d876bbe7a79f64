//! What the tables of a sheet say of a point, in words.
//!
//! A point comes in, rounded; its name with the danger mark, the line below it and what stands in its boxes go out.
//! Which points a table has, and in which order, is not known here.

use circuit::{Job, Quantity};
use translate::Verdict;

use crate::figures;
use crate::labels::{gathered, unbroken};
use crate::places::{says_place, usual_reference};
use crate::readings::{verdict, whole_verdict};
use crate::table::{Cell, Kind};
use crate::tone::Tone;

use super::point::{Printed, SheetPoint, Warning};
use super::reading::{Boxed, Found};

/// The name of a point with its danger mark.
pub(super) fn label(point: &SheetPoint) -> Cell {
    match &point.danger {
        Some(warning) => Cell::toned(format!("{} {}", point.point, warning.sign), Tone::Strong)
            .with(reach(warning)),
        None => Cell::toned(point.point.clone(), Tone::Strong),
    }
}

/// Where the probes go, where the black one is not at its usual place; of a current the lead to open.
fn probes(job: &Job, point: &SheetPoint) -> Option<String> {
    if point.kind == Quantity::DcMilliamperes {
        let lead = point.red.strip_suffix(", opened");
        return lead.map(|lead| format!("open the {lead}"));
    }
    let usual = Some(point.black.as_str()) == usual_reference(job) || point.black == "common";
    let told = !usual || point.place.is_empty() && !says_place(&point.point, &point.red);
    // Ends of a part are named after it: once is enough.
    let end = |place: &str| match place.split_once(" end of ") {
        Some((end, _)) => end.to_owned(),
        None => place.to_owned(),
    };
    told.then(|| format!("red to {}, black to {}", end(&point.red), end(&point.black)))
}

/// The second line of a point: its further names, what the manual says, how the meter is `set`, and
/// what to mind.
pub(super) fn below(job: &Job, point: &SheetPoint, set: Option<String>) -> Vec<String> {
    let mut words = verdicts(point);
    words.extend(probes(job, point));
    if point
        .danger
        .as_ref()
        .is_some_and(|warning| warning.check_rating)
    {
        words.push("check meter and lead rating".to_owned());
    }
    // A name that is the place itself has been said.
    let further = point.also.iter().filter(|name| **name != point.place);
    let further: Vec<String> = further.cloned().collect();
    if !further.is_empty() {
        words.push(format!("also {}", short_names(&further)));
    }
    words.push(manual(&point.manual));
    words.extend(others(point));
    words.extend(set);
    let turned = point.found.iter().map(|found| found.turned.clone());
    words.extend(turned.filter(|words| !words.is_empty()));
    if !point.change.is_empty() {
        words.push(format!("changed by {}", point.change));
    }
    words.extend(point.brief.iter().cloned());
    words.extend((!point.marks.is_empty()).then(|| format!("({})", point.marks)));
    let again = point.again.iter().flat_map(|again| {
        let phrases = again.brief.iter();
        phrases.map(move |phrase| format!("{} {phrase}", again.point))
    });
    words.extend(again);
    words
}

/// Readings that stand in no box, with their verdicts.
pub(super) fn verdicts(point: &SheetPoint) -> Vec<String> {
    let has_box = |found: &&Found| {
        let same = |boxed: &Boxed| {
            boxed.text == found.text && boxed.meter == found.meter && boxed.date == found.date
        };
        point.boxes.iter().flatten().any(same)
    };
    let told = point.found.iter().filter_map(|found| {
        let (word, _) = whole_verdict(found.judged);
        let far = match found.far.as_str() {
            "" => String::new(),
            far => format!(", {far}"),
        };
        match has_box(&found) {
            true => None,
            false => {
                let when = [found.set.as_str(), found.date.as_str()];
                let when: Vec<&str> = when.into_iter().filter(|w| !w.is_empty()).collect();
                let when = match when.is_empty() {
                    true => String::new(),
                    false => format!(" ({})", when.join(", ")),
                };
                Some(format!(
                    "read {} with {}{when}: {word}{far}",
                    found.text, found.with
                ))
            }
        }
    });
    told.collect()
}

/// How far the point may go; the mark stands beside its name.
pub(super) fn reach(warning: &Warning) -> String {
    warning.volts.map_or(String::new(), |volts| {
        format!("up to {}", figures::with_volts(&volts.text()))
    })
}

/// What the manual says and with what.
fn manual(manual: &Printed) -> String {
    format!("manual {}{}", manual.text, read_with(manual))
}

/// The meter of a printed value with its range, to stand behind it: `, 1k/V (10 V)`.
fn read_with(manual: &Printed) -> String {
    let range = manual.range.map_or(String::new(), |volts| {
        let assumed = manual.range_assumed == Some(true);
        format!(" {}", figures::range(volts, assumed))
    });
    match manual.meter.as_str() {
        "" => String::new(),
        meter => format!(", {meter}{range}"),
    }
}

/// Values by further names of a place, where they are not that of the first; its limits are never
/// the wider ones.
fn others(point: &SheetPoint) -> Vec<String> {
    let others = point.again.iter();
    let others = others.filter(|again| again.manual.text != point.manual.text);
    let told = gathered(others.map(|again| (manual(&again.manual), again.point.clone())));
    let line = |(words, names): (String, Vec<String>)| format!("{}: {words}", short_names(&names));
    told.into_iter().map(line).collect()
}

/// The box of this meter's row: what was read with its verdict, or empty to be filled.
pub(super) fn boxed(point: &SheetPoint, which: usize, of: Option<&str>) -> Cell {
    let own = |boxed: &&Boxed| {
        let volts = point.bench.iter().map(|due| &due.meter);
        let all: Vec<&String> = volts
            .chain(point.other.iter().map(|due| &due.meter))
            .collect();
        let row = all.iter().find(|meter| ***meter == boxed.meter);
        row.or(all.first()).map(|meter| meter.as_str()) == of
    };
    let Some(boxed) = point.boxes[which].as_ref().filter(own) else {
        return Cell::of(Kind::Box, "");
    };
    let under = match boxed.judged {
        Verdict::Pass | Verdict::NotJudged => "",
        other => verdict(other).0,
    };
    let text = match point.kind {
        Quantity::DcVolts => boxed.text.trim_end_matches(" V"),
        _ => boxed.text.trim_end_matches(" ac"),
    };
    Cell::of(Kind::Box, text).with(under)
}

/// The limits of what a meter may show, in words.
pub(super) fn limits(words: &str) -> String {
    match words {
        "" => "none".to_owned(),
        limits => limits.to_owned(),
    }
}

/// Names one after another, what several begin with written once: `V4 pin 1, 5`.
pub(super) fn short_names(names: &[String]) -> String {
    let mut before = String::new();
    let mut shown: Vec<String> = Vec::new();
    for name in names {
        match name.rsplit_once(' ') {
            Some((start, end)) if start == before => shown.push(end.to_owned()),
            parts => {
                before = parts.map_or(String::new(), |(start, _)| start.to_owned());
                shown.push(unbroken(name));
            }
        }
    }
    shown.join(", ")
}
