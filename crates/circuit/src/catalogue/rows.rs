//! Rows of an embedded table, by the names of their columns.
//!
//! The text of a table comes in; cells and numbers go out, or the place of a fault. Tubes are not
//! known here.

use std::sync::Arc;

use csv::StringRecord;
use thiserror::Error;

/// A fault in an embedded table.
#[derive(Clone, Debug, PartialEq, Error)]
pub(crate) enum CatalogueError {
    #[error("{table} table, line {line}: {what}")]
    Layout {
        table: &'static str,
        line: usize,
        what: String,
    },
    #[error("{table} table has no column {column}")]
    NoColumn {
        table: &'static str,
        column: &'static str,
    },
    #[error("{table} table, line {line}: {column} cannot be {text:?}")]
    Cell {
        table: &'static str,
        line: usize,
        column: &'static str,
        text: String,
    },
    #[error("{table} table, line {line}: parameter {name} is missing or not a finite number")]
    Parameter {
        table: &'static str,
        line: usize,
        name: &'static str,
    },
    #[error("{table} table has no row for {name}")]
    NoRow { table: &'static str, name: String },
}

/// One row of a table.
#[derive(Clone, Debug)]
pub(crate) struct Row<'a> {
    pub(crate) table: &'static str,
    pub(crate) line: usize,
    heads: Arc<[&'a str]>,
    cells: StringRecord,
}

/// All rows below the header row.
pub(crate) fn rows<'a>(table: &'static str, text: &'a str) -> Result<Vec<Row<'a>>, CatalogueError> {
    // The header row has no quoted cells, so its names can be borrowed.
    let heads: Arc<[&str]> = text.lines().next().unwrap_or_default().split(',').collect();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut found = Vec::new();
    for (index, record) in reader.records().enumerate() {
        let line = index + 2;
        let cells = record.map_err(|fault| CatalogueError::Layout {
            table,
            line,
            what: fault.to_string(),
        })?;
        found.push(Row {
            table,
            line,
            heads: Arc::clone(&heads),
            cells,
        });
    }
    Ok(found)
}

impl Row<'_> {
    /// A cell's text, which may be empty.
    pub(crate) fn text(&self, column: &'static str) -> Result<&str, CatalogueError> {
        let place = self.heads.iter().position(|head| *head == column);
        place
            .and_then(|place| self.cells.get(place))
            .ok_or(CatalogueError::NoColumn {
                table: self.table,
                column,
            })
    }

    /// A cell's number; none if it is empty.
    pub(crate) fn optional(&self, column: &'static str) -> Result<Option<f64>, CatalogueError> {
        match self.text(column)? {
            "" => Ok(None),
            text => finite(text).map(Some).ok_or_else(|| self.fault(column)),
        }
    }

    /// A cell's number.
    pub(crate) fn number(&self, column: &'static str) -> Result<f64, CatalogueError> {
        self.optional(column)?.ok_or_else(|| self.fault(column))
    }

    /// The error for a cell with an impossible value.
    pub(crate) fn fault(&self, column: &'static str) -> CatalogueError {
        CatalogueError::Cell {
            table: self.table,
            line: self.line,
            column,
            text: self.text(column).unwrap_or_default().to_owned(),
        }
    }

    /// The number of `name` in a column of `name=value` pairs with semicolons between; none if
    /// the name is not there.
    pub(crate) fn named(
        &self,
        column: &'static str,
        name: &'static str,
    ) -> Result<Option<f64>, CatalogueError> {
        let value = self
            .text(column)?
            .split(';')
            .filter_map(|pair| pair.split_once('='))
            .find(|(own, _)| *own == name)
            .map(|(_, value)| value);
        match value {
            None => Ok(None),
            Some(text) => finite(text).map(Some).ok_or_else(|| self.missing(name)),
        }
    }

    /// The number of `name`, which is required.
    pub(crate) fn parameter(&self, name: &'static str) -> Result<f64, CatalogueError> {
        self.named("parameters", name)?
            .ok_or_else(|| self.missing(name))
    }

    fn missing(&self, name: &'static str) -> CatalogueError {
        CatalogueError::Parameter {
            table: self.table,
            line: self.line,
            name,
        }
    }
}

fn finite(text: &str) -> Option<f64> {
    text.parse().ok().filter(|number: &f64| number.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TABLE: &str = "type,volts,parameters\nA,6.3,x=1;y=2e3\n\"B, C\",,x=one\n";

    #[test]
    fn cells_are_found_by_their_heads() {
        let rows = rows("trial", TABLE).unwrap();
        assert_eq!(rows[1].text("type").unwrap(), "B, C");
        assert_eq!(rows[0].optional("volts").unwrap(), Some(6.3));
        assert_eq!(rows[1].optional("volts").unwrap(), None);
        assert_eq!(rows[0].named("parameters", "y").unwrap(), Some(2e3));
    }

    #[test]
    fn a_fault_names_its_table_line_and_column() {
        let rows = rows("trial", TABLE).unwrap();
        assert_eq!(
            rows[1].number("volts").unwrap_err().to_string(),
            "trial table, line 3: volts cannot be \"\""
        );
        assert_eq!(
            rows[1].parameter("x").unwrap_err().to_string(),
            "trial table, line 3: parameter x is missing or not a finite number"
        );
        assert!(rows[0].text("amperes").is_err());
    }

    #[test]
    fn a_row_of_another_length_is_refused() {
        assert!(rows("trial", "type,volts\nA,1,2\n").is_err());
    }
}
