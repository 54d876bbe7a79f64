//! The page of a device as rows for a spreadsheet: one row a pin, parameter or number of a sheet.

use circuit::{DataPoint, SemiconductorType};

use super::parameters::Parameter;
use super::points::{difference_percent, kind_words};
use super::semiconductor::{of_semiconductor, terminals};
use super::symbols::{letter, symbol, words};
use super::tube::characteristics;
use super::view::{DeviceView, PointFigure, TubeView};
use crate::csv_text::{maybe, number, CsvTable};

const HEADS: &str = "type,row,section or place,name,value,unit,model,off by (%),status,source";

/// How many there are.
fn columns() -> usize {
    HEADS.split(',').count()
}

/// The rows.
pub(crate) fn csv(view: &DeviceView<'_>) -> CsvTable {
    let rows = match view {
        DeviceView::Tube(view) => tube(view),
        DeviceView::Semiconductor(own) => semiconductor(own),
    };
    CsvTable::listed(HEADS, rows)
}

fn tube(view: &TubeView<'_>) -> Vec<Vec<String>> {
    let own = view.tube;
    let mut rows = Vec::new();
    for pin in &own.pins {
        let mut row = start(&own.name, "pin", &pin.number.to_string());
        row.extend([words(own, *pin), symbol(own, *pin), String::new()]);
        row.extend([String::new(), String::new(), own.base_status.clone()]);
        rows.push(ended(row));
    }
    for rating in &own.heater {
        for (name, value, unit) in [
            ("volts", rating.volts, "V"),
            ("current", rating.amperes, "A"),
        ] {
            let mut row = start(&own.name, "heater", "");
            row.extend([name.to_owned(), number(value), unit.to_owned()]);
            rows.push(ended(row));
        }
    }
    if let Some(glow) = own.glow {
        for (name, value, unit) in [
            ("strikes at", glow.strike_volts, "V"),
            ("least current", glow.least_amperes, "A"),
            ("most current", glow.most_amperes, "A"),
        ] {
            let mut row = start(&own.name, "limit", "");
            row.extend([name.to_owned(), number(value), unit.to_owned()]);
            rows.push(ended(row));
        }
    }
    for (units, parameters) in characteristics(own) {
        let letters: String = units.iter().map(|unit| letter(*unit)).collect();
        rows.extend(
            parameters
                .iter()
                .map(|one| parameter(&own.name, &letters, one)),
        );
    }
    rows.extend(view.figures.iter().map(|one| point(&own.name, one)));
    rows
}

fn semiconductor(own: &SemiconductorType) -> Vec<Vec<String>> {
    let name = own.names.join(";");
    let mut rows: Vec<Vec<String>> = terminals(own.kind)
        .iter()
        .map(|terminal| {
            let mut row = start(&name, "terminal", "");
            row.push((*terminal).to_owned());
            ended(row)
        })
        .collect();
    let parameters = of_semiconductor(own);
    rows.extend(parameters.iter().map(|one| parameter(&name, "", one)));
    let mut check = start(&name, "figures", "");
    check.extend([own.check.clone(), String::new(), String::new()]);
    check.extend([
        String::new(),
        String::new(),
        own.status.clone(),
        own.source.clone(),
    ]);
    rows.push(check);
    rows
}

fn start(name: &str, row: &str, place: &str) -> Vec<String> {
    vec![name.to_owned(), row.to_owned(), place.to_owned()]
}

/// Filled up to the last head.
fn ended(mut row: Vec<String>) -> Vec<String> {
    row.resize(columns(), String::new());
    row
}

fn parameter(name: &str, sections: &str, own: &Parameter) -> Vec<String> {
    let mut row = start(name, "parameter", sections);
    row.extend([own.name.to_owned(), number(own.value), own.unit.to_owned()]);
    ended(row)
}

fn point(name: &str, own: &PointFigure<'_>) -> Vec<String> {
    let mut row = start(name, kind_words(own.point.kind), &place(own.point));
    row.extend([
        own.quantity.words().to_owned(),
        number(own.sheet),
        own.quantity.unit().to_owned(),
        maybe(own.model),
        maybe(difference_percent(own)),
        own.point.status.clone(),
        own.point.source.clone(),
    ]);
    row
}

fn place(point: &DataPoint) -> String {
    let screen = point
        .screen_volts
        .map(|volts| format!(";screen={}", number(volts)));
    format!(
        "plate={};grid={}{}",
        number(point.plate_volts),
        number(point.grid_volts),
        screen.unwrap_or_default()
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::{semiconductor as semiconductor_of, tube_type, tube_types};

    #[test]
    fn every_row_is_as_long_as_the_heads() {
        for own in tube_types() {
            let view = TubeView {
                tube: own,
                figures: Vec::new(),
            };
            assert!(tube(&view).iter().all(|row| row.len() == columns()));
        }
        let rows = semiconductor(semiconductor_of("2N404").unwrap());
        assert!(rows.iter().all(|row| row.len() == columns()));
        let view = TubeView {
            tube: tube_type("12AX7").unwrap(),
            figures: Vec::new(),
        };
        assert_eq!(
            tube(&view)[0][..5],
            ["12AX7", "pin", "1", "plate, section B", "P2"]
        );
    }
}
