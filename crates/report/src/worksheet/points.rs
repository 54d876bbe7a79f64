//! The points of a sheet as a table to work from: two lines a point, in probing order.
//!
//! Points come in, rounded and in words; a table goes out, each point one row and one more for each
//! further meter, each stage under a heading of its own, what asks for another setting of the controls
//! after the rest of its stage.

use circuit::{Job, Quantity};
use translate::Verdict;

use crate::figures;
use crate::places::usual_reference;
use crate::readings::{verdict, whole_verdict};
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
            Column::new("where", "", Align::Left),
            Column::new("should show", "V", Align::Right),
            Column::new("limits", "V", Align::Limits),
            Column::new("as found", "V", Align::Left),
            Column::new("as left", "V", Align::Left),
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
            (0, _) => point.place.clone(),
            (_, Some(due)) => format!("with {}", with(due)),
            _ => String::new(),
        };
        let label = match line {
            0 => label(point),
            _ => Cell::default(),
        };
        let socket = point.socket.clone().filter(|_| line == 0);
        let told = match line {
            0 => {
                let set = due.map(|due| match (alone, due.range) {
                    (true, Some(volts)) => format!("set to {}", figures::range(volts, false)),
                    _ => format!("with {}", with(due)),
                });
                below(job, point, set).join("; ")
            }
            _ => String::new(),
        };
        rows.push(vec![
            label,
            Cell::from(place).with(told).pictured(socket),
            Cell::of(Kind::Value, due.map_or("—".to_owned(), value)),
            Cell::of(Kind::Value, due.map_or("—".to_owned(), limits)),
            boxed(point, 0, due.map(|due| due.meter.as_str())),
            boxed(point, 1, due.map(|due| due.meter.as_str())),
        ]);
    }
    rows
}

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
    let told = !usual || point.place.is_empty() && point.red != point.point;
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
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for again in &point.again {
        if again.manual.text == point.manual.text {
            continue;
        }
        let words = manual(&again.manual);
        match told.iter_mut().find(|(known, _)| *known == words) {
            Some((_, names)) => names.push(again.point.clone()),
            None => told.push((words, vec![again.point.clone()])),
        }
    }
    let line = |(words, names): (String, Vec<String>)| format!("{}: {words}", short_names(&names));
    told.into_iter().map(line).collect()
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

/// Names one after another, what several begin with written once: `V4 pin 1, 5`.
pub(super) fn short_names(names: &[String]) -> String {
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
