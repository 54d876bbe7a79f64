//! Maximum plate and screen dissipation of a type.

use super::rows::{rows, CatalogueError, Row};

/// Maximum dissipations of a type.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeRating {
    /// The type.
    pub name: String,
    /// Watts for each plate.
    pub plate_watts: f64,
    /// Watts for the screen, if it has one.
    pub screen_watts: Option<f64>,
    /// Watts for the plate of the triode beside a pentode, if there is one.
    pub triode_watts: Option<f64>,
}

pub(crate) fn read(text: &str) -> Result<Vec<TubeRating>, CatalogueError> {
    let number = |row: &Row<'_>, column: &'static str| -> Result<Option<f64>, CatalogueError> {
        let cell = row.text(column)?;
        let fault = || CatalogueError::Cell {
            table: "tube ratings",
            line: row.line,
            column,
            text: cell.to_owned(),
        };
        match cell {
            "" => Ok(None),
            cell => cell.parse().map(Some).map_err(|_| fault()),
        }
    };
    let one = |row: &Row<'_>| {
        Ok(TubeRating {
            name: row.text("type")?.to_owned(),
            plate_watts: number(row, "plate_watts")?.ok_or(CatalogueError::Parameter {
                table: "tube ratings",
                line: row.line,
                name: "plate_watts",
            })?,
            screen_watts: number(row, "screen_watts")?,
            triode_watts: number(row, "triode_watts")?,
        })
    };
    rows("tube ratings", text)?.iter().map(one).collect()
}
