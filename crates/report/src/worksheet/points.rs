//! The points of a sheet as a table to work from: two lines a point, in probing order.
//!
//! Points come in, rounded and in words; a table goes out, each point one row and one more for each
//! further meter, each stage under a heading of its own, what asks for another setting of the controls
//! after the rest of its stage.

use circuit::Job;

use crate::figures;
use crate::labels::gathered;
use crate::table::{Align, Cell, Column, Kind, Table};
use crate::tone::Tone;

use super::model::Worksheet;
use super::point::{Due, SheetPoint};
use super::point_words::{below, boxed, label, limits};

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
fn in_order<'s>(sheet: &'s Worksheet) -> Vec<&'s SheetPoint> {
    let told = sheet.points.iter().filter(|point| point.is_row());
    let groups = gathered(told.map(|point| (&point.group, point)));
    let by_setting = |(_, mut own): (_, Vec<&'s SheetPoint>)| {
        own.sort_by_key(|point| point.set_to.clone());
        own
    };
    groups.into_iter().flat_map(by_setting).collect()
}

/// The rows of a point, one for each bench meter; a meter that is `alone` need not be named.
fn rows_of(job: &Job, point: &SheetPoint, alone: bool) -> Vec<Vec<Cell>> {
    let mut rows = Vec::new();
    let dues: Vec<Option<&Due>> = match point.bench.is_empty() {
        true => vec![None],
        false => point.bench.iter().map(Some).collect(),
    };
    let (shared, dues): (Vec<_>, Vec<_>) = dues
        .into_iter()
        .enumerate()
        .partition(|(line, due)| *line > 0 && due.is_some_and(|due| shares(point, due)));
    for (line, due) in dues {
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
                let shared = shared.iter().filter_map(|(_, due)| *due);
                let shared = shared.filter(|due| point.offers(due));
                let or = shared.map(|due| format!(" or {}: {} V", with(due), value(due)));
                let set = set.map(|set| set + &or.collect::<String>());
                below(job, point, set).join("; ")
            }
            _ => String::new(),
        };
        rows.push(vec![
            label,
            Cell::from(place).with(told).pictured(socket),
            Cell::of(Kind::Value, due.map_or("—".to_owned(), value)),
            Cell::of(
                Kind::Value,
                due.map_or("—".to_owned(), |due| limits(&due.limits)),
            ),
            boxed(point, 0, due.map(|due| due.meter.as_str())),
            boxed(point, 1, due.map(|due| due.meter.as_str())),
        ]);
    }
    rows
}

fn shares(point: &SheetPoint, due: &Due) -> bool {
    point.shares_line(&due.meter, due.as_first)
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
