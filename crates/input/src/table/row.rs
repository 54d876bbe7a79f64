//! The rows of a table, and one row being read: its cells by column, its name in messages, its place
//! in the file.
//!
//! A text and the columns that its table may have come in; rows go out, and a diagnostic for each that
//! does not fit. The reader of each table knows the meaning of its cells.

use circuit::{LeftOutRow, Meter, Origin, Quantity};
use units::{parse_cell, parse_percent, CellContent, Figure, Tolerance, Unit};

use crate::diagnostic::Diagnostic;
use crate::meters::MeterNameError;
use crate::records::{records, Record, SEPARATORS};
use crate::source::{SourceId, Sources, Span};
use crate::table::columns::{known_columns, read_header, spot, Layout, Name, Spot};
use crate::table::read_context::ReadContext;
use crate::values::Reported;
use crate::words::Words;

pub(crate) struct Table {
    /// Column names in the order of the cells; none for a column that is not known.
    columns: Vec<Option<Name>>,
    pub rows: Vec<Row>,
}

/// One row, its cells in the order of the header.
pub(crate) struct Row {
    cells: Vec<Words>,
    /// The place of the whole row.
    pub span: Span,
    /// The fault that makes the whole row unusable, a stray quote or too many cells, which has been
    /// reported.
    pub spoiled: Option<String>,
}

impl Table {
    /// The words in a column of a row, blank if the table does not have the column.
    pub fn words(&self, row: &Row, column: &str) -> Words {
        let index = self
            .columns
            .iter()
            .position(|name| name.as_deref() == Some(column));
        index
            .and_then(|index| row.cells.get(index))
            .cloned()
            .unwrap_or_else(|| Words::blank(row.span.source, row.span.bytes.start))
    }

    /// Pins and electrodes that have a column, each once, in the order of the header.
    pub fn spots(&self) -> Vec<Spot> {
        let mut spots: Vec<Spot> = Vec::new();
        for spot in self.columns.iter().flatten().filter_map(|name| spot(name)) {
            if !spots.contains(&spot) {
                spots.push(spot);
            }
        }
        spots
    }
}

/// Reads a table; none if it has no header row that can be used.
pub(crate) fn read_table(
    sources: &Sources,
    id: SourceId,
    layout: &Layout,
    out: &mut Vec<Diagnostic>,
) -> Option<Table> {
    let text = &sources.get(id).text;
    let (separator, name, mut found) = SEPARATORS
        .iter()
        // Without any separator the one column of a table is that of commas.
        .filter(|(byte, _)| *byte == b',' || text.as_bytes().contains(byte))
        .map(|(byte, name)| (*byte, *name, records(id, text, *byte)))
        .rev()
        // `max_by_key` takes the last of equals, and the comma is last in the list.
        .max_by_key(|(_, _, found)| known_columns(found, layout))?;
    if found.is_empty() {
        let message = "the table has no header row";
        let help = format!(
            "start with a row of column names: {}",
            layout.names().join(",")
        );
        out.push(Diagnostic::error(Span::new(id, 0..0), message).help(help));
        return None;
    }
    let header = found.remove(0);
    if separator != b',' {
        let message = format!("the cells are taken to be separated by {name}");
        out.push(Diagnostic::note(header.span(), message));
    }
    let columns = read_header(&header, layout, out)?;
    let rows = found
        .into_iter()
        .map(|record| read_row(record, &columns, out))
        .collect();
    Some(Table { columns, rows })
}

fn read_row(record: Record, columns: &[Option<Name>], out: &mut Vec<Diagnostic>) -> Row {
    let span = record.span();
    let fault = record.stray().or_else(|| overlong(&record, columns.len()));
    let spoiled = fault.as_ref().map(|fault| fault.message.clone());
    out.extend(fault.map(Diagnostic::of_row));
    let mut cells = record.cells;
    if let Some(quote) = &record.stray_quote {
        // The text of the faulty cell runs into the next rows.
        cells.retain(|cell| cell.span.bytes.start < quote.bytes.start);
    }
    cells.resize_with(columns.len(), || Words::blank(span.source, span.bytes.end));
    Row {
        cells,
        span,
        spoiled,
    }
}

/// A row with more cells than its header, unless they are blank.
fn overlong(record: &Record, columns: usize) -> Option<Diagnostic> {
    let extra = record.cells.get(columns..)?;
    let cell = extra.iter().find(|cell| !cell.is_blank())?;
    let cells = record.cells.len();
    let message = format!("this row has {cells} cells, the header row has {columns}");
    let help = "a cell that holds a separator is put in quotes: \"a, b\"";
    Some(Diagnostic::error(cell.span.clone(), message).help(help))
}

/// A row of a table together with the context in which it is read.
pub(super) struct RowReader<'a> {
    pub sources: &'a Sources,
    pub context: &'a ReadContext<'a>,
    pub table: &'a Table,
    pub row: &'a Row,
    pub label: String,
}

impl<'a> RowReader<'a> {
    pub fn new(
        sources: &'a Sources,
        context: &'a ReadContext<'a>,
        table: &'a Table,
        row: &'a Row,
    ) -> Self {
        RowReader {
            sources,
            context,
            table,
            row,
            label: table.words(row, "point").text,
        }
    }

    pub fn words(&self, column: &str) -> Words {
        self.table.words(self.row, column).named(self.what(column))
    }

    pub fn filled(&self, column: &str) -> Option<Words> {
        Some(self.words(column)).filter(|words| !words.is_blank())
    }

    /// A column of this row for messages: `column 'value', row of point '3'`.
    pub fn what(&self, column: &str) -> String {
        if self.label.is_empty() {
            let (line, _) = self.sources.line_column(&self.row.span);
            format!("column '{column}', line {line}")
        } else {
            format!("column '{column}', row of point '{}'", self.label)
        }
    }

    pub fn origin(&self) -> Origin {
        let (line, _) = self.sources.line_column(&self.row.span);
        Origin {
            file: self.sources.get(self.row.span.source).label.clone(),
            line,
        }
    }

    /// The row as a left-out row, with a reason in one sentence.
    pub fn left_out(&self, noun: &str, reason: &str) -> LeftOutRow {
        let what = match self.label.as_str() {
            "" => format!("{noun} without a label"),
            label => format!("{noun} '{label}'"),
        };
        LeftOutRow {
            what,
            // The name of the row is not repeated in the reason.
            reason: reason.replace(&format!(", row of point '{}'", self.label), ""),
            origin: self.origin(),
        }
    }

    /// The meter that the row names, if it names one; `find` is the rule for finding it.
    pub fn meter<M>(
        &self,
        find: fn(&str, &[Meter]) -> Result<M, MeterNameError>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<M>, Reported> {
        let words = self.filled("meter");
        words
            .map(|words| self.context.meter(&words, find, out))
            .transpose()
    }

    /// Full scale of the range that the row states, in volts.
    pub fn range(
        &self,
        quantity: Quantity,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<f64>, Reported> {
        let Some(words) = self.filled("range") else {
            return Ok(None);
        };
        if !is_volts(quantity) {
            out.push(words.note("a range is used with volts only"));
            return Ok(None);
        }
        if parse_percent(&words.text).is_ok() {
            let help = "a tolerance has a column of its own, 'tolerance'";
            let error = words.error("a percentage is no range");
            return Err(error.help(help).report(out));
        }
        if let Some(full_scale) = full_scale_of(&words.text) {
            let help = format!("write `{}`", units::exact(full_scale, Unit::Volt));
            let error = words.error("a range is stated by its full scale alone");
            return Err(error.help(help).report(out));
        }
        words.positive(Unit::Volt, out).map(Some)
    }

    /// Warns if a value is above its range, or if a meter of the job does not have the range. A
    /// position of the switch in front of which a probe stands is no range of that meter.
    pub fn doubt_range(
        &self,
        range: f64,
        shown: Option<&Figure>,
        meter: Option<&Meter>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<(), Reported> {
        let words = self.words("range");
        if let Some(figure) = shown.filter(|figure| figure.value.abs() > range) {
            let message = format!("{} is more than this range holds", figure.text);
            out.push(words.warning(message));
        }
        let Some(meter) = meter.filter(|meter| self.context.is_own(meter)) else {
            return Ok(());
        };
        let same = |full_scale: f64| (full_scale - range).abs() <= 1e-9 * range;
        if !meter.ranges.iter().any(|listed| same(listed.full_scale)) {
            if let Some(with_probe) = meter.range_at_switch(range) {
                let message = format!(
                    "this is a position of the switch of '{}', without its probe",
                    meter.name
                );
                let help = format!(
                    "with the probe it reads to {0} at the tip: write `{0}`",
                    units::exact(with_probe.full_scale, Unit::Volt)
                );
                return Err(words.error(message).help(help).report(out));
            }
            let message = format!("meter '{}' has no such range", meter.name);
            let ranges: Vec<String> = meter
                .ranges
                .iter()
                .map(|range| units::exact(range.full_scale, Unit::Volt))
                .collect();
            let help = format!("its ranges are {}", ranges.join(", "));
            out.push(words.warning(message).help(help));
        }
        Ok(())
    }
}

pub(super) fn is_volts(quantity: Quantity) -> bool {
    matches!(quantity, Quantity::DcVolts | Quantity::AcVolts)
}

/// The full scale of a range written as people speak of it: `0-250`, `250 VDC`.
fn full_scale_of(text: &str) -> Option<f64> {
    let Ok(CellContent::Value(cell)) = parse_cell(text, Unit::Volt) else {
        return None;
    };
    let full_scale = match cell.limits {
        Some(Tolerance::Limits { low: 0.0, high }) => high,
        None if cell.alternating.is_some() => cell.figure.value,
        _ => return None,
    };
    (full_scale > 0.0).then_some(full_scale)
}
