//! The meters that can be named, as a table and as rows.

use circuit::{Accuracy, MeterInput};
use units::{fixed, Unit};

use crate::csv_text::{maybe, number, CsvTable};
use crate::document::Block;
use crate::figures::stated;
use crate::table::{Align, Cell, Column, Table};
use crate::views::MeterListing;

pub(crate) fn blocks(listings: &[MeterListing<'_>]) -> Vec<Block> {
    let columns = vec![
        Column::new("meter", "", Align::Left),
        Column::new("what it is", "", Align::Left),
        Column::new("from", "", Align::Left),
        Column::new("input", "", Align::Right),
        Column::new("accuracy", "", Align::Left),
        Column::new("ranges", "", Align::Left),
    ];
    let rows = listings.iter().map(row).collect();
    vec![Block::Table(Table { columns, rows })]
}

fn row(listing: &MeterListing<'_>) -> Vec<Cell> {
    let meter = listing.meter;
    let own_input = meter.ranges.iter().any(|range| range.input.is_some());
    let input = match (own_input, meter.input) {
        (true, _) => "by range".to_owned(),
        (false, MeterInput::Sensitivity(sensitivity)) => sensitivity.to_string(),
        (false, MeterInput::Fixed(ohms)) => stated(ohms, Unit::Ohm),
    };
    let cells = [
        meter.name.clone(),
        meter.description.clone(),
        listing.origin.word().to_owned(),
        input,
        meter.accuracy.map(accuracy).unwrap_or_default(),
        ranges(listing),
    ];
    cells.map(Cell::from).to_vec()
}

/// Full scales with one unit at the end where they share it.
fn ranges(listing: &MeterListing<'_>) -> String {
    let texts: Vec<String> = listing
        .meter
        .ranges
        .iter()
        .map(|range| {
            let volts = range.full_scale.to_string();
            match range.input {
                Some(ohms) => format!("{volts} ({})", stated(ohms, Unit::Ohm)),
                None => volts,
            }
        })
        .collect();
    match texts.is_empty() {
        true => String::new(),
        false => format!("{} V", texts.join(", ")),
    }
}

fn accuracy(accuracy: Accuracy) -> String {
    match accuracy {
        Accuracy::OfFullScale(share) => format!("{} % of full scale", share_percent(share)),
        Accuracy::OfReading { share, counts } => {
            format!("{} % + {counts} counts", share_percent(share))
        }
    }
}

/// A stated share in percent, without the last digits of a binary fraction.
fn share_percent(share: f64) -> String {
    let text = fixed(share * 100.0, 4);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// One row a meter and range.
pub(crate) fn csv(listings: &[MeterListing<'_>]) -> CsvTable {
    let mut rows = Vec::new();
    for listing in listings {
        let meter = listing.meter;
        let per_volt = match meter.input {
            MeterInput::Sensitivity(sensitivity) => Some(sensitivity.0),
            MeterInput::Fixed(_) => None,
        };
        let start = [
            meter.name.clone(),
            meter.description.clone(),
            listing.origin.word().to_owned(),
            maybe(per_volt),
        ];
        let line = |range: String, ohms: String| -> Vec<String> {
            let accuracy = meter.accuracy.map(accuracy).unwrap_or_default();
            start
                .iter()
                .cloned()
                .chain([range, ohms, accuracy])
                .collect()
        };
        for range in &meter.ranges {
            rows.push(line(
                number(range.full_scale),
                number(meter.input_ohms(*range)),
            ));
        }
        if meter.ranges.is_empty() {
            let ohms = match meter.input {
                MeterInput::Fixed(ohms) => number(ohms),
                MeterInput::Sensitivity(_) => String::new(),
            };
            rows.push(line(String::new(), ohms));
        }
    }
    let heads = "meter,description,from,sensitivity (ohm/V),range (V),input (ohm),accuracy";
    CsvTable::listed(heads, rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::views::MeterOrigin;
    use circuit::meter_by_name;

    #[test]
    fn a_meter_in_words() {
        let meter = meter_by_name("20k/V").unwrap();
        let listing = MeterListing {
            meter: &meter,
            origin: MeterOrigin::BuiltIn,
        };
        let texts: Vec<String> = row(&listing).into_iter().map(|cell| cell.text).collect();
        assert_eq!(
            texts[2..],
            [
                "built-in",
                "20 kΩ/V",
                "3 % of full scale",
                "2.5, 10, 50, 250, 1000 V"
            ]
        );
        assert_eq!(share_percent(0.0005), "0.05");
    }
}
