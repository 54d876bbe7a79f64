//! The header row with the names of the columns, and rows with access to cells by column name.
//!
//! Order and case of the names do not matter. A text and the column names that the table may have
//! come in; rows go out, and a diagnostic for each column or row that does not fit. The reader of
//! each table knows the meaning of its cells.

use std::borrow::Cow;

use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::source::{SourceId, Sources, Span};
use crate::table::cells::{records, Record, SEPARATORS};
use crate::words::Words;

/// The columns that a table may have.
pub(crate) struct Layout {
    /// Every column.
    pub known: &'static [&'static str],
    /// The required columns.
    pub needed: &'static [&'static str],
    /// A required column, and the column that can replace it.
    pub replaceable: Option<(&'static str, &'static str)>,
    /// Columns in addition to the known ones.
    pub numbered: Numbered,
}

/// Whether numbers are column names too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Numbered {
    /// They are not column names.
    No,
    /// Each number stands for a pin, as do letters and names of electrodes; a table without any of
    /// them is not a chart.
    Pins,
}

/// The name of a column.
type Name = Cow<'static, str>;

impl Layout {
    /// Its columns for messages.
    fn names(&self) -> Vec<&'static str> {
        let mut names = self.known.to_vec();
        if self.numbered == Numbered::Pins {
            names.splice(1..1, ["1", "2", "3 …"]);
        }
        names
    }
}

/// A table of rows.
pub(crate) struct Table {
    /// Column names in the order of the cells; none for a column that is not known.
    columns: Vec<Option<Name>>,
    /// Its rows.
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

/// A pin or electrode that heads a column of a chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Spot {
    /// A pin of its base.
    Pin(u8),
    /// An electrode by its letter or name, as written.
    Electrode(String),
}

impl Spot {
    /// The words after the designation in a place: `pin 6`, `collector`.
    pub fn words(&self) -> String {
        match self {
            Spot::Pin(circuit::Pin::CAP) => "cap".to_owned(),
            Spot::Pin(pin) => format!("pin {pin}"),
            Spot::Electrode(name) => name.clone(),
        }
    }

    /// The heading of its column.
    pub fn column(&self) -> String {
        match self {
            Spot::Pin(pin) => circuit::Pin::name_of(*pin),
            Spot::Electrode(name) => name.clone(),
        }
    }
}

fn spot(name: &str) -> Option<Spot> {
    let cap = circuit::Pin::number_of(name).filter(|number| *number == circuit::Pin::CAP);
    match pin(name).or(cap) {
        Some(pin) => Some(Spot::Pin(pin)),
        None => circuit::names_electrode(name).then(|| Spot::Electrode(name.to_owned())),
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
        out.push(Diagnostic::note(row_span(&header), message));
    }
    let columns = read_header(&header, layout, out)?;
    let rows = found
        .into_iter()
        .map(|record| read_row(record, &columns, out))
        .collect();
    Some(Table { columns, rows })
}

fn known_columns(found: &[Record], layout: &Layout) -> usize {
    let is_known = |cell: &&Words| known_column(&cell.text, layout).is_some();
    found
        .first()
        .map_or(0, |header| header.cells.iter().filter(is_known).count())
}

fn known_column(text: &str, layout: &Layout) -> Option<Name> {
    let mut known = layout.known.iter().copied();
    let named = known.find(|name| name.eq_ignore_ascii_case(text));
    named.map(Cow::Borrowed).or_else(|| match layout.numbered {
        Numbered::Pins => spot(text).map(|spot| Cow::Owned(spot.column())),
        Numbered::No => None,
    })
}

/// `6`, `pin 6` or `6.` as the heading of a column.
fn pin(text: &str) -> Option<u8> {
    let plain = text.to_lowercase();
    let number = plain.strip_prefix("pin").unwrap_or(&plain);
    let number = number.trim().trim_start_matches('#').trim_end_matches('.');
    let digits = number.bytes().all(|byte| byte.is_ascii_digit());
    number.parse().ok().filter(|pin| digits && *pin > 0)
}

fn read_header(
    header: &Record,
    layout: &Layout,
    out: &mut Vec<Diagnostic>,
) -> Option<Vec<Option<Name>>> {
    if let Some(quote) = &header.stray_quote {
        out.push(stray(quote.clone()));
        return None;
    }
    // Spreadsheets pad the header with blank cells; a cell under one of them has no column.
    let named = header.cells.iter().rposition(|cell| !cell.is_blank());
    let header_cells = header.cells.get(..=named?).unwrap_or_default();
    let mut columns: Vec<Option<Name>> = header_cells
        .iter()
        .map(|cell| known_column(&cell.text, layout))
        .collect();
    report_duplicates(header, &columns, out);
    let has = |columns: &[Option<Name>], name: &str| {
        let mut names = columns.iter().flatten();
        names.any(|own| own.as_ref() == name)
    };
    let replaced = layout.replaceable.filter(|(_, by)| has(&columns, by));
    let is_needed = |name: &str| {
        layout.needed.contains(&name) && replaced.is_none_or(|(other, _)| other != name)
    };
    for (index, cell) in header_cells.iter().enumerate() {
        if columns[index].is_some() {
            continue;
        }
        if cell.is_blank() {
            let message = "a column without a name is ignored";
            out.push(Diagnostic::warning(cell.span.clone(), message));
            continue;
        }
        let free = |name: &&&str| !has(&columns, name);
        let near = nearest(&cell.text, layout.known.iter().filter(free).copied());
        let needed = layout
            .known
            .iter()
            .copied()
            .find(|name| Some(*name) == near);
        if let Some(name) = needed.filter(|name| is_needed(name)) {
            // One mistake causes one message: the name is taken as meant, so that the rows can
            // still be read.
            columns[index] = Some(Cow::Borrowed(name));
            let message = format!("there is no column '{name}'");
            let help = format!("did you mean '{name}' by '{}'?", cell.text);
            out.push(Diagnostic::error(cell.span.clone(), message).help(help));
        } else {
            let message = format!("column '{}' is not known and is ignored", cell.text);
            let help = near.map(|name| format!("did you mean '{name}'?"));
            let known = format!("the columns are: {}", layout.names().join(", "));
            let warning = Diagnostic::warning(cell.span.clone(), message);
            out.push(warning.help(known).maybe_help(help));
        }
    }
    let missing: Vec<&str> = layout
        .needed
        .iter()
        .copied()
        .filter(|name| is_needed(name) && !has(&columns, name))
        .collect();
    for name in &missing {
        let message = format!("there is no column '{name}'");
        let help = format!("the columns are: {}", layout.names().join(", "));
        out.push(Diagnostic::error(row_span(header), message).help(help));
    }
    let pins = columns.iter().flatten().any(|name| spot(name).is_some());
    if layout.numbered == Numbered::Pins && !pins {
        let message = "there is no column of a pin";
        let help = "head each column with the number of its pin, or with its electrode: tube,1,2,3";
        out.push(Diagnostic::error(row_span(header), message).help(help));
        return None;
    }
    missing.is_empty().then_some(columns)
}

fn report_duplicates(header: &Record, columns: &[Option<Name>], out: &mut Vec<Diagnostic>) {
    for (index, (cell, name)) in header.cells.iter().zip(columns).enumerate() {
        let first = columns.iter().position(|other| other == name);
        if let (Some(name), Some(first)) = (name, first.filter(|first| *first < index)) {
            let message = format!("column '{name}' stands here a second time");
            let first = header.cells[first].span.clone();
            out.push(Diagnostic::error(cell.span.clone(), message).related(first, "first here"));
        }
    }
}

fn read_row(record: Record, columns: &[Option<Name>], out: &mut Vec<Diagnostic>) -> Row {
    let span = row_span(&record);
    let fault = match &record.stray_quote {
        Some(quote) => Some(stray(quote.clone())),
        None => overlong(&record, columns.len()),
    };
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

fn stray(quote: Span) -> Diagnostic {
    Diagnostic::error(quote, "the quotes of this cell do not pair up")
        .label("opens here")
        .help("a quote inside a quoted cell is written twice: \"the \"\"B\"\" line\"")
}

fn row_span(record: &Record) -> Span {
    let spans = record.cells.iter().map(|cell| &cell.span);
    let source = spans.clone().next().map_or(SourceId(0), |span| span.source);
    let start = spans
        .clone()
        .map(|span| span.bytes.start)
        .min()
        .unwrap_or(0);
    let end = match &record.stray_quote {
        Some(quote) => quote.bytes.end,
        None => spans.map(|span| span.bytes.end).max().unwrap_or(start),
    };
    Span::new(source, start.min(end)..end)
}
