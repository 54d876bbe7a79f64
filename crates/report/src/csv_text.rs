//! Rows as comma-separated values for a spreadsheet.
//!
//! Numbers are written to 15 digits with a point and an ASCII minus; further rounding is left to the
//! spreadsheet. A field that holds a comma, a quote or a line break is quoted (RFC 4180).

use crate::clean::clean;
use crate::error::ReportError;

/// A column: its head, with its unit, and the cell of a row under it.
pub(crate) type Column<R> = (&'static str, fn(&R) -> String);

/// Rows under their heads.
pub(crate) struct CsvTable {
    heads: Vec<&'static str>,
    /// The rows, each as long as `heads`.
    rows: Vec<Vec<String>>,
}

impl CsvTable {
    /// These rows under these columns.
    pub(crate) fn of<R>(rows: impl IntoIterator<Item = R>, columns: &[Column<R>]) -> Self {
        let cells = |row: R| columns.iter().map(|(_, cell)| cell(&row)).collect();
        CsvTable {
            heads: columns.iter().map(|(head, _)| *head).collect(),
            rows: rows.into_iter().map(cells).collect(),
        }
    }

    /// Rows of cells that are finished already, each as long as the heads, which commas separate.
    pub(crate) fn listed(heads: &'static str, rows: Vec<Vec<String>>) -> Self {
        CsvTable {
            heads: heads.split(',').collect(),
            rows,
        }
    }
}

/// The sheet as text.
pub(crate) fn render(sheet: &CsvTable) -> Result<String, ReportError> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(&sheet.heads)?;
    for row in &sheet.rows {
        writer.write_record(row.iter().map(|cell| without_formula(cell)))?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| ReportError::Csv(error.into_error().into()))?;
    Ok(String::from_utf8(bytes)?)
}

/// A cell that no spreadsheet runs as a formula: one that begins as a formula does, and is no
/// number, gets an apostrophe before it (common practice, no source). Signs that drive a terminal
/// are shown by their numbers.
fn without_formula(cell: &str) -> String {
    let shown = clean(cell);
    let begins = shown.trim_start().starts_with([
        '=', '+', '-', '@', '\u{2212}', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
    ]);
    let number = shown.parse::<f64>().is_ok();
    match begins && !number {
        true => format!("'{shown}"),
        false => shown,
    }
}

/// A number to 15 significant digits, all that a spreadsheet keeps; empty where it is not one.
pub(crate) fn number(value: f64) -> String {
    if !value.is_finite() {
        return String::new();
    }
    // The shortest text that reads back as the rounded number; adding zero turns a negative zero into
    // a plain one.
    let rounded: f64 = format!("{value:.14e}").parse().unwrap_or(value) + 0.0;
    match rounded.abs() {
        size if size != 0.0 && !(1e-6..1e15).contains(&size) => format!("{rounded:e}"),
        _ => rounded.to_string(),
    }
}

/// Whether something holds, in a word.
pub(crate) fn yes_no(holds: bool) -> String {
    if holds { "yes" } else { "no" }.to_owned()
}

/// A number, if there is one.
pub(crate) fn maybe(value: Option<f64>) -> String {
    value.map(number).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commas_quotes_and_numbers() {
        let columns: [Column<(&str, f64)>; 2] = [
            ("point", |row| row.0.to_owned()),
            ("manual (V)", |row| number(row.1)),
        ];
        let sheet = CsvTable::of([("a,\"b\"", -1.25)], &columns);
        let text = render(&sheet).unwrap();
        assert_eq!(text, "point,manual (V)\n\"a,\"\"b\"\"\",-1.25\n");
        for (cell, want) in [
            ("=HYPERLINK(1)", "'=HYPERLINK(1)"),
            ("+1+1", "'+1+1"),
            ("-1.25", "-1.25"),
            ("-A1", "'-A1"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("a\u{202e}b", "a\\u{202e}b"),
            ("plate = 3", "plate = 3"),
        ] {
            assert_eq!(without_formula(cell), want);
        }
        assert_eq!(number(f64::NAN) + &number(-0.0), "0");
        assert_eq!(number(0.1 + 0.2), "0.3");
        assert_eq!(number(1.0 / 3.0), "0.333333333333333");
        assert_eq!(number(-2.5e-310), "-2.5e-310");
        assert_eq!(number(1e300), "1e300");
    }
}
