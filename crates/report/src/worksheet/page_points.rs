//! The points of a sheet, and what was read at them, as tables on a page.
//!
//! Points in probing order come in, rounded and in words; tables go out, each point one row and one
//! more for each further meter, each stage under a heading of its own.

use paper::{Align, Cell, Column, Table, Text};

use crate::clean::clean;
use crate::compare_table::{verdict, whole_verdict};
use crate::figures;
use crate::tone::Tone;

use super::model::Worksheet;
use super::point::{Boxed, Due, Printed, SheetPoint, NOTE};

/// The table to work from.
pub(crate) fn points(sheet: &Worksheet) -> Table {
    let mut table = Table::new(
        "",
        vec![
            Column::new("Point", Align::Left, 122.0),
            Column::new("Where to probe", Align::Left, 176.0),
            Column::new("Manual says", Align::Left, 80.0),
            Column::new("Should show", Align::Decimal, 90.0).unit("V"),
            Column::new("Limits", Align::Left, 70.0).unit("V"),
            Column::new("As found", Align::Left, 66.0),
            Column::new("As left", Align::Left, 66.0),
            Column::new("Remarks", Align::Left, 81.0),
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
        Cell::Text(place(point, first.map(|due| with(due, alone)))),
        Cell::Text(manual(&point.manual)),
        value(first),
        limits(first),
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
            limits(Some(due)),
            boxed(point, 0, Some(due)),
            boxed(point, 1, Some(due)),
            Cell::Empty,
        ]
    }));
    rows
}

/// The point's name, and under it how dangerous it is.
fn label(point: &SheetPoint) -> Text {
    let mut name = Text::default().bold(clean(&point.point));
    for other in &point.also {
        name = name.then(format!(
            "\nalso\u{a0}{}",
            clean(other).replace(' ', "\u{a0}")
        ));
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
    // A quotation is known by its marks; the words that lead to it would only make rows higher.
    let remarks = point.remarks.iter().map(|remark| {
        let remark = clean(remark);
        match remark.strip_prefix(NOTE) {
            Some(note) => format!("“{note}”"),
            None => remark,
        }
    });
    for line in with.into_iter().chain(remarks) {
        text = text.then(format!("\n{line}"));
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
        (Some(range), true) => format!("on the {range} range"),
        (Some(range), false) => format!("with {meter} on {range}"),
        (None, _) => format!("with {meter}"),
    }
}

fn manual(manual: &Printed) -> Text {
    let mut text = Text::default().bold(clean(&manual.text));
    if !manual.meter.is_empty() {
        text = text.then(format!("\n{}", clean(&manual.meter)));
    }
    if let Some(volts) = manual.range {
        let assumed = manual.range_assumed == Some(true);
        let range = figures::range(volts, assumed).replace(' ', "\u{a0}");
        text = text.then(format!(" on\u{a0}{range}"));
    }
    text
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

fn limits(due: Option<&Due>) -> Cell {
    match due {
        None => Cell::from("—"),
        Some(due) if due.limits.is_empty() => Cell::from("none stated"),
        // Parted after the ellipsis only, where the column is too narrow for both limits.
        Some(due) => Cell::from(due.limits.replace(" …", "\u{a0}…")),
    }
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

/// Every reading with its verdict; none on a sheet without readings.
pub(crate) fn results(sheet: &Worksheet) -> Option<Table> {
    let all = || sheet.points.iter().flat_map(|point| &point.found);
    all().next()?;
    let with_set = all().any(|found| !found.set.is_empty() || !found.date.is_empty());
    let mut columns = vec![Column::new("Point", Align::Left, 60.0)];
    if with_set {
        columns.push(Column::new("Set, date", Align::Left, 80.0));
    }
    columns.extend([
        Column::new("Read", Align::Decimal, 70.0),
        Column::new("With", Align::Left, 100.0),
        Column::new("Off", Align::Decimal, 50.0).unit("%"),
        Column::new("p", Align::Right, 40.0).unit("%"),
        Column::new("Verdict", Align::Left, 110.0),
    ]);
    let mut table = Table::new("", columns);
    for point in &sheet.points {
        for found in &point.found {
            let (word, tone) = whole_verdict(found.judged);
            let mut row = vec![Cell::from(clean(&point.point))];
            if with_set {
                let when = [found.set.as_str(), found.date.as_str()];
                let when: Vec<&str> = when.into_iter().filter(|w| !w.is_empty()).collect();
                row.push(Cell::from(clean(&when.join(", "))));
            }
            row.extend([
                Cell::from(clean(&found.text)),
                Cell::from(clean(&found.with)),
                Cell::from(found.off_percent.clone()),
                Cell::from(found.chance_percent.clone()),
                Cell::Text(match tone {
                    Tone::Bad => Text::default().bold(word),
                    Tone::Plain | Tone::Good => Text::from(word),
                }),
            ]);
            table.row(row);
        }
    }
    Some(table)
}
