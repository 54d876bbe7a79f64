//! A report for people, as blocks that every renderer knows how to set.

use crate::table::Table;

/// One block of a report.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Block {
    /// The heading of a job.
    Title(String),
    /// A smaller heading.
    Caption(String),
    /// Lines that stand together, each a sentence or a fact.
    Lines(Vec<String>),
    /// A picture made of letters, its lines as they are.
    Drawing(Vec<String>),
    /// A table.
    Table(Table),
}
