//! A table of ready texts, whatever it will be printed on.
//!
//! Heads, unit line, alignment and rows come in; cells whose numbers stand under each other go
//! out. Nothing is rounded or coloured here.

use crate::figures::BETWEEN;
use crate::tone::Tone;
use crate::wrap::{columns, pad_left, pad_right};
use paper::Picture;

/// How the cells of a column stand under each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Align {
    /// Words.
    Left,
    /// Numbers with their own unit.
    Right,
    /// Numbers, by the decimal point.
    Decimal,
    /// Two limits, round the sign between them.
    Limits,
}

#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Column {
    /// Its head.
    pub head: String,
    /// The line under the head: a unit, or nothing.
    pub unit: String,
    /// Whether that line is the rest of the head and no unit.
    pub second_line: bool,
    /// How its cells stand.
    pub align: Align,
}

impl Column {
    /// A column of this head and unit line.
    pub(crate) fn new(head: impl Into<String>, unit: &str, align: Align) -> Self {
        Column {
            head: head.into(),
            unit: unit.to_owned(),
            second_line: false,
            align,
        }
    }

    /// A column whose head takes two lines.
    pub(crate) fn in_two_lines(head: &str, second: &str, align: Align) -> Self {
        Column {
            second_line: true,
            ..Column::new(head, second, align)
        }
    }
}

/// What kind of thing stands in a cell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Words or a number.
    #[default]
    Plain,
    /// What is read at the bench: larger on paper.
    Value,
    /// A box to write in.
    Box,
    /// Alone in its row: the heading of the rows below it.
    Group,
}

#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Cell {
    /// Its text.
    pub text: String,
    /// How it is meant; on a terminal heeded in the last column and in headings of rows.
    pub tone: Tone,
    /// What kind of thing it is.
    pub kind: Kind,
    /// What else there is to say of it, in small: on a terminal in a line below the row.
    pub under: String,
    /// A small picture before the words, for media that show some.
    pub picture: Option<Picture>,
}

impl Cell {
    /// A cell of this kind.
    pub(crate) fn of(kind: Kind, text: impl Into<String>) -> Self {
        Cell {
            text: text.into(),
            kind,
            ..Cell::default()
        }
    }

    /// The same with a small picture before it, if there is one.
    pub(crate) fn pictured(self, picture: Option<Picture>) -> Self {
        Cell { picture, ..self }
    }

    /// The same with something to say below it.
    pub(crate) fn with(self, under: impl Into<String>) -> Self {
        Cell {
            under: under.into(),
            ..self
        }
    }

    /// A word that is meant so.
    pub(crate) fn toned(text: impl Into<String>, tone: Tone) -> Self {
        Cell {
            text: text.into(),
            tone,
            ..Cell::default()
        }
    }

    /// A row that is only the heading of those below it.
    pub(crate) fn group(text: impl Into<String>, tone: Tone) -> Vec<Self> {
        vec![Cell {
            text: text.into(),
            tone,
            kind: Kind::Group,
            ..Cell::default()
        }]
    }
}

impl From<String> for Cell {
    fn from(text: String) -> Self {
        Cell::of(Kind::Plain, text)
    }
}

impl From<&str> for Cell {
    fn from(text: &str) -> Self {
        Cell::from(text.to_owned())
    }
}

/// A table. The first two columns name the row (a label and a longer text); where space is short
/// they get a line of their own. A row with an empty label goes on with the row above; a row of one
/// cell is the heading of a group and takes the whole width.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Table {
    /// The columns.
    pub columns: Vec<Column>,
    /// The rows, each as long as `columns` or a single cell.
    pub rows: Vec<Vec<Cell>>,
}

/// The heading that a row is, if it is one.
pub(crate) fn group(row: &[Cell]) -> Option<&Cell> {
    match row {
        [only] if only.kind == Kind::Group => Some(only),
        _ => None,
    }
}

/// What there is to say below a row: of its boxes first.
pub(crate) fn under(row: &[Cell]) -> String {
    let of = |boxes: bool| {
        row.iter()
            .filter(move |cell| (cell.kind == Kind::Box) == boxes)
    };
    let told = of(true).chain(of(false)).map(|cell| cell.under.as_str());
    let told: Vec<&str> = told.filter(|words| !words.is_empty()).collect();
    told.join("; ")
}

/// Columns that name the row.
pub(crate) const NAMING: usize = 2;

impl Table {
    /// The texts of a column, filled up so that their numbers stand under each other; a cell
    /// that holds no number stays as it is.
    pub(crate) fn aligned(&self, column: usize) -> Vec<String> {
        let texts: Vec<&str> = self
            .rows
            .iter()
            .map(|row| match group(row) {
                Some(_) => "",
                None => row.get(column).map_or("", |cell| cell.text.as_str()),
            })
            .collect();
        match self.columns.get(column).map(|column| column.align) {
            Some(Align::Decimal) => by_point(&texts),
            Some(Align::Limits) => by_limits(&texts),
            _ => texts.into_iter().map(str::to_owned).collect(),
        }
    }
}

/// Whether a text is a plain number, to which the unit of its column belongs.
pub(crate) fn is_number(text: &str) -> bool {
    text.chars().any(|c| c.is_ascii_digit())
        && text
            .chars()
            .all(|c| c.is_ascii_digit() || matches!(c, '.' | '+' | '\u{2212}'))
}

/// What stands behind the point, the point included.
fn behind_point(text: &str) -> usize {
    text.find('.').map_or(0, |at| columns(&text[at..]))
}

fn by_point(texts: &[&str]) -> Vec<String> {
    let numbers = texts.iter().filter(|text| is_number(text));
    let behind = numbers.map(|text| behind_point(text)).max().unwrap_or(0);
    texts
        .iter()
        .map(|text| match is_number(text) {
            true => pad_right(text, columns(text) + behind - behind_point(text)),
            false => (*text).to_owned(),
        })
        .collect()
}

/// Both limits stand round the sign between them; their points do not, for that would make the
/// column too wide wherever a table holds both plates and cathodes.
fn by_limits(texts: &[&str]) -> Vec<String> {
    let pairs = || texts.iter().filter_map(|text| text.split_once(BETWEEN));
    let low_width = pairs().map(|(low, _)| columns(low)).max().unwrap_or(0);
    let high_width = pairs().map(|(_, high)| columns(high)).max().unwrap_or(0);
    texts
        .iter()
        .map(|text| match text.split_once(BETWEEN) {
            Some((low, high)) => format!(
                "{}{BETWEEN}{}",
                pad_left(low, low_width),
                pad_right(high, high_width)
            ),
            None => (*text).to_owned(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn column_of(align: Align, texts: &[&str]) -> Vec<String> {
        let table = Table {
            columns: vec![Column::new("x", "V", align)],
            rows: texts.iter().map(|text| vec![Cell::from(*text)]).collect(),
        };
        table.aligned(0)
    }

    #[test]
    fn decimal_points_stand_under_each_other() {
        let got = column_of(Align::Decimal, &["145", "−1.20", "", "not drawn", "12.5"]);
        assert_eq!(got, ["145   ", "−1.20", "", "not drawn", "12.5 "]);
    }

    #[test]
    fn limits_stand_round_their_sign() {
        let got = column_of(Align::Limits, &["121 … 182", "−0.96 … −0.64", "max 3", ""]);
        assert_eq!(got, ["  121 … 182  ", "−0.96 … −0.64", "max 3", ""]);
    }
}
