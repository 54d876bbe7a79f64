//! Everything that is built in, as two tables and as rows.

use circuit::{HeaterRating, SemiconductorType, TubeType};

use super::semiconductor::{kind, material, terminals};
use super::trust::{Trust, WORDS};
use super::tube::short;
use super::view::DeviceView;
use crate::csv_text::{number, CsvTable};
use crate::document::Block;
use crate::table::{Align, Cell, Column, Table};

/// The list.
pub(crate) fn blocks(views: &[DeviceView<'_>]) -> Vec<Block> {
    let mut tubes = table(["type", "class", "base", "heater", "sections", "status"]);
    let mut semiconductors = table(["type", "kind", "material", "polarity", "status"]);
    for view in views {
        match view {
            DeviceView::Tube(view) => tubes.rows.push(tube(view.tube)),
            DeviceView::Semiconductor(own) => semiconductors.rows.push(semiconductor(own)),
        }
    }
    let mut blocks = vec![Block::Title("Tubes and semiconductors built in".to_owned())];
    for (caption, table) in [("Tubes", tubes), ("Semiconductors", semiconductors)] {
        if !table.rows.is_empty() {
            blocks.push(Block::Caption(caption.to_owned()));
            blocks.push(Block::Table(table));
        }
    }
    let mut lines: Vec<String> = WORDS.map(str::to_owned).to_vec();
    lines.push("fairvolt devices TYPE shows one with its pins, parameters and sources.".to_owned());
    lines.push(
        "A type that is missing goes into the job's devices.toml (docs/files.md).".to_owned(),
    );
    blocks.push(Block::Lines(lines));
    blocks
}

fn table<const N: usize>(heads: [&str; N]) -> Table {
    let columns = heads
        .map(|head| Column::new(head, "", Align::Left))
        .to_vec();
    Table {
        columns,
        rows: Vec::new(),
    }
}

fn tube(tube: &TubeType) -> Vec<Cell> {
    let [base, heater] = short(tube);
    let cells: [Cell; 6] = [
        tube.name.as_str().into(),
        tube.class.words().into(),
        base.into(),
        heater.into(),
        tube.units.len().to_string().into(),
        Trust::of(&tube.data_status).word().into(),
    ];
    cells.to_vec()
}

fn semiconductor(own: &SemiconductorType) -> Vec<Cell> {
    let cells: [Cell; 5] = [
        own.names.join(", ").into(),
        kind(own.kind).into(),
        material(own).into(),
        polarity(own).into(),
        Trust::of_semiconductor(own).word().into(),
    ];
    cells.to_vec()
}

fn polarity(own: &SemiconductorType) -> &'static str {
    ["NPN", "PNP", "N-channel", "P-channel"]
        .into_iter()
        .find(|polarity| own.words.contains(polarity))
        .unwrap_or("")
}

/// One row a type.
pub(crate) fn csv(views: &[DeviceView<'_>]) -> CsvTable {
    let rows = views.iter().map(|view| match view {
        DeviceView::Tube(view) => tube_row(view.tube),
        DeviceView::Semiconductor(own) => vec![
            "semiconductor".to_owned(),
            own.names.join(";"),
            own.words.clone(),
            String::new(),
            String::new(),
            String::new(),
            terminals(own.kind).len().to_string(),
            "1".to_owned(),
            String::new(),
            own.status.clone(),
        ],
    });
    let heads = "what,type,class,base,heater (V),heater (A),pins or terminals,sections,\
         pin status,status";
    CsvTable::listed(heads, rows.collect())
}

fn tube_row(tube: &TubeType) -> Vec<String> {
    let ratings = |of: fn(&HeaterRating) -> f64| -> String {
        let texts: Vec<String> = tube.heater.iter().map(|own| number(of(own))).collect();
        texts.join("/")
    };
    vec![
        "tube".to_owned(),
        tube.name.clone(),
        tube.class.words().to_owned(),
        tube.base.clone(),
        ratings(|own| own.volts),
        ratings(|own| own.amperes),
        tube.pins.len().to_string(),
        tube.units.len().to_string(),
        tube.base_status.clone(),
        tube.data_status.clone(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::{semiconductor as semiconductor_of, tube_type};

    fn texts(cells: Vec<Cell>) -> Vec<String> {
        cells.into_iter().map(|cell| cell.text).collect()
    }

    #[test]
    fn one_row_tells_what_a_type_is() {
        assert_eq!(
            texts(tube(tube_type("12AX7").unwrap())),
            [
                "12AX7",
                "twin triode",
                "9A",
                "12.6/6.3 V 0.15/0.3 A",
                "2",
                "read"
            ]
        );
        assert_eq!(
            texts(semiconductor(semiconductor_of("BC108A").unwrap()))[..4],
            ["BC107A, BC108A", "transistor", "silicon", "NPN"]
        );
    }
}
