//! Other names of the same type: suffixes, European names, the letter O for a zero.
//!
//! One table, each row with its source. A name comes in, the name in the catalogue goes out.

use super::rows::{rows, CatalogueError};

/// One row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TypeAlias {
    /// The other name.
    pub alias: String,
    /// The name in the catalogue.
    pub of: String,
    /// Why it is the same.
    pub source: String,
}

pub(crate) fn read(text: &str) -> Result<Vec<TypeAlias>, CatalogueError> {
    let row = |row: &super::rows::Row<'_>| {
        Ok(TypeAlias {
            alias: row.text("alias")?.to_owned(),
            of: row.text("type")?.to_owned(),
            source: row.text("source")?.to_owned(),
        })
    };
    rows("type aliases", text)?.iter().map(row).collect()
}
