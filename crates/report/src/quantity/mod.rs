//! Resistances, currents and alternating volts in tables of their own, each with its own unit.
//!
//! What `translate` made of such rows comes in, blocks for people and sentences for a sheet go
//! out. A resistance never stands in a column of volts.

mod compared;
mod sentences;
mod text;
mod translated;

pub(crate) use compared::{blocks as compared_blocks, read_row};
pub(crate) use sentences::{
    at_the_bench, disagreeing, drawn_words, due_sentences, dues, of_row, reason_words, DueWords,
};
pub(crate) use text::limits as limit_words;
pub(crate) use translated::blocks as translated_blocks;

use circuit::{Job, Quantity};
use translate::{QuantityPoint, QuantitySide, Translation};

use crate::power_off::take_source_out;

/// The quantities that have tables of their own, in the order of the tables.
pub(crate) const APART: [Quantity; 3] =
    [Quantity::Ohms, Quantity::DcMilliamperes, Quantity::AcVolts];

/// Above the table of a quantity.
fn caption(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Ohms => "Resistances, power off",
        Quantity::DcMilliamperes => "Direct currents, meter in series",
        Quantity::AcVolts => "Alternating volts",
        Quantity::DcVolts => "Direct volts",
    }
}

/// How it is measured; it stands above the table.
fn manner(job: &Job, quantity: Quantity) -> String {
    let words = match quantity {
        Quantity::Ohms => {
            return format!(
                "Measured with the power off: {}, discharge every capacitor and see with a \
                 voltmeter that it is discharged. Red lead at the point.",
                take_source_out(job)
            )
        }
        Quantity::DcMilliamperes => {
            "Power off and capacitors discharged while the lead is opened and the meter put in \
             series; never across the part."
        }
        Quantity::AcVolts => "Root mean square, as the meter's scale gives it.",
        Quantity::DcVolts => "",
    };
    words.to_owned()
}

/// The points of one quantity that say something.
fn of_quantity(
    translation: &Translation,
    quantity: Quantity,
) -> impl Iterator<Item = &QuantityPoint> {
    let points = translation.quantities.iter();
    points.filter(move |point| point.quantity == quantity)
}

/// What a bench meter should show, with its expanded uncertainty: `1.63 ± 0.23 kΩ`. Both are in one
/// unit, which stands once.
pub(crate) fn expected_words(side: &QuantitySide, quantity: Quantity) -> String {
    let expected = text::expected(side, quantity);
    let expanded = text::uncertainty(side, quantity).replacen('±', "± ", 1);
    let unit = expected.rsplit_once(' ').filter(|_| !expanded.is_empty());
    match unit {
        None => expected,
        Some((number, _)) => format!("{number} {expanded}"),
    }
}
