//! The points of a sheet as a table on a page.
//!
//! Points in probing order come in, rounded and in words; a table goes out, each point one row and one
//! more for each further meter, each stage under a heading of its own.

use paper::{Align, Cell, Column, Table, Text};

use crate::clean::clean;
use crate::compare_table::verdict;
use crate::figures;

use super::model::Worksheet;
use super::point::{Due, Printed, SheetPoint};
use super::reading::Boxed;

/// The table to work from.
pub(crate) fn points(sheet: &Worksheet) -> Table {
    let mut table = Table::new(
        "",
        vec![
            // Wide enough for the longest value also on the narrower of the two papers.
            Column::new("Point", Align::Left, 129.0),
            Column::new("Where to probe", Align::Left, 166.0),
            Column::new("Manual says", Align::Left, 101.0),
            Column::new("Should show", Align::Decimal, 98.0).unit("V"),
            Column::new("Limits", Align::Left, 84.0).unit("V"),
            Column::new("As found", Align::Left, 67.0),
            Column::new("As left", Align::Left, 63.0),
            Column::new("Remarks", Align::Left, 68.0),
        ],
    );
    let alone = sheet.bench_meters.len() == 1;
    let mut group = "";
    for point in &sheet.points {
        if point.group != group {
            group = &point.group;
            table.group(clean(group));
        }
        for row in rows(point, alone) {
            table.row(row);
        }
    }
    table
}

/// The rows of a point, one for each bench meter; a meter that is `alone` need not be named.
fn rows(point: &SheetPoint, alone: bool) -> Vec<Vec<Cell>> {
    let first = point.bench.first();
    let mut rows = vec![vec![
        Cell::Text(label(point)),
        pictured(point, place(point, first.map(|due| with(due, alone)))),
        Cell::Text(manual(point)),
        value(first),
        limits(first, others(point)),
        boxed(point, 0, first),
        boxed(point, 1, first),
        Cell::Blank,
    ]];
    rows.extend(point.bench.iter().skip(1).map(|due| {
        vec![
            Cell::Text(clean(&point.point).into()),
            Cell::Text(with(due, alone).into()),
            Cell::Empty,
            value(Some(due)),
            limits(Some(due), others(point)),
            boxed(point, 0, Some(due)),
            boxed(point, 1, Some(due)),
            Cell::Empty,
        ]
    }));
    rows
}

/// Words beside the base that the point is at.
fn pictured(point: &SheetPoint, words: Text) -> Cell {
    match &point.socket {
        Some(socket) => Cell::Pictured(socket.clone(), words),
        None => Cell::Text(words),
    }
}

/// The point's name, and under it how dangerous it is.
fn label(point: &SheetPoint) -> Text {
    let mut name = Text::default().bold(clean(&point.point));
    if !point.also.is_empty() {
        name = name.then(format!("  also {}", short_names(&point.also)));
    }
    let Some(warning) = &point.danger else {
        return name;
    };
    let volts = warning.volts.map_or(String::new(), |volts| {
        let volts = figures::with_volts(&volts.text());
        format!(" up to {}", volts.replace(' ', "\u{a0}"))
    });
    let rating = match warning.check_rating {
        true => "\ncheck rating of meter and leads",
        false => "",
    };
    name.then("\n")
        .bold(format!("{}\u{a0}{}", warning.sign, warning.word))
        .then(format!("{volts}{rating}"))
}

/// Names one after another, what several begin with written once: `V4 pin 1, 5`.
fn short_names(names: &[String]) -> String {
    let mut before = String::new();
    let mut shown: Vec<String> = Vec::new();
    for name in names {
        let name = clean(name);
        match name.rsplit_once(' ') {
            Some((start, end)) if start == before => shown.push(end.to_owned()),
            parts => {
                before = parts.map_or(String::new(), |(start, _)| start.to_owned());
                shown.push(whole(&name));
            }
        }
    }
    shown.join(", ")
}

/// Words that stay in one line.
fn whole(words: &str) -> String {
    clean(words).replace(' ', "\u{a0}")
}

/// Where both probes go, with what, and what else to mind.
fn place(point: &SheetPoint, with: Option<String>) -> Text {
    let mut text = Text::default()
        .then("red\u{a0}")
        .bold(whole(&point.red))
        .then(", black\u{a0}")
        .bold(whole(&point.black));
    let again = point.again.iter().flat_map(|again| {
        let name = whole(&again.point);
        let phrases = again.brief.iter();
        phrases.map(move |phrase| format!("{name} {}", clean(phrase)))
    });
    let phrases: Vec<String> = with
        .into_iter()
        .chain(point.brief.iter().map(|phrase| clean(phrase)))
        .chain(again)
        .collect();
    if !phrases.is_empty() {
        text = text.then(format!("\n{}", phrases.join("; ")));
    }
    text
}

/// The meter and its range; numbers stay with their unit.
fn with(due: &Due, alone: bool) -> String {
    let range = due
        .range
        .map(|volts| figures::range(volts, false).replace(' ', "\u{a0}"));
    let meter = clean(&due.meter);
    match (range, alone) {
        (Some(range), true) => format!("range\u{a0}{range}"),
        (Some(range), false) => format!("with {meter} on {range}"),
        (None, _) => format!("with {meter}"),
    }
}

/// What the manual says, also under further names.
fn manual(point: &SheetPoint) -> Text {
    let first = &point.manual;
    let mut text = Text::default().bold(whole(&first.text));
    let mut told = vec![(&first.text, read_with(first))];
    if !read_with(first).is_empty() {
        text = text.then(format!("\n{}", read_with(first)));
    }
    for again in point.again.iter().map(|again| &again.manual) {
        let (value, with) = (&again.text, read_with(again));
        if told.contains(&(value, with.clone())) {
            continue;
        }
        text = match told.iter().any(|(known, _)| *known == value) {
            true => text.then(format!("\nor {with}")),
            false => text
                .then("\nor ")
                .bold(whole(value))
                .then(format!("\n{with}")),
        };
        told.push((value, with));
    }
    text
}

/// The manual's meter and its range; numbers stay with their unit.
fn read_with(manual: &Printed) -> String {
    let meter = clean(&manual.meter);
    let Some(volts) = manual.range else {
        return meter;
    };
    let assumed = manual.range_assumed == Some(true);
    let range = figures::range(volts, assumed).replace(' ', "\u{a0}");
    format!("{meter} on\u{a0}{range}")
}

/// What the meter should show, with its uncertainty.
fn value(due: Option<&Due>) -> Cell {
    let Some(expected) = due.and_then(|due| due.expected) else {
        return Cell::from("—");
    };
    Cell::Value(match due.and_then(|due| due.uncertainty) {
        Some(uncertainty) => format!("{}\u{a0}±\u{a0}{}", expected.text(), uncertainty.text()),
        None => expected.text(),
    })
}

/// What a meter should show by the manual's further names for a point.
fn others(point: &SheetPoint) -> impl Iterator<Item = &Due> {
    point.again.iter().flat_map(|again| &again.bench)
}

/// The limits, and below them those by further names, where they are not the same.
fn limits<'a>(due: Option<&Due>, others: impl Iterator<Item = &'a Due>) -> Cell {
    let Some(due) = due else {
        return Cell::from("—");
    };
    // Parted after the ellipsis only, where the column is too narrow for both limits.
    let words = |due: &Due| match due.limits.as_str() {
        "" => "none stated".to_owned(),
        limits => limits.replace(" …", "\u{a0}…"),
    };
    let mut told = vec![words(due)];
    for other in others.filter(|other| other.meter == due.meter) {
        let other = format!("or {}", words(other));
        if !told.contains(&other) && other[3..] != told[0] {
            told.push(other);
        }
    }
    Cell::from(told.join("\n"))
}

/// A box to write in, or what was read already.
fn boxed(point: &SheetPoint, which: usize, due: Option<&Due>) -> Cell {
    let Some(boxed) = point.boxes[which]
        .as_ref()
        .filter(|b| is_row_of(b, point, due))
    else {
        return Cell::Blank;
    };
    let change = match which {
        0 => "",
        _ => point.change.as_str(),
    };
    let (word, _) = verdict(boxed.judged);
    let mut text = Text::default()
        .bold(clean(&boxed.text).replace(' ', "\u{a0}"))
        .then(format!("\n{word}"));
    if !boxed.off_percent.is_empty() {
        text = text.then(format!(" {}\u{a0}%", boxed.off_percent));
    }
    if !change.is_empty() {
        text = text.then(format!("\nchange {}", change.replace(' ', "\u{a0}")));
    }
    if !boxed.date.is_empty() {
        text = text.then(format!("\n{}", clean(&boxed.date)));
    }
    Cell::Text(text)
}

/// Whether a reading belongs in the row of this meter: the one it was taken with, or else the
/// first.
fn is_row_of(boxed: &Boxed, point: &SheetPoint, due: Option<&Due>) -> bool {
    let own = |due: &&Due| due.meter == boxed.meter;
    let row = point.bench.iter().find(own).or(point.bench.first());
    row.map(|row| &row.meter) == due.map(|due| &due.meter)
}
