//! What would hold if the manual was read with the next class of meter.

use circuit::{Job, ManualEntry};
use translate::{BenchSide, Comparison};

use crate::document::Block;
use crate::figures::{self, range};
use crate::places::Places;
use crate::readings::{meter_and_range, shown, taken, verdict};
use crate::table::{Align, Cell, Column, Table};
use crate::views::Otherwise;

/// A caption and what the bench meters should show then.
pub(crate) fn otherwise_expected(job: &Job, otherwise: Option<Otherwise<'_>>) -> Vec<Block> {
    captioned(otherwise, |comparison| expected(job, comparison))
}

/// A caption and what the readings would be worth then.
pub(crate) fn otherwise_read(job: &Job, otherwise: Option<Otherwise<'_>>) -> Vec<Block> {
    captioned(otherwise, |comparison| readings(job, comparison))
}

fn captioned(otherwise: Option<Otherwise<'_>>, table: impl Fn(&Comparison) -> Table) -> Vec<Block> {
    let Some(otherwise) = otherwise else {
        return Vec::new();
    };
    let caption = format!("If the manual was read with {}", otherwise.meter.name);
    vec![
        Block::Caption(caption),
        Block::Table(table(otherwise.comparison)),
    ]
}

/// What each bench meter should then show at an entry: its name, its side.
pub(crate) fn answers(comparison: &Comparison, entry: usize) -> Vec<(&str, &BenchSide)> {
    let Some(point) = comparison.translation.points.get(entry) else {
        return Vec::new();
    };
    let bench = point.outcome.as_ref().map(|carried| &carried.bench);
    bench
        .into_iter()
        .flatten()
        .map(|side| (side.meter.as_str(), side))
        .collect()
}

fn naming(places: &Places<'_>, entry: &ManualEntry) -> [Cell; 2] {
    [
        Cell::from(entry.point.clone()),
        Cell::from(places.where_text(entry)),
    ]
}

fn columns() -> Vec<Column> {
    vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("bench", "meter, range", Align::Right),
        Column::new("expect", "V", Align::Decimal),
    ]
}

fn expected(job: &Job, comparison: &Comparison) -> Table {
    let mut table = Table {
        columns: columns(),
        rows: Vec::new(),
    };
    let places = Places::of(job);
    for point in &comparison.translation.points {
        let (Some(entry), Ok(carried_over)) = (job.manual.get(point.entry), &point.outcome) else {
            continue;
        };
        for (line, side) in carried_over.bench.iter().enumerate() {
            let mut row = match line {
                0 => naming(&places, entry).to_vec(),
                _ => vec![Cell::default(), Cell::default()],
            };
            let on = range(side.range.full_scale, false);
            row.push(Cell::from(format!("{} {on}", side.meter)));
            row.push(Cell::from(figures::expected(side, entry.figure.resolution)));
            table.rows.push(row);
        }
    }
    table
}

fn readings(job: &Job, comparison: &Comparison) -> Table {
    let mut table = Table {
        columns: columns(),
        rows: Vec::new(),
    };
    table.columns.extend([
        Column::new("reading", "V", Align::Decimal),
        Column::new("verdict", "", Align::Left),
    ]);
    let places = Places::of(job);
    for (compared, reading) in taken(job, comparison) {
        let Some(entry) = compared.entry.and_then(|entry| job.manual.get(entry)) else {
            continue;
        };
        let side = compared.expected.as_ref();
        let mut row = naming(&places, entry).to_vec();
        row.push(Cell::from(meter_and_range(compared, reading)));
        row.push(Cell::from(side.map_or(String::new(), |side| {
            figures::expected(side, entry.figure.resolution)
        })));
        row.push(Cell::from(shown(&reading.shown, entry.quantity)));
        let (word, tone) = verdict(compared.judgement.verdict);
        row.push(Cell::toned(word, tone));
        table.rows.push(row);
    }
    table
}
