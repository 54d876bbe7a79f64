//! Resistances, currents and alternating volts of a sheet as a table of their own.
//!
//! Points come in, rounded and in words; a table goes out, each figure with its unit, in it each
//! quantity below a heading that says how it is measured. Why a value is what it is, is not known here.

use circuit::{Job, Quantity};

use crate::power_off::source_out;
use crate::quantity::{DueWords, APART};
use crate::table::{Align, Cell, Column, Kind, Table};
use crate::tone::Tone;

use super::model::Worksheet;
use super::point::SheetPoint;
use super::point_words::{below, boxed, label, limits, short_names};

/// The table of the quantities that are no direct volts; none without any.
pub(super) fn other_quantities(job: &Job, sheet: &Worksheet) -> Option<Table> {
    let alone = sheet.bench_meters.len() == 1;
    let mut rows = Vec::new();
    for quantity in APART {
        let all = sheet.points.iter();
        let own = told_once(all.filter(|point| point.apart && point.kind == quantity));
        if !own.is_empty() {
            rows.push(Cell::group(manner(job, quantity), Tone::Strong));
        }
        let own = own.iter();
        rows.extend(own.flat_map(|(point, same)| rows_of(job, point, same, alone)));
    }
    (!rows.is_empty()).then(|| Table {
        columns: vec![
            Column::new("point", "", Align::Left),
            Column::new("where", "", Align::Left),
            Column::new("should show", "", Align::Right),
            Column::new("limits", "", Align::Limits),
            Column::new("as found", "", Align::Left),
            Column::new("as left", "", Align::Left),
        ],
        rows,
    })
}

/// Points with the names of those that would have the same row: most heaters of a set.
fn told_once<'a>(
    points: impl Iterator<Item = &'a SheetPoint>,
) -> Vec<(&'a SheetPoint, Vec<String>)> {
    let mut told: Vec<(&SheetPoint, Vec<String>)> = Vec::new();
    for point in points {
        let names = || std::iter::once(&point.point).chain(&point.also).cloned();
        match told.iter_mut().find(|(first, _)| is_same(first, point)) {
            Some((_, same)) => same.extend(names()),
            None => told.push((point, Vec::new())),
        }
    }
    told
}

/// Whether two rows differ in nothing but the name of the point, and nothing was read at either.
fn is_same(first: &SheetPoint, point: &SheetPoint) -> bool {
    // A place that the name does not say has to be told.
    let plain = |point: &SheetPoint| point.place.is_empty() && point.found.is_empty();
    plain(first)
        && plain(point)
        && first.again.is_empty()
        && point.again.is_empty()
        && (&first.other, &first.manual) == (&point.other, &point.manual)
        && (&first.danger, &first.set_to) == (&point.danger, &point.set_to)
        && (&first.brief, &first.black) == (&point.brief, &point.black)
}

/// How a quantity is measured, above its points.
fn manner(job: &Job, quantity: Quantity) -> String {
    let words = match quantity {
        Quantity::Ohms => {
            return format!(
                "Resistances: power off, {}, capacitors discharged and proved so with a voltmeter",
                source_out(job)
            )
        }
        Quantity::DcMilliamperes => {
            "Direct currents: meter in series, never across the part; power off and capacitors \
             discharged to put it in and to take it out"
        }
        Quantity::AcVolts | Quantity::DcVolts => "Alternating volts",
    };
    words.to_owned()
}

/// The rows of a point, one for each bench meter.
fn rows_of(job: &Job, point: &SheetPoint, same: &[String], alone: bool) -> Vec<Vec<Cell>> {
    let (shared, dues): (Vec<_>, Vec<_>) = point
        .other
        .iter()
        .enumerate()
        .partition(|(line, due)| *line > 0 && point.shares_line(&due.meter, due.as_first));
    let or = shared.iter().map(|(_, due)| {
        let DueWords {
            meter,
            range,
            expected,
            ..
        } = due;
        format!(" or {meter} on {range}: {expected}")
    });
    let or: String = or.collect();
    let dues = dues.into_iter();
    dues.map(|(line, due)| {
        let with = format!("{} on {}", due.meter, due.range);
        let (name, place) = match line {
            0 => {
                let set = match alone {
                    true => format!("set to {}", due.range),
                    false => format!("with {with}{or}"),
                };
                let mut told = controls(point);
                if !same.is_empty() {
                    told.push(format!("the same at {}", short_names(same)));
                }
                told.extend(below(job, point, Some(set)));
                let place = Cell::from(point.place.clone()).with(told.join("; "));
                (label(point), place.pictured(point.socket.clone()))
            }
            _ => (Cell::default(), Cell::from(format!("with {with}"))),
        };
        vec![
            name,
            place,
            Cell::of(Kind::Value, due.expected.clone()),
            Cell::of(Kind::Value, limits(&due.limits)),
            boxed(point, 0, Some(&due.meter)),
            boxed(point, 1, Some(&due.meter)),
        ]
    })
    .collect()
}

/// How the controls have to stand, and how to set them back.
fn controls(point: &SheetPoint) -> Vec<String> {
    let told = [("with", &point.set_to), ("then", &point.set_back)];
    let told = told.into_iter().filter(|(_, words)| !words.is_empty());
    told.map(|(lead, words)| format!("{lead} {words}"))
        .collect()
}
