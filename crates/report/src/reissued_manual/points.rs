//! The manual's table for another meter.

use circuit::ManualEntry;
use translate::PointOutcome;

use crate::figures;
use crate::heading::only_manual_meter;
use crate::places::{settings_words, where_text};
use crate::remarks;
use crate::table::{Align, Cell, Column, Table};
use crate::views::ChartView;

use super::sockets::in_chart;
use super::{side, AS_PRINTED};

/// Every entry that has no place in a socket chart, for the meter of this index.
pub(super) fn table(view: &ChartView<'_>, which: usize) -> Table {
    let columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("manual", "V", Align::Decimal),
        Column::new("read on", "", Align::Right),
        Column::new("set to", "", Align::Right),
        Column::new("shows", "V", Align::Decimal),
        Column::new("U", "±V", Align::Decimal),
        Column::new("limits", "V", Align::Limits),
        Column::new("", "", Align::Left),
    ];
    let charted = in_chart(view.job);
    let mut rows = Vec::new();
    for point in &view.translation.points {
        let Some(entry) = view.job.manual.get(point.entry) else {
            continue;
        };
        if !charted.contains(&point.entry) {
            rows.push(row(view, entry, point, which));
        }
    }
    Table { columns, rows }
}

fn row(view: &ChartView<'_>, entry: &ManualEntry, point: &PointOutcome, which: usize) -> Vec<Cell> {
    let place = where_text(view.job, entry);
    let printed = figures::in_table(&entry.figure, entry.quantity);
    let mut cells = vec![entry.point.clone(), place, printed.clone()];
    match side(point, which) {
        Some((side, manual)) => cells.extend([
            match only_manual_meter(view.job) {
                Some(_) => manual,
                None => format!("{} {manual}", entry.meter.name),
            },
            figures::range(side.range.full_scale, false),
            figures::expected(side, entry.figure.resolution),
            figures::uncertainty(side, entry.figure.resolution),
            figures::band(side, entry.figure.resolution),
            point
                .outcome
                .as_ref()
                .map(remarks::marks)
                .unwrap_or_default(),
        ]),
        None => cells.extend([
            String::new(),
            String::new(),
            format!("{printed}{AS_PRINTED}"),
            String::new(),
            String::new(),
            String::new(),
        ]),
    }
    let mut cells: Vec<Cell> = cells.into_iter().map(Cell::from).collect();
    cells[1].under = settings_words(view.job, &entry.settings);
    cells
}
