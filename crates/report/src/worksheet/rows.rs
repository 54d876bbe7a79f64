//! The sheet's points as rows, rounded as on the sheet.

use crate::csv_text::{maybe, yes_no, Column, CsvTable};
use crate::figures::range;
use crate::views::WorksheetView;

use super::model::{model, Worksheet};
use super::point::{Due, Printed, SheetPoint};
use super::reading::Found;
use super::rounded::Rounded;

/// One row a point and bench meter, with the last reading that the point has so far.
pub(crate) fn csv(views: &[WorksheetView<'_>]) -> CsvTable {
    let sheets: Vec<(&str, Worksheet)> = views
        .iter()
        .map(|view| (view.job.folder.as_str(), model(view)))
        .collect();
    let rows = sheets.iter().flat_map(|(folder, sheet)| {
        let points = sheet.points.iter();
        points.flat_map(move |point| {
            let line = move |due| Line { folder, point, due };
            match point.bench.as_slice() {
                [] => vec![line(None)],
                dues => dues.iter().map(Some).map(line).collect(),
            }
        })
    });
    CsvTable::of(rows, &columns())
}

/// One row.
struct Line<'a> {
    folder: &'a str,
    point: &'a SheetPoint,
    due: Option<&'a Due>,
}

impl Line<'_> {
    fn due(&self, number: impl Fn(&Due) -> Option<Rounded>) -> String {
        plain(self.due.and_then(number))
    }

    /// Of the last reading.
    fn found(&self, number: impl Fn(&Found) -> Option<Rounded>) -> String {
        plain(self.point.found.last().and_then(number))
    }
}

fn plain(number: Option<Rounded>) -> String {
    number.map(Rounded::plain).unwrap_or_default()
}

fn columns<'a>() -> [Column<Line<'a>>; 25] {
    [
        ("job", |line| line.folder.to_owned()),
        ("point", |line| line.point.point.clone()),
        ("red probe", |line| line.point.red.clone()),
        ("black probe", |line| line.point.black.clone()),
        ("quantity", |line| line.point.quantity.to_owned()),
        ("danger", |line| {
            let danger = line.point.danger.as_ref();
            danger.map_or("", |warning| warning.word).to_owned()
        }),
        ("may reach (V)", |line| {
            plain(line.point.danger.as_ref().and_then(|warning| warning.volts))
        }),
        ("check rating", |line| {
            let danger = line.point.danger.as_ref();
            yes_no(danger.is_some_and(|warning| warning.check_rating))
        }),
        ("manual (SI unit)", |line| plain(line.point.manual.value)),
        ("manual meter", |line| line.point.manual.meter.clone()),
        ("manual range (V)", |line| maybe(line.point.manual.range)),
        ("bench meter", |line| {
            line.due.map(|due| due.meter.clone()).unwrap_or_default()
        }),
        ("bench range (V)", |line| {
            maybe(line.due.and_then(|due| due.range))
        }),
        ("expected (V)", |line| line.due(|due| due.expected)),
        ("uncertainty (V)", |line| line.due(|due| due.uncertainty)),
        ("band low (V)", |line| line.due(|due| due.band[0])),
        ("band high (V)", |line| line.due(|due| due.band[1])),
        ("as found (V)", |line| {
            let found = line.point.found.last();
            plain(box_value(line.point, 0).or(found.and_then(|found| found.value)))
        }),
        ("as left (V)", |line| plain(box_value(line.point, 1))),
        ("deviation (%)", |line| {
            line.found(|found| found.deviation_percent)
        }),
        ("verdict", |line| {
            let found = line.point.found.last();
            found.map_or("", |found| found.verdict).to_owned()
        }),
        ("conformity", |line| line.found(|found| found.conformity)),
        ("remarks", |line| remarks(line.point)),
        ("stage", |line| line.point.group.clone()),
        ("also", |line| line.point.also.join("; ")),
    ]
}

/// All remarks, and what the manual says of the place under its further names.
fn remarks(point: &SheetPoint) -> String {
    let again = point.again.iter().flat_map(|again| {
        let dues = again.bench.iter().map(due_words);
        let told = std::iter::once(manual_words(&again.manual)).chain(dues);
        let told = told.chain(again.remarks.iter().cloned());
        told.map(|words| format!("{}: {words}", again.point))
            .collect::<Vec<_>>()
    });
    let all: Vec<String> = point.remarks.iter().cloned().chain(again).collect();
    all.join(" ")
}

/// What stands in the first or the second box.
fn box_value(point: &SheetPoint, which: usize) -> Option<Rounded> {
    point.boxes[which].as_ref()?.value
}

/// What the manual says and with what.
fn manual_words(manual: &Printed) -> String {
    let range = manual.range.map_or(String::new(), |volts| {
        let assumed = manual.range_assumed == Some(true);
        format!(" on {}", range(volts, assumed))
    });
    match manual.meter.as_str() {
        "" => format!("manual says {}.", manual.text.trim_end_matches('.')),
        meter => format!("manual says {} with {meter}{range}.", manual.text),
    }
}

/// What a bench meter should show.
fn due_words(due: &Due) -> String {
    let on = due.range.map_or(String::new(), |volts| {
        format!(" on {}", range(volts, false))
    });
    let expected = due.expected.map_or("—".to_owned(), Rounded::text);
    let limits = match due.limits.as_str() {
        "" => "no limits stated".to_owned(),
        limits => format!("limits {limits} V"),
    };
    format!("{}{on} should show {expected} V, {limits}.", due.meter)
}
