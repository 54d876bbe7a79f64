//! The translated manual as a table for people: one line a point.
//!
//! A [`TranslateView`] comes in; blocks go out. What the manual's meter did to each point, the bench
//! meter's range and what another range would have meant stand there where all is asked for.

use circuit::{Job, ManualEntry};
use translate::{BenchSide, Carried, Predicted, QuantityPoint, Remark, Translation};

use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::manual;
use crate::places::{settings_lines, Places};
use crate::quantity;
use crate::remarks;
use crate::table::{Align, Cell, Column, Kind, Table};
use crate::trials_table;
use crate::views::TranslateView;

/// Heading, table and notes of one job.
pub(crate) fn blocks(view: &TranslateView<'_>) -> Vec<Block> {
    let (job, translation) = (view.job, view.translation);
    let mut blocks = heading::blocks(job);
    blocks.extend(manual::heading_block(view.manual));
    let table = table(view);
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
    blocks.extend(quantity::translated_blocks(job, translation));
    blocks.extend(manual::otherwise_expected(job, view.manual.otherwise));
    let mut lines = settings_lines(job);
    lines.extend(manual::notes(job, view.manual));
    lines.extend(remarks::notes(job, translation));
    blocks.push(Block::Lines(lines));
    blocks.push(Block::Notes(notes(view)));
    blocks.extend(
        view.trials
            .iter()
            .flat_map(|trials| trials_table::blocks(view, trials)),
    );
    blocks.retain(|block| !matches!(block, Block::Lines(lines) if lines.is_empty()));
    blocks
}

/// How places are worded, which meters need not be named in every row, and how much is shown.
struct Shape<'a> {
    places: Places<'a>,
    manual: Option<&'a str>,
    several: bool,
    marked: bool,
    all: bool,
}

impl<'a> Shape<'a> {
    fn of(view: &TranslateView<'a>) -> Self {
        let job = view.job;
        let marked = |point: &translate::PointOutcome| {
            let carried = point.outcome.as_ref();
            carried.is_ok_and(|carried| !remarks::marks(carried).is_empty())
        };
        Shape {
            places: Places::of(job),
            manual: heading::only_manual_meter(job),
            several: job.bench.meters.len() != 1,
            marked: view.translation.points.iter().any(marked),
            all: view.asked.all,
        }
    }

    fn columns(&self) -> Vec<Column> {
        let mut columns = vec![
            Column::new("point", "", Align::Left),
            Column::new("where", "", Align::Left),
            Column::new("manual", "V", Align::Decimal),
            heading::read_with_column(self.manual),
        ];
        if self.all {
            columns.extend([
                Column::new("source", "", Align::Right),
                Column::new("load", "%", Align::Decimal),
            ]);
        }
        if self.all || self.several {
            columns.push(Column::new("bench", "", Align::Right));
        }
        columns.extend([
            Column::new("expect", "V", Align::Decimal),
            Column::new("U", "±V", Align::Decimal),
            Column::new("limits", "V", Align::Limits),
        ]);
        if self.marked {
            columns.push(Column::new("", "", Align::Left));
        }
        columns
    }
}

fn table(view: &TranslateView<'_>) -> Table {
    let shape = Shape::of(view);
    let rows = view.translation.points.iter().flat_map(|point| {
        let entry = view.job.manual.get(point.entry);
        let both = entry.zip(point.outcome.as_ref().ok());
        both.map_or(Vec::new(), |(entry, carried)| rows(entry, carried, &shape))
    });
    let unprinted = &view.translation.unprinted;
    let predicted = unprinted.iter().enumerate().filter_map(|(at, own)| {
        let before = at.checked_sub(1).and_then(|before| unprinted.get(before));
        let first = before.is_none_or(|before| before.entry != own.entry);
        predicted_row(view.job, (own, first), &shape)
    });
    Table {
        columns: shape.columns(),
        rows: rows.chain(predicted).collect(),
    }
}

/// Decimal place in volts from which a prediction is shown, as of a value printed to a tenth.
pub(crate) const PREDICTED_TO: f64 = 0.1;

/// A point for which the manual prints nothing: what the drawing says. It is named in the `first` of its
/// rows.
fn predicted_row(
    job: &Job,
    (own, first): (&Predicted, bool),
    shape: &Shape<'_>,
) -> Option<Vec<Cell>> {
    let entry = job.unprinted.get(own.entry)?;
    let place = shape.places.where_text(entry);
    let mut row = vec![
        entry.point.clone(),
        place,
        remarks::NONE_PRINTED.to_owned(),
        String::new(),
    ];
    if !first {
        row.fill_with(String::new);
    }
    if shape.all {
        row.extend([String::new(), String::new()]);
    }
    let range = figures::bench_range(&own.side);
    if shape.several {
        row.push(format!("{} {range}", own.side.meter));
    } else if shape.all {
        row.push(range);
    }
    row.extend([
        figures::expected(&own.side, PREDICTED_TO),
        figures::uncertainty(&own.side, PREDICTED_TO),
        String::new(),
    ]);
    row.extend(shape.marked.then(String::new));
    Some(row.into_iter().map(Cell::from).collect())
}

/// A row for each bench meter, what is of the point itself in the first of them.
fn rows(entry: &ManualEntry, carried: &Carried, shape: &Shape<'_>) -> Vec<Vec<Cell>> {
    let mut own = vec![
        entry.point.clone(),
        shape.places.where_text(entry),
        figures::printed(&entry.figure),
        heading::read_with(entry, carried.manual.range, shape.manual),
    ];
    if shape.all {
        own.push(figures::ohms(carried.source_ohms));
        own.push(figures::percent(carried.loading * 100.0));
    }
    let resolution = entry.figure.resolution;
    let sides: Vec<Option<&BenchSide>> = match carried.bench.is_empty() {
        true => vec![None],
        false => carried.bench.iter().map(Some).collect(),
    };
    let rows = sides.into_iter().enumerate().map(|(line, side)| {
        let start = own.iter().map(|text| match line {
            0 => Cell::from(text.clone()),
            _ => Cell::default(),
        });
        let mut row: Vec<Cell> = start.collect();
        if let (0, true, Some(words)) = (line, shape.all, other_range(entry, carried)) {
            row[1].under = words;
        }
        if shape.all || shape.several {
            row.push(Cell::from(match side {
                Some(side) if shape.several => {
                    let range = figures::bench_range(side);
                    format!("{} {range}", side.meter)
                }
                Some(side) => figures::bench_range(side),
                None => "no meter".to_owned(),
            }));
        }
        let figures = match side {
            Some(side) => [
                figures::expected(side, resolution),
                figures::uncertainty(side, resolution),
                figures::band(side, resolution),
            ],
            None => [
                figures::carried(carried.unloaded, resolution),
                String::new(),
                String::new(),
            ],
        };
        row.extend(figures.map(|text| Cell::of(Kind::Value, text)));
        if shape.marked {
            row.push(Cell::from(match line {
                0 => remarks::marks(carried),
                _ => String::new(),
            }));
        }
        row
    });
    rows.collect()
}

/// What to expect had the manual's meter stood on the next range.
fn other_range(entry: &ManualEntry, carried: &Carried) -> Option<String> {
    let remarks = carried
        .remarks
        .iter()
        .zip(remarks::sentences(entry, carried));
    let mut others = remarks.filter(|(remark, _)| matches!(remark, Remark::OtherRange(_)));
    others.next().map(|(_, words)| words)
}

fn notes(view: &TranslateView<'_>) -> Vec<String> {
    let (job, translation) = (view.job, view.translation);
    let mut notes = vec![remarks::BAND.to_owned()];
    let apart = translation.quantities.iter().any(assumed_apart);
    if apart || translation.points.iter().any(assumed) {
        notes.push(remarks::ASSUMED.to_owned());
    }
    if !translation.unprinted.is_empty() {
        notes.push(remarks::UNPRINTED_NOTE.to_owned());
    }
    notes.extend(remarks::mark_notes(translation));
    let without_ranges = job.bench.meters.iter();
    let without_ranges = without_ranges.filter(|meter| meter.ranges.is_empty());
    notes.extend(without_ranges.map(|meter| {
        format!(
            "{} lists no ranges, so nothing is expected of it.",
            meter.name
        )
    }));
    notes.extend(more(job, translation, view.asked.all));
    notes
}

/// What the further columns mean, or where to find them.
fn more(job: &Job, translation: &Translation, all: bool) -> Option<String> {
    if all {
        return Some(
            "Load: how far the manual's meter pulled the point from its volts without a meter; \
             source: the resistance seen there."
                .to_owned(),
        );
    }
    (!translation.points.is_empty() && !job.manual.is_empty()).then(|| {
        "--all also shows the load of the manual's meter, ranges, and what another range would \
         have meant."
            .to_owned()
    })
}

fn assumed(point: &translate::PointOutcome) -> bool {
    point
        .outcome
        .as_ref()
        .is_ok_and(|carried| carried.manual.range.assumed)
}

fn assumed_apart(point: &QuantityPoint) -> bool {
    let carried = point.outcome.as_ref().ok();
    carried
        .and_then(|carried| carried.manual_range)
        .is_some_and(|range| range.assumed)
}
