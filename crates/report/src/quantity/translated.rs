//! Tables of the rows that are no direct volts, as translated.

use circuit::{Job, Quantity, RowId};
use translate::{QuantityCarried, QuantityPoint, Translation};

use super::sentences::{notes, refusals};
use super::{caption, manner, of_quantity, text, APART};
use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::places::Places;
use crate::table::{Align, Cell, Column, Table};

/// A caption, a word on how it is measured, a table and notes for each quantity that has rows.
pub(crate) fn blocks(job: &Job, translation: &Translation) -> Vec<Block> {
    let mut blocks = Vec::new();
    for quantity in APART {
        let carried: Vec<(&QuantityPoint, &QuantityCarried)> = of_quantity(translation, quantity)
            .filter_map(|point| Some((point, point.outcome.as_ref().ok()?)))
            .collect();
        if !carried.is_empty() {
            blocks.push(Block::Caption(caption(quantity).to_owned()));
            blocks.push(Block::Lines(vec![manner(job, quantity)]));
            blocks.push(Block::Table(table(job, quantity, &carried)));
            let notes = notes(job, &carried);
            if !notes.is_empty() {
                blocks.push(Block::Lines(notes));
            }
        }
    }
    let refused = refusals(job, translation);
    if !refused.is_empty() {
        blocks.push(Block::Lines(refused));
    }
    blocks
}

fn table(job: &Job, quantity: Quantity, carried: &[(&QuantityPoint, &QuantityCarried)]) -> Table {
    let shared = heading::only_manual_meter(job);
    let on = |point: &QuantityPoint, carried: &QuantityCarried| {
        let row = job.row(point.row);
        let read = row.figure.and(carried.manual_range);
        read.map(|range| heading::read_with(row, range, shared))
    };
    let ranged = carried
        .iter()
        .any(|(point, carried)| on(point, carried).is_some());
    let mut columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("manual", "", Align::Right),
    ];
    columns.extend(ranged.then(|| heading::read_with_column(shared)));
    let drawn = carried.iter().any(|(_, carried)| carried.drawn.is_some());
    columns.extend(drawn.then(|| Column::new("drawing", "", Align::Right)));
    columns.extend([
        Column::new("bench", "range", Align::Right),
        Column::new("expect", "", Align::Right),
        Column::new("U", "", Align::Right),
        Column::new("limits", "", Align::Limits),
    ]);
    let mut rows = Vec::new();
    for (point, carried) in carried {
        let mut naming = vec![
            job.row(point.row).point.to_owned(),
            where_text(job, point.row),
            printed(job, point, carried),
        ];
        naming.extend(ranged.then(|| on(point, carried).unwrap_or_default()));
        naming.extend(drawn.then(|| {
            let own = carried.drawn;
            own.map_or(String::new(), |own| text::value(own.value, quantity))
        }));
        if carried.bench.is_empty() {
            let rest = std::iter::repeat_n(String::new(), 4);
            rows.push(naming.iter().cloned().chain(rest).map(Cell::from).collect());
        }
        for (line, side) in carried.bench.iter().enumerate() {
            let blank = vec![String::new(); naming.len()];
            let naming = if line == 0 { &naming } else { &blank };
            let meter = match job.bench.meters.len() {
                1 => text::range(side, quantity),
                _ => format!("{} {}", side.side.meter, text::range(side, quantity)),
            };
            let cells = [
                meter,
                text::expected(side, quantity),
                text::uncertainty(side, quantity),
                text::limits(side, quantity),
            ];
            rows.push(
                naming
                    .iter()
                    .cloned()
                    .chain(cells)
                    .map(Cell::from)
                    .collect(),
            );
        }
    }
    Table { columns, rows }
}

/// What the manual prints: with all its digits where it is a value.
pub(super) fn printed(job: &Job, point: &QuantityPoint, carried: &QuantityCarried) -> String {
    match (point.row, carried.said) {
        (RowId::Printed(index), translate::Said::Value(_)) => {
            job.manual.get(index).map_or(String::new(), |entry| {
                figures::printed_with_unit(&entry.figure, entry.quantity).replace(" ac", "")
            })
        }
        (RowId::Unprinted(index), translate::Said::MoreThan(_)) => {
            job.unprinted
                .get(index)
                .map_or(String::new(), |entry| match &entry.value {
                    circuit::NoValue::Open(sign) => sign.clone(),
                    _ => String::new(),
                })
        }
        _ => text::said(carried.said, point.quantity),
    }
}

/// Where the probes go; empty where the point is called after its place.
pub(super) fn where_text(job: &Job, id: RowId) -> String {
    let row = job.row(id);
    let words = Places::of(job).with_settings(row);
    match id {
        // A socket chart's points are called after their places: `V1 pin 6 ohms`.
        RowId::Unprinted(_) if row.point.starts_with(&words) => String::new(),
        RowId::Printed(_) | RowId::Unprinted(_) => words,
    }
}
