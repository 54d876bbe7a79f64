//! Bench readings that are no direct volts, beside the manual.

use circuit::{Job, Quantity, Reading, Shown};
use translate::{Compared, Comparison, QuantityPoint, QuantitySide};

use super::translated::{printed, where_text};
use super::{caption, manner, text, APART};
use crate::document::Block;
use crate::figures;
use crate::readings::{caption as set_words, shown, taken, verdict, Taken};
use crate::table::{Align, Cell, Column, Kind, Table};

/// One reading and all that belongs to it.
struct ComparedRow<'a> {
    compared: &'a Compared,
    reading: &'a Reading,
    point: &'a QuantityPoint,
    side: &'a QuantitySide,
}

/// A caption, a word on how it is measured and a table for each quantity that was read.
pub(crate) fn blocks(job: &Job, comparison: &Comparison) -> Vec<Block> {
    let rows: Vec<ComparedRow<'_>> = taken(job, comparison)
        .filter_map(|(compared, reading)| {
            let (at, side) = compared.quantity.as_ref()?;
            Some(ComparedRow {
                compared,
                reading,
                point: comparison.translation.quantities.get(*at)?,
                side,
            })
        })
        .collect();
    let mut blocks = Vec::new();
    for quantity in APART {
        let of: Vec<&ComparedRow<'_>> = rows
            .iter()
            .filter(|row| row.point.quantity == quantity)
            .collect();
        if of.is_empty() {
            continue;
        }
        blocks.push(Block::Caption(caption(quantity).to_owned()));
        blocks.push(Block::Lines(vec![manner(job, quantity)]));
        blocks.push(Block::Table(table(job, quantity, &of)));
    }
    blocks
}

fn table(job: &Job, quantity: Quantity, rows: &[&ComparedRow<'_>]) -> Table {
    let columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("manual", "", Align::Right),
        Column::new("bench", "range", Align::Right),
        Column::new("expect", "", Align::Right),
        Column::new("U", "", Align::Right),
        Column::new("limits", "", Align::Limits),
        Column::new("read", "", Align::Right),
        Column::new("off", "%", Align::Decimal),
        Column::new("verdict", "", Align::Left),
    ];
    let rows = rows
        .iter()
        .map(|row| cells(job, quantity, row))
        .collect::<Vec<_>>();
    Table { columns, rows }
}

fn cells(job: &Job, quantity: Quantity, row: &ComparedRow<'_>) -> Vec<Cell> {
    let said = match &row.point.outcome {
        Ok(carried) => printed(job, row.point, carried),
        Err(_) => String::new(),
    };
    let set = set_words(&row.reading.set, &row.reading.date);
    let place = where_text(job, row.point.row);
    let place = match (place.is_empty(), set.is_empty()) {
        (_, true) => place,
        (true, false) => set,
        (false, false) => format!("{place}, {set}"),
    };
    let off = row.compared.deviation.map_or(String::new(), |share| {
        figures::signed_percent(share * 100.0)
    });
    let mut cells: Vec<Cell> = [
        job.row(row.point.row).point.to_owned(),
        place,
        said,
        format!(
            "{} {}",
            row.reading.meter.name,
            text::range(row.side, quantity)
        ),
        text::expected(row.side, quantity),
        text::uncertainty(row.side, quantity),
        text::limits(row.side, quantity),
        shown(&row.reading.shown, quantity).replace(" ac", ""),
        off,
    ]
    .map(Cell::from)
    .to_vec();
    let (word, tone) = verdict(row.compared.judgement.verdict);
    cells.push(Cell::toned(word, tone));
    cells
}

/// A reading that does not simply pass as a row of the answer: its point, place, limits, what was
/// read, and how far that lies from the nearest limit, each with its own unit; none for direct
/// volts.
pub(crate) fn read_row(
    job: &Job,
    comparison: &Comparison,
    (compared, reading): Taken<'_>,
) -> Option<Vec<Cell>> {
    let (at, side) = compared.quantity.as_ref()?;
    let point = comparison.translation.quantities.get(*at)?;
    let quantity = point.quantity;
    let place = where_text(job, point.row);
    let manner = match quantity {
        Quantity::Ohms => "power off",
        Quantity::DcMilliamperes => "meter in series",
        Quantity::AcVolts => "alternating volts",
        Quantity::DcVolts => "",
    };
    let way = if side.turned { "leads exchanged" } else { "" };
    let said = [place.as_str(), manner, way];
    let said: Vec<&str> = said.into_iter().filter(|words| !words.is_empty()).collect();
    let place = said.join(", ");
    Some(vec![
        Cell::from(job.row(point.row).point),
        Cell::from(place),
        Cell::of(Kind::Value, text::limits(side, quantity)),
        Cell::of(
            Kind::Value,
            shown(&reading.shown, quantity).replace(" ac", ""),
        ),
        Cell::from(distance(reading, side, quantity)),
    ])
}

/// `124 kΩ too low`; `beyond the range` for an overrange.
fn distance(reading: &Reading, side: &QuantitySide, quantity: Quantity) -> String {
    let Shown::Value(figure) = &reading.shown else {
        return "beyond the range".to_owned();
    };
    let band = side.side.band;
    let beyond = [
        band.low.map(|low| (low - figure.value, "low", "lower")),
        band.high.map(|high| (figure.value - high, "high", "upper")),
    ];
    let furthest = beyond.into_iter().flatten();
    furthest
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map_or(String::new(), |(beyond, way, which)| {
            let size = text::beside(side, beyond.abs(), quantity);
            match beyond > 0.0 {
                true => format!("{size} too {way}"),
                false => format!("{size} inside its {which} limit"),
            }
        })
}
