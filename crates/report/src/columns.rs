//! Columns that several sheets for a spreadsheet share: what a row is of, and what is expected there.
//!
//! Rows come in, of whatever sheet; their cells go out.

use circuit::{Job, ManualRow, Quantity};
use translate::BenchSide;

use crate::csv_text::{maybe, Column};

/// What a row of a sheet is of.
pub(crate) enum Place<'a> {
    /// A row of the manual.
    Row(ManualRow<'a>),
    /// A point that the manual does not have, by its label.
    Unknown(&'a str),
}

/// A row of a sheet that says what it is of.
pub(crate) trait OfPlace {
    /// The job and the place in it.
    fn of(&self) -> (&Job, Place<'_>);
}

/// Job, place and printed value, as every such sheet begins.
pub(crate) fn place_columns<R: OfPlace>() -> Vec<Column<R>> {
    vec![
        ("job", |row| row.of().0.folder.clone()),
        ("point", |row| {
            let label = match row.of().1 {
                Place::Row(row) => row.point,
                Place::Unknown(label) => label,
            };
            label.to_owned()
        }),
        ("at", |row| places(row, |row| row.at)),
        ("against", |row| places(row, |row| row.against)),
        ("quantity", |row| {
            quantity_of(row).map_or("", Quantity::name).to_owned()
        }),
        ("manual", |row| match row.of().1 {
            Place::Row(row) => maybe(row.figure.map(|figure| figure.value)),
            Place::Unknown(_) => String::new(),
        }),
        ("unit", |row| quantity_of(row).map_or("", unit).to_owned()),
    ]
}

/// One of the two places that a row is measured between.
fn places<R: OfPlace>(row: &R, which: for<'a> fn(ManualRow<'a>) -> &'a str) -> String {
    match row.of().1 {
        Place::Row(row) => which(row).to_owned(),
        Place::Unknown(_) => String::new(),
    }
}

fn quantity_of<R: OfPlace>(row: &R) -> Option<Quantity> {
    match row.of().1 {
        Place::Row(row) => Some(row.quantity),
        Place::Unknown(_) => None,
    }
}

/// The unit of a quantity as numbers for programs have it.
fn unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::DcVolts | Quantity::AcVolts => "V",
        Quantity::Ohms => "ohm",
        Quantity::DcMilliamperes => "A",
    }
}

/// A row of a sheet that says what a bench meter should show.
pub(crate) trait Expects {
    /// That, if anything is expected.
    fn expected(&self) -> Option<&BenchSide>;
}

/// What is expected, how well that is known, and its limits; in the unit of the row.
pub(crate) fn expected_columns<R: Expects>() -> Vec<Column<R>> {
    fn of<R: Expects>(row: &R, number: impl Fn(&BenchSide) -> Option<f64>) -> String {
        maybe(row.expected().and_then(number))
    }
    vec![
        ("expected", |row| of(row, |side| Some(side.expected))),
        ("standard uncertainty", |row| {
            of(row, |side| Some(side.budget.standard))
        }),
        ("coverage factor", |row| {
            of(row, |side| Some(side.budget.coverage))
        }),
        ("uncertainty", |row| {
            of(row, |side| Some(side.budget.expanded()))
        }),
        ("band low", |row| of(row, |side| side.band.low)),
        ("band high", |row| of(row, |side| side.band.high)),
    ]
}
