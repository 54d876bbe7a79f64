//! Comma-separated text cut into rows of words.
//!
//! Quotes, doubled quotes and line breaks inside quotes follow RFC 4180. Blank rows are left out, and so are
//! comments: rows whose first cell starts with `#`. Columns are not known here.

use std::ops::Range;

use csv_core::{ReadFieldResult, Reader, ReaderBuilder};

use crate::diagnostic::Diagnostic;
use crate::source::{SourceId, Span};
use crate::words::Words;

/// One row.
#[derive(Clone, Debug)]
pub(crate) struct Record {
    pub cells: Vec<Words>,
    /// The cell with unpaired quotes, which ends the row: the text after it cannot be read.
    pub stray_quote: Option<Span>,
}

impl Record {
    /// The place of the whole row.
    pub fn span(&self) -> Span {
        let spans = self.cells.iter().map(|cell| &cell.span);
        let source = spans.clone().next().map_or(SourceId(0), |span| span.source);
        let starts = spans.clone().map(|span| span.bytes.start);
        let start = starts.min().unwrap_or(0);
        let end = match &self.stray_quote {
            Some(quote) => quote.bytes.end,
            None => spans.map(|span| span.bytes.end).max().unwrap_or(start),
        };
        Span::new(source, start.min(end)..end)
    }

    /// The fault of quotes that do not pair up.
    pub fn stray(&self) -> Option<Diagnostic> {
        let quote = self.stray_quote.clone()?;
        let fault = Diagnostic::error(quote, "the quotes of this cell do not pair up");
        let help = "a quote inside a quoted cell is written twice: \"the \"\"B\"\" line\"";
        Some(fault.label("opens here").help(help))
    }
}

/// The separators that exports use.
pub(crate) const SEPARATORS: [(u8, &str); 3] =
    [(b',', "commas"), (b';', "semicolons"), (b'\t', "tabs")];

pub(crate) fn records(source: SourceId, text: &str, separator: u8) -> Vec<Record> {
    let mut records = Vec::new();
    let mut position = 0;
    loop {
        let mut reader = ReaderBuilder::new().delimiter(separator).build();
        // A stray quote would include the rows after it; reading starts again on the next line.
        match read_until_stray(source, text, &mut reader, position, &mut records) {
            Some(next) if next > position => position = next,
            _ => return records,
        }
    }
}

/// Reads rows from a byte on; if a stray quote stops it, returns the byte to continue from.
fn read_until_stray(
    source: SourceId,
    text: &str,
    reader: &mut Reader,
    from: usize,
    records: &mut Vec<Record>,
) -> Option<usize> {
    let mut position = from;
    loop {
        position = skip_blank_lines_and_comments(text, position);
        if position >= text.len() {
            return None;
        }
        let mut cells = Vec::new();
        let mut record_ends = false;
        while !record_ends {
            let field = read_field(reader, text.as_bytes(), position)?;
            record_ends = field.record_ends;
            if let Some(quote) = stray_quote(text, field.raw.clone()) {
                cells.push(Words::new(source, text, field.raw, &field.decoded));
                keep(records, cells, Some(Span::new(source, quote..quote + 1)));
                return Some(next_line(text, quote));
            }
            cells.push(Words::new(source, text, field.raw, &field.decoded));
            position = field.next;
        }
        keep(records, cells, None);
    }
}

fn keep(records: &mut Vec<Record>, cells: Vec<Words>, stray_quote: Option<Span>) {
    let comment = cells.first().is_some_and(|cell| cell.text.starts_with('#'));
    let blank = stray_quote.is_none() && cells.iter().all(Words::is_blank);
    if !comment && !blank {
        records.push(Record { cells, stray_quote });
    }
}

/// One cell as the reader saw it.
struct Field {
    raw: Range<usize>,
    decoded: String,
    next: usize,
    record_ends: bool,
}

fn read_field(reader: &mut Reader, bytes: &[u8], start: usize) -> Option<Field> {
    let mut decoded = vec![0; 64];
    let (mut next, mut filled) = (start, 0);
    loop {
        let rest = bytes.get(next..).unwrap_or(&[]);
        let at_end = rest.is_empty();
        let (result, read, written) = reader.read_field(rest, decoded.get_mut(filled..)?);
        next += read;
        filled += written;
        match result {
            ReadFieldResult::InputEmpty => {}
            ReadFieldResult::OutputFull => decoded.resize(decoded.len() * 2, 0),
            ReadFieldResult::End => return None,
            ReadFieldResult::Field { record_end } => {
                // The byte that ends a cell is not part of it; at the end of the text there is no
                // such byte.
                let end = if at_end { next } else { next.saturating_sub(1) };
                decoded.truncate(filled);
                return Some(Field {
                    raw: start..end.max(start),
                    decoded: String::from_utf8_lossy(&decoded).into_owned(),
                    next,
                    record_ends: record_end,
                });
            }
        }
    }
}

/// The opening quote of a cell that has words after its closing quote, or no closing quote.
fn stray_quote(text: &str, raw: Range<usize>) -> Option<usize> {
    let written = text.get(raw.clone())?;
    let mut rest = written.strip_prefix('"')?;
    loop {
        let Some(close) = rest.find('"') else {
            return Some(raw.start);
        };
        let after = rest.get(close + 1..)?;
        match after.strip_prefix('"') {
            Some(further) => rest = further,
            None if after.trim().is_empty() => return None,
            None => return Some(raw.start),
        }
    }
}

fn skip_blank_lines_and_comments(text: &str, mut position: usize) -> usize {
    while let Some(rest) = text.get(position..).filter(|rest| !rest.is_empty()) {
        let end = rest.find(['\n', '\r']).map_or(rest.len(), |at| at + 1);
        let line = rest.get(..end).unwrap_or(rest);
        let blank = line.trim_matches([' ', '\r', '\n']).is_empty();
        if !blank && !line.trim_start_matches(' ').starts_with('#') {
            break;
        }
        position += end;
    }
    position
}

fn next_line(text: &str, from: usize) -> usize {
    let rest = text.get(from..).unwrap_or("");
    rest.find('\n').map_or(text.len(), |at| from + at + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Vec<Vec<(String, Range<usize>)>> {
        let cell = |words: &Words| (words.text.clone(), words.span.bytes.clone());
        records(SourceId(0), text, b',')
            .iter()
            .map(|record| record.cells.iter().map(cell).collect())
            .collect()
    }

    fn cell(text: &str, bytes: Range<usize>) -> (String, Range<usize>) {
        (text.to_owned(), bytes)
    }

    #[test]
    fn every_cell_knows_its_place_through_quotes_line_breaks_and_crlf() {
        let text = "a, b ,c\r\n\"one\ntwo\",x\r\n\r\n# a \"comment\n,\"d\"\"e\",f";
        assert_eq!(
            read(text),
            vec![
                vec![cell("a", 0..1), cell("b", 3..4), cell("c", 6..7)],
                vec![cell("one\ntwo", 10..17), cell("x", 19..20)],
                vec![cell("", 37..37), cell("d\"e", 38..44), cell("f", 45..46)],
            ]
        );
    }

    #[test]
    fn a_stray_quote_spoils_its_own_line_only() {
        let text = "1,\"open\n2,b\n3,\"c\"d\n4,\"e\"\n";
        let found = records(SourceId(0), text, b',');
        let strays: Vec<bool> = found.iter().map(|r| r.stray_quote.is_some()).collect();
        assert_eq!(strays, [true, false, true, false]);
        assert_eq!(found[1].cells[1].text, "b");
        assert_eq!(found[3].cells[1].text, "e");
    }

    #[test]
    fn long_cells_and_a_missing_last_line_break_are_read() {
        let long = "x".repeat(1000);
        let found = read(&format!("{long},y"));
        assert_eq!(
            found,
            vec![vec![cell(&long, 0..1000), cell("y", 1001..1002)]]
        );
    }
}
