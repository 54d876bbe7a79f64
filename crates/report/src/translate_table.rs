//! The translated manual as a table for people.

use circuit::{Job, ManualEntry, Quantity};
use translate::{BenchSide, PointOutcome, Translation};

use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::manual;
use crate::places::Places;
use crate::quantity;
use crate::remarks;
use crate::table::{Align, Cell, Column, Table};
use crate::trials_table;
use crate::views::TranslateView;

/// A meter's name longer than this does not stand at the head of a column.
const LONGEST_HEAD: usize = 10;

/// Heading, table and notes of one job.
pub(crate) fn blocks(view: &TranslateView<'_>) -> Vec<Block> {
    let (job, translation) = (view.job, view.translation);
    let mut blocks = heading::blocks(job);
    blocks.extend(manual::heading_block(view.manual));
    let table = table(job, translation);
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
    blocks.extend(quantity::translated_blocks(job, translation));
    blocks.extend(manual::otherwise_expected(job, view.manual.otherwise));
    let mut lines = manual::notes(job, view.manual);
    lines.extend(notes(job, translation));
    blocks.push(Block::Lines(lines));
    blocks.extend(
        view.trials
            .iter()
            .flat_map(|trials| trials_table::blocks(view, trials)),
    );
    blocks
}

fn table(job: &Job, translation: &Translation) -> Table {
    let shape = Shape::of(job);
    let mut table = Table {
        columns: shape.columns(),
        rows: Vec::new(),
    };
    for point in &translation.points {
        if quantity::of_entry(translation, point.entry).is_some() {
            continue;
        }
        if let Some(entry) = job.manual.get(point.entry) {
            table.rows.extend(rows(entry, point, &shape));
        }
    }
    table
}

/// How places are worded, and which meters need not be named in every row.
struct Shape<'a> {
    places: Places<'a>,
    manual: Option<&'a str>,
    bench: Option<&'a str>,
}

impl<'a> Shape<'a> {
    fn of(job: &'a Job) -> Self {
        Shape {
            places: Places::of(job),
            manual: heading::only_manual_meter(job),
            bench: match job.bench.meters.as_slice() {
                [only] => Some(&only.name),
                _ => None,
            },
        }
    }

    fn columns(&self) -> Vec<Column> {
        let named = |meter: Option<&str>, otherwise: &str| match meter {
            Some(name) if name.chars().count() <= LONGEST_HEAD => {
                Column::new(name, "range", Align::Right)
            }
            Some(_) => Column::new(otherwise, "range", Align::Right),
            None => Column::new(otherwise, "meter, range", Align::Right),
        };
        vec![
            Column::new("point", "", Align::Left),
            Column::new("where", "", Align::Left),
            Column::new("manual", "V", Align::Decimal),
            named(self.manual, "with"),
            Column::new("source", "", Align::Right),
            Column::new("load", "%", Align::Decimal),
            named(self.bench, "bench"),
            Column::new("expect", "V", Align::Decimal),
            Column::new("U", "±V", Align::Decimal),
            Column::new("band", "V", Align::Limits),
        ]
    }

    fn meter_cell(known: Option<&str>, meter: &str, range: &str) -> String {
        match known {
            Some(_) => range.to_owned(),
            None => format!("{meter} {range}").trim().to_owned(),
        }
    }
}

fn rows(entry: &ManualEntry, point: &PointOutcome, shape: &Shape<'_>) -> Vec<Vec<Cell>> {
    let naming = [entry.point.clone(), shape.places.where_text(entry)];
    let carried = match &point.outcome {
        Ok(carried) => carried,
        Err(_) => return vec![bare_row(naming, entry, shape)],
    };
    let range = carried.manual.range;
    let range = figures::range(range.range.full_scale, range.assumed);
    let manual = [
        figures::printed(&entry.figure),
        Shape::meter_cell(shape.manual, &entry.meter.name, &range),
        figures::ohms(carried.source_ohms),
        figures::percent(carried.loading * 100.0),
    ];
    let mut benches: Vec<[String; 4]> = carried
        .bench
        .iter()
        .map(|side| bench_cells(entry, side, shape))
        .collect();
    if benches.is_empty() {
        let unloaded = figures::carried(carried.unloaded, entry.figure.resolution);
        benches.push([
            "no meter".to_owned(),
            unloaded,
            String::new(),
            String::new(),
        ]);
    }
    let blank_naming: [String; 2] = Default::default();
    let blank_manual: [String; 4] = Default::default();
    benches
        .into_iter()
        .enumerate()
        .map(|(line, bench)| {
            let (naming, manual) = match line {
                0 => (&naming, &manual),
                _ => (&blank_naming, &blank_manual),
            };
            naming
                .iter()
                .chain(manual)
                .chain(&bench)
                .cloned()
                .map(Cell::from)
                .collect()
        })
        .collect()
}

fn bench_cells(entry: &ManualEntry, side: &BenchSide, shape: &Shape<'_>) -> [String; 4] {
    let resolution = entry.figure.resolution;
    let range = figures::range(side.range.full_scale, false);
    [
        Shape::meter_cell(shape.bench, &side.meter, &range),
        figures::expected(side, resolution),
        figures::uncertainty(side, resolution),
        figures::band(side, resolution),
    ]
}

/// A point that is not translated: what the manual says of it.
fn bare_row(naming: [String; 2], entry: &ManualEntry, shape: &Shape<'_>) -> Vec<Cell> {
    let range = entry
        .range
        .map_or(String::new(), |volts| figures::range(volts, false));
    let value = match entry.quantity {
        Quantity::DcVolts => figures::printed(&entry.figure),
        other => figures::printed_with_unit(&entry.figure, other),
    };
    let meter = Shape::meter_cell(shape.manual, &entry.meter.name, &range);
    let rest = [value, meter].into_iter();
    let rest = rest.chain(std::iter::repeat_n(String::new(), 6));
    naming.into_iter().chain(rest).map(Cell::from).collect()
}

fn notes(job: &Job, translation: &Translation) -> Vec<String> {
    let mut notes = vec![
        remarks::BAND.to_owned(),
        "Load: how far the manual's meter pulled the point from its volts without a meter; \
         source: the resistance seen there."
            .to_owned(),
    ];
    if translation.points.iter().any(assumed) {
        notes.push(remarks::ASSUMED.to_owned());
    }
    let without_ranges = job
        .bench
        .meters
        .iter()
        .filter(|meter| meter.ranges.is_empty());
    notes.extend(without_ranges.map(|meter| {
        format!(
            "{} lists no ranges, so nothing is expected of it.",
            meter.name
        )
    }));
    notes.extend(remarks::notes(job, translation));
    notes
}

fn assumed(point: &PointOutcome) -> bool {
    point
        .outcome
        .as_ref()
        .is_ok_and(|carried| carried.manual.range.assumed)
}
