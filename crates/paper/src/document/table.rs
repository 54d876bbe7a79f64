//! A table: columns, and rows of cells.
//!
//! What it owns: what stands in each cell and how it is to be aligned. What comes in: texts. What goes out:
//! the same. Not known here: where rows fall on a page.

use crate::picture::Picture;
use crate::text::Text;

/// How the cells of a column are aligned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Align {
    /// At the left edge.
    #[default]
    Left,
    /// At the right edge.
    Right,
    /// In the middle.
    Centre,
    /// On the decimal point of the first number; whole numbers end where the point would stand.
    Decimal,
}

/// How wide a column is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Width {
    /// A width in points.
    Fixed(f64),
    /// A share of what the fixed columns leave.
    Share(f64),
}

impl Width {
    /// The points of a fixed width; 0 for any other, and for what is no width.
    pub(crate) fn points(self) -> f64 {
        match self {
            Width::Fixed(points) if points.is_finite() => points.max(0.0),
            _ => 0.0,
        }
    }

    /// The share of one that has a share; 0 for any other, and for what is no share.
    pub(crate) fn share(self) -> f64 {
        match self {
            Width::Share(share) if share.is_finite() => share.max(0.0),
            _ => 0.0,
        }
    }
}

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Heading, repeated on every page.
    pub heading: String,
    /// Unit below the heading; a units row is set if any column has one.
    pub unit: String,
    /// Alignment of its cells.
    pub align: Align,
    /// Width.
    pub width: Width,
}

impl Column {
    /// A column that takes a share of the width.
    #[must_use]
    pub fn new(heading: impl Into<String>, align: Align, share: f64) -> Self {
        Column {
            heading: heading.into(),
            unit: String::new(),
            align,
            width: Width::Share(share),
        }
    }

    /// The same column with a unit below its heading.
    #[must_use]
    pub fn unit(mut self, unit: impl Into<String>) -> Self {
        self.unit = unit.into();
        self
    }

    /// The same column with a fixed width in points.
    #[must_use]
    pub fn fixed(mut self, points: f64) -> Self {
        self.width = Width::Fixed(points);
        self
    }
}

/// What stands in one cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// A text, wrapped.
    Text(Text),
    /// A value that matters: larger and bold.
    Value(String),
    /// A value that matters, and in small type below it a word on it.
    Judged(String, String),
    /// An empty box to write in.
    Blank,
    /// A name, and in small type what else there is to say.
    Named(NamedCell),
}

/// A name with details.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NamedCell {
    /// A small picture to the left of the words.
    pub picture: Option<Picture>,
    /// The name.
    pub name: Text,
    /// Further words, in small type below the name.
    pub details: Text,
    /// How many columns the details may take on a page, the name's own included.
    pub span: usize,
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Cell::Text(text.into())
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Cell::Text(text.into())
    }
}

impl From<Text> for Cell {
    fn from(text: Text) -> Self {
        Cell::Text(text)
    }
}

/// One row.
#[derive(Debug, Clone, PartialEq)]
pub enum Row {
    /// A cell for each column; missing cells are empty, surplus cells are left out.
    Cells(Vec<Cell>),
    /// A sub-heading across all columns; repeated with "continued" where its rows go on to a new page.
    Group(String),
}

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// A line above the table; may be empty.
    pub caption: String,
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows.
    pub rows: Vec<Row>,
}

impl Table {
    /// A table without rows.
    #[must_use]
    pub fn new(caption: impl Into<String>, columns: Vec<Column>) -> Self {
        Table {
            caption: caption.into(),
            columns,
            rows: Vec::new(),
        }
    }

    /// Adds a row of cells.
    pub fn row(&mut self, cells: Vec<Cell>) {
        self.rows.push(Row::Cells(cells));
    }

    /// Adds a sub-heading.
    pub fn group(&mut self, heading: impl Into<String>) {
        self.rows.push(Row::Group(heading.into()));
    }

    /// Whether a units row is needed.
    #[must_use]
    pub fn has_units(&self) -> bool {
        self.columns.iter().any(|column| !column.unit.is_empty())
    }
}

/// Splits a text at the decimal point of its first number: ("−1", ".72 V"). Whole numbers split after their
/// last figure, a text without a figure is all before the point.
pub(crate) fn split_at_point(text: &str) -> (&str, &str) {
    let Some(first) = text.find(|c: char| c.is_ascii_digit()) else {
        return (text, "");
    };
    let rest = text.get(first..).unwrap_or_default();
    let whole = rest
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(rest.len());
    text.split_at(first + whole)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_split_at_their_point() {
        assert_eq!(split_at_point("−1.72"), ("−1", ".72"));
        assert_eq!(split_at_point("250 V"), ("250", " V"));
        assert_eq!(split_at_point("≈ 0.5"), ("≈ 0", ".5"));
        assert_eq!(split_at_point("—"), ("—", ""));
        assert_eq!(split_at_point(""), ("", ""));
    }

    #[test]
    fn a_units_row_needs_a_unit() {
        let mut table = Table::new("", vec![Column::new("Point", Align::Left, 1.0)]);
        assert!(!table.has_units());
        table.columns.push(
            Column::new("Reading", Align::Decimal, 1.0)
                .unit("V")
                .fixed(60.0),
        );
        assert!(table.has_units());
        table.group("Audio");
        table.row(vec!["1".into(), Cell::Blank]);
        assert_eq!(table.rows.len(), 2);
    }
}
