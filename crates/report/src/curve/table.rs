//! The curve for a terminal: the meters as a table, the curve as a plot of letters.

use translate::BenchSide;

use super::named::{classes, entry, where_words};
use super::plot;
use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::table::{Align, Cell, Column, Table};
use crate::views::CurveView;
use units::Unit;

/// Heading, table, plot and what the letters of the plot mean.
pub(crate) fn blocks(view: &CurveView<'_>) -> Vec<Block> {
    let mut blocks = vec![
        Block::Title(heading::title(view.job)),
        Block::Lines(facts(view)),
        Block::Table(table(view)),
    ];
    if let Some(plot) = plot::plot(view) {
        blocks.push(Block::Caption(
            "Reading in V over the resistance of the meter".to_owned(),
        ));
        blocks.push(Block::Drawing(plot.lines));
        blocks.push(Block::Lines(plot.legend));
    }
    blocks
}

fn facts(view: &CurveView<'_>) -> Vec<String> {
    let place = where_words(view);
    let mut letters = place.chars();
    let place = letters.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(letters).collect()
    });
    let source = figures::ohms(view.carried.source_ohms);
    let mut lines = vec![format!("{place}. Source resistance {source}.")];
    lines.extend(heading::line(view.job));
    lines
}

/// A row for the manual's meter, each meter of the bench, each class, and for no meter.
pub(super) fn table(view: &CurveView<'_>) -> Table {
    let resolution = entry(view).map_or(1.0, |entry| entry.figure.resolution);
    let rows = |sides: Vec<&BenchSide>, kind: &str| -> Vec<Vec<Cell>> {
        let of = |side: &&BenchSide| {
            [
                side.meter.clone(),
                kind.to_owned(),
                figures::range(side.range.full_scale, true),
                figures::stated(side.input_ohms, Unit::Ohm),
                figures::expected(side, resolution),
                figures::uncertainty(side, resolution),
                figures::band(side, resolution),
            ]
            .map(Cell::from)
            .to_vec()
        };
        sides.iter().map(of).collect()
    };
    let mut all: Vec<Vec<Cell>> = manual(view, resolution).into_iter().collect();
    all.extend(rows(view.carried.bench.iter().collect(), "bench"));
    all.extend(rows(classes(view), "class"));
    all.extend(view.unloaded.map(|volts| {
        let volts = figures::carried(volts, resolution);
        ["none", "", "", "", &volts, "", ""]
            .map(Cell::from)
            .to_vec()
    }));
    Table {
        columns: vec![
            Column::new("meter", "", Align::Left),
            Column::new("", "", Align::Left),
            Column::new("range", "", Align::Right),
            Column::new("resistance", "", Align::Right),
            Column::new("reading", "V", Align::Decimal),
            Column::new("U", "±V", Align::Decimal),
            Column::new("limits", "V", Align::Limits),
        ],
        rows: all,
    }
}

fn manual(view: &CurveView<'_>, resolution: f64) -> Option<Vec<Cell>> {
    let entry = entry(view)?;
    let side = &view.carried.manual;
    let cells = [
        entry.meter.name.clone(),
        "manual".to_owned(),
        figures::range(side.range.range.full_scale, side.range.assumed),
        figures::stated(side.input_ohms, Unit::Ohm),
        figures::printed(&entry.figure),
        String::new(),
        figures::limits_alone(side.band, resolution),
    ];
    Some(cells.map(Cell::from).to_vec())
}
