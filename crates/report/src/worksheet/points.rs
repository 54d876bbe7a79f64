//! The points of a sheet as a table to work from: two lines a point, in probing order.
//!
//! Points come in, rounded and in words; a table goes out, each point one row and one more for each
//! further meter, each stage under a heading of its own, what asks for another setting of the controls
//! after the rest of its stage.

use circuit::Job;
use translate::Verdict;

use crate::figures;
use crate::places::usual_reference;
use crate::readings::whole_verdict;
use crate::table::{Align, Cell, Column, Kind, Table};
use crate::tone::Tone;

use super::model::Worksheet;
use super::point::{Due, Printed, SheetPoint, Warning};
use super::reading::{Boxed, Found};

/// The table to work from.
pub(super) fn points(job: &Job, sheet: &Worksheet) -> Table {
    let mut rows = Vec::new();
    let (mut group, mut set) = (String::new(), String::new());
    let alone = sheet.bench_meters.len() == 1;
    let mut undo = String::new();
    for point in in_order(sheet) {
        if (point.group.as_str(), point.set_to.as_str()) != (group.as_str(), set.as_str()) {
            rows.extend(again(&mut undo));
            (group, set) = (point.group.clone(), point.set_to.clone());
            let words = match set.as_str() {
                "" => group.clone(),
                set => format!("{group}, with {set}"),
            };
            rows.push(Cell::group(words, Tone::Strong));
            undo.clone_from(&point.set_back);
        }
        rows.extend(rows_of(job, point, alone));
    }
    rows.extend(again(&mut undo));
    Table {
        columns: vec![
            Column::new("point", "", Align::Left),
            Column::new("red probe to", "", Align::Left),
            Column::new("should show", "V", Align::Right),
            Column::new("limits", "V", Align::Limits),
            Column::new("as found", "", Align::Left),
            Column::new("as left", "", Align::Left),
        ],
        rows,
    }
}

/// The word to undo a setting, once.
fn again(undo: &mut String) -> Option<Vec<Cell>> {
    let words = std::mem::take(undo);
    (!words.is_empty()).then(|| Cell::group(format!("Now {words}."), Tone::Plain))
}

/// Points that are translated, those of a stage together, in it those without settings first.
fn in_order(sheet: &Worksheet) -> Vec<&SheetPoint> {
    let told: Vec<&SheetPoint> = sheet.points.iter().filter(|point| point.is_row()).collect();
    let mut groups: Vec<&str> = Vec::new();
    for point in &told {
        if !groups.contains(&point.group.as_str()) {
            groups.push(&point.group);
        }
    }
    let of_group = |group: &&str| {
        let mut own: Vec<&SheetPoint> =
            told.iter().copied().filter(|p| p.group == *group).collect();
        own.sort_by_key(|point| point.set_to.clone());
        own
    };
    groups.iter().flat_map(of_group).collect()
}

/// The rows of a point, one for each bench meter; a meter that is `alone` need not be named.
fn rows_of(job: &Job, point: &SheetPoint, alone: bool) -> Vec<Vec<Cell>> {
    let mut rows = Vec::new();
    let dues: Vec<Option<&Due>> = match point.bench.is_empty() {
        true => vec![None],
        false => point.bench.iter().map(Some).collect(),
    };
    for (line, due) in dues.into_iter().enumerate() {
        let place = match (line, due) {
            (0, _) => place(job, point),
            (_, Some(due)) => format!("with {}", with(due)),
            _ => String::new(),
        };
        let label = match (line, &point.danger) {
            (0, Some(warning)) => format!("{} {}", point.point, warning.sign),
            (0, None) => point.point.clone(),
            _ => String::new(),
        };
        rows.push(vec![
            Cell::toned(label, Tone::Strong),
            Cell::from(place),
            Cell::of(Kind::Value, due.map_or("—".to_owned(), value)),
            Cell::of(Kind::Value, due.map_or("—".to_owned(), limits)),
            Cell::of(Kind::Box, boxed(point, 0, due)),
            Cell::of(Kind::Box, boxed(point, 1, due)),
        ]);
        if line == 0 {
            let words = below(point, due.filter(|_| !alone));
            rows.extend((!words.is_empty()).then(|| Cell::below(words.join("; "))));
        }
    }
    rows
}

/// Where the red probe goes, and the black one where it is not at its usual place.
fn place(job: &Job, point: &SheetPoint) -> String {
    let usual = Some(point.black.as_str()) == usual_reference(job) || point.black == "common";
    match usual {
        true => point.red.clone(),
        false => format!("{}, black to {}", point.red, point.black),
    }
}

/// The second line of a point: its verdict, its danger, what the manual says, and what to mind.
fn below(point: &SheetPoint, due: Option<&Due>) -> Vec<String> {
    let mut words = verdicts(point);
    words.extend(point.danger.as_ref().map(danger));
    if !point.also.is_empty() {
        words.push(format!("also {}", short_names(&point.also)));
    }
    words.push(manual(&point.manual));
    words.extend(others(point));
    words.extend(due.map(|due| format!("with {}", with(due))));
    if !point.change.is_empty() {
        words.push(format!("changed by {}", point.change));
    }
    words.extend(point.brief.iter().cloned());
    let again = point.again.iter().flat_map(|again| {
        let phrases = again.brief.iter();
        phrases.map(move |phrase| format!("{} {phrase}", again.point))
    });
    words.extend(again);
    words
}

/// Readings that do not simply pass, and those that stand in no box.
fn verdicts(point: &SheetPoint) -> Vec<String> {
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
        match (has_box(&found), found.judged) {
            (true, Verdict::Pass | Verdict::NotJudged) => None,
            (true, _) => Some(format!("{word}{far}")),
            (false, _) => {
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

/// The mark, how far the point may go, and what to look at.
fn danger(warning: &Warning) -> String {
    let volts = warning.volts.map_or(String::new(), |volts| {
        format!(": may reach {}", figures::with_volts(&volts.text()))
    });
    let rating = match warning.check_rating {
        true => ", check meter and lead rating",
        false => "",
    };
    format!("{} {}{volts}{rating}", warning.sign, warning.word)
}

/// What the manual says and with what.
fn manual(manual: &Printed) -> String {
    let range = manual.range.map_or(String::new(), |volts| {
        let assumed = manual.range_assumed == Some(true);
        format!(" {}", figures::range(volts, assumed))
    });
    match manual.meter.as_str() {
        "" => format!("manual {}", manual.text),
        meter => format!("manual {} with {meter}{range}", manual.text),
    }
}

/// Values and limits by further names of a place, where they are not those of the first.
fn others(point: &SheetPoint) -> Vec<String> {
    let mut told: Vec<String> = Vec::new();
    for again in &point.again {
        let own = (again.manual.text != point.manual.text)
            .then(|| format!("{}: {}", again.point, manual(&again.manual)));
        let limits = again
            .bench
            .iter()
            .zip(&point.bench)
            .filter_map(|(other, first)| {
                let (other, first) = (limits(other), limits(first));
                (other != first).then(|| format!("{} limits {other} V", again.point))
            });
        for words in own.into_iter().chain(limits) {
            told.push(words);
        }
    }
    told
}

/// The meter and its range.
fn with(due: &Due) -> String {
    match due.range {
        Some(volts) => format!("{} on {}", due.meter, figures::range(volts, false)),
        None => due.meter.clone(),
    }
}

/// What the meter should show, with its uncertainty.
fn value(due: &Due) -> String {
    let expected = due.expected.map_or("—".to_owned(), |value| value.text());
    match due.uncertainty {
        Some(uncertainty) => format!("{expected} ± {}", uncertainty.text()),
        None => expected,
    }
}

fn limits(due: &Due) -> String {
    match due.limits.as_str() {
        "" => "none".to_owned(),
        limits => limits.to_owned(),
    }
}

/// What stands in a box of this meter's row; empty where it is to be filled.
fn boxed(point: &SheetPoint, which: usize, due: Option<&Due>) -> String {
    let own = |boxed: &&Boxed| {
        let same = |due: &&Due| due.meter == boxed.meter;
        let row = point.bench.iter().find(same).or(point.bench.first());
        row.map(|row| &row.meter) == due.map(|due| &due.meter)
    };
    let boxed = point.boxes[which].as_ref().filter(own);
    boxed.map_or(String::new(), |boxed| boxed.text.clone())
}

/// Names one after another, what several begin with written once: `V4 pin 1, 5`.
fn short_names(names: &[String]) -> String {
    let mut before = String::new();
    let mut shown: Vec<String> = Vec::new();
    for name in names {
        match name.rsplit_once(' ') {
            Some((start, end)) if start == before => shown.push(end.to_owned()),
            parts => {
                before = parts.map_or(String::new(), |(start, _)| start.to_owned());
                shown.push(name.replace(' ', "\u{a0}"));
            }
        }
    }
    shown.join(", ")
}

/// Points that are not translated, those of which the same is to be said in one line.
pub(super) fn untranslated(sheet: &Worksheet) -> Vec<String> {
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for point in sheet.points.iter().filter(|point| !point.is_row()) {
        let mut words = vec![point.manual.text.clone()];
        words.extend(point.danger.as_ref().map(danger));
        words.extend(verdicts(point));
        words.extend(
            point
                .boxes
                .iter()
                .flatten()
                .map(|boxed| format!("read {}", boxed.text)),
        );
        words.extend(point.brief.iter().cloned());
        let words = words.join("; ");
        let names = std::iter::once(&point.point).chain(&point.also).cloned();
        match told.iter_mut().find(|(known, _)| *known == words) {
            Some((_, own)) => own.extend(names),
            None => told.push((words, names.collect())),
        }
    }
    let line = |(words, names): (String, Vec<String>)| format!("{}: {words}.", short_names(&names));
    told.into_iter().map(line).collect()
}
