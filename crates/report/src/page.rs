//! Blocks set on pages: HTML and PDF through the crate `paper`.
//!
//! Finished blocks come in, bytes of a file go out. Nothing is rounded here, and no date is written
//! into a file: the same job gives the same bytes.

use paper::{cell_width, text_width, Cell as PaperCell, Document, PageSize, Remark, Text, Weight};

use crate::clean::clean;
use crate::document::{Block, Card};
use crate::reports::ReportError;
use crate::table::{spanning, Align, Cell, Kind, Table};
use crate::views::{Page, PaperSize};
use crate::wrap::columns;

/// A column of words is set for texts of at most this many letters; longer ones are wrapped.
const LONGEST: usize = 34;

/// A column is never narrower than for this many letters.
const SHORTEST: usize = 4;

/// Letters of a title that fit at the head of every page beside what else stands there.
const RUNNING_TITLE: usize = 60;

/// Type of what is read at the bench, in points, as crate `paper` sets it.
const VALUE_SIZE: f64 = 11.0;

/// Room for a reading to be written, in points: 22 mm.
const BOX_WIDTH: f64 = 62.0;

/// A blank to fill in.
const BLANK: &str = "________________________";

/// The file of a document.
pub(crate) fn file(document: &Document, page: Page) -> Result<Vec<u8>, ReportError> {
    match page {
        Page::Html => Ok(paper::html(document).into_bytes()),
        Page::Pdf(size) => {
            let size = match size {
                PaperSize::A4 => PageSize::A4,
                PaperSize::Letter => PageSize::Letter,
            };
            Ok(paper::pdf(document, size)?)
        }
    }
}

/// Blocks of a report as blocks of a document. A caption stays with the block below it.
pub(crate) fn blocks(blocks: &[Block]) -> Vec<paper::Block> {
    blocks.iter().flat_map(set).collect()
}

fn set(block: &Block) -> Vec<paper::Block> {
    let paragraph = |line: &String| paper::Block::paragraph(clean(line));
    match block {
        Block::Title(title) => vec![paper::Block::heading(1, clean(title))],
        Block::Headline(headline) => vec![paper::Block::heading(1, clean(&headline.text))],
        Block::Caption(caption) => vec![paper::Block::heading(2, clean(caption))],
        Block::Lines(lines) | Block::Notes(lines) | Block::Drawing(lines) => {
            lines.iter().map(paragraph).collect()
        }
        Block::Numbered(lines) => {
            let lines = lines.iter().map(|line| Text::from(clean(line)));
            vec![paper::Block::Numbered(lines.collect())]
        }
        Block::Cards(cards) => cards.iter().map(card).collect(),
        Block::Danger(lead, words) => {
            let lead = match lead.as_str() {
                "" => String::new(),
                lead => format!("{}.", clean(lead)),
            };
            vec![paper::Block::note(Remark::Caution, lead, clean(words))]
        }
        Block::Facts(pairs) => {
            let pairs = pairs.iter().map(|(label, value)| {
                let value = match value.as_str() {
                    "" => BLANK.to_owned(),
                    value => clean(value),
                };
                (clean(label), Text::from(value))
            });
            vec![paper::Block::Facts(pairs.collect())]
        }
        Block::Table(model) => vec![paper::Block::Table(table(model))],
        Block::Picture(picture) => vec![paper::Block::Picture(picture.clone())],
        Block::WriteLines(lines) => vec![paper::Block::WriteLines {
            label: String::new(),
            lines: *lines,
        }],
        Block::Next(words) => {
            let text = Text::default().bold("Next: ").then(clean(words));
            vec![paper::Block::Paragraph(text)]
        }
    }
}

/// A card as one paragraph, kept on one page.
fn card(card: &Card) -> paper::Block {
    let label = match clean(&card.label) {
        label if label.is_empty() => label,
        label => format!("{label}  "),
    };
    let start = Text::default().bold(format!("{label}{}", clean(&card.head)));
    let lines = card.lines.iter();
    let text = lines.fold(start, |text, line| text.then(format!("\n{}", clean(line))));
    paper::Block::KeepTogether(vec![paper::Block::Paragraph(text)])
}

/// A table of a report as one on a page. Columns of figures are as wide as their longest text, so
/// that none is split; columns of words share the rest.
pub(crate) fn table(model: &Table) -> paper::Table {
    let columns = (0..model.columns.len()).map(|index| column(model, index));
    let mut set = paper::Table::new("", columns.collect());
    for row in &model.rows {
        match spanning(row) {
            None => set.row(row.iter().map(cell).collect()),
            Some(own) if own.kind == Kind::Group => set.group(clean(&own.text)),
            Some(own) => {
                let last = set.rows.last_mut();
                if let Some(paper::Row::Cells(cells)) = last {
                    go_on(cells, &clean(&own.text));
                }
            }
        }
    }
    set
}

/// Adds a line to the longer of the cells that name a row.
fn go_on(cells: &mut [PaperCell], words: &str) {
    let place = cells.len().min(2) - 1;
    if let Some(PaperCell::Text(text)) = cells.get_mut(place) {
        let gap = if text.is_empty() { "" } else { "\n" };
        *text = std::mem::take(text).then(format!("{gap}{words}"));
    }
}

fn column(model: &Table, index: usize) -> paper::Column {
    let column = &model.columns[index];
    let cells = model.rows.iter().filter(|row| spanning(row).is_none());
    let cells: Vec<&Cell> = cells.filter_map(|row| row.get(index)).collect();
    let align = match column.align {
        Align::Left => paper::Align::Left,
        Align::Right | Align::Limits => paper::Align::Right,
        Align::Decimal => paper::Align::Decimal,
    };
    let head = clean(&column.head);
    let set = paper::Column::new(head.clone(), align, 1.0).unit(clean(&column.unit));
    let is_bench = |cell: &&&Cell| matches!(cell.kind, Kind::Value | Kind::Box);
    let heads = cell_width(&head).max(cell_width(&column.unit)) * 1.1;
    if column.align != Align::Left || cells.iter().any(|cell| is_bench(&cell)) {
        let widths = cells.iter().flat_map(|cell| {
            clean(&cell.text)
                .lines()
                .map(|line| width(cell.kind, line))
                .collect::<Vec<_>>()
        });
        let boxed = cells.iter().any(|cell| cell.kind == Kind::Box);
        let least = if boxed { BOX_WIDTH } else { 0.0 };
        return set.fixed(widths.fold(heads.max(least), f64::max));
    }
    let letters = cells.iter().map(|cell| columns(&cell.text));
    let widest = letters.chain([columns(&head)]).max().unwrap_or(SHORTEST);
    let share = widest.clamp(SHORTEST, LONGEST) + 2;
    paper::Column {
        width: paper::Width::Share(share as f64),
        ..set
    }
}

/// Points that a text needs to stand on one line of its cell.
fn width(kind: Kind, text: &str) -> f64 {
    match kind {
        Kind::Value | Kind::Box => {
            text_width(text, VALUE_SIZE, Weight::Bold) + cell_width("") + 1.0
        }
        _ => cell_width(text) + 1.0,
    }
}

fn cell(cell: &Cell) -> PaperCell {
    let words = clean(&cell.text);
    match cell.kind {
        Kind::Box if words.is_empty() => PaperCell::Blank,
        Kind::Value => PaperCell::Value(words.replace(' ', "\u{a0}")),
        _ if cell.tone.is_bold() || cell.kind == Kind::Box => {
            PaperCell::Text(Text::default().bold(words))
        }
        _ => PaperCell::Text(Text::from(words)),
    }
}

/// As much of a title as fits at the head of a page.
pub(crate) fn shortened(title: &str) -> String {
    if title.chars().count() <= RUNNING_TITLE {
        return title.to_owned();
    }
    let cut: String = title.chars().take(RUNNING_TITLE - 1).collect();
    format!("{}…", cut.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Column;
    use crate::tone::Tone;

    #[test]
    fn a_table_keeps_its_cells_and_marks_bad_words_by_weight() {
        let model = Table {
            columns: vec![
                Column::new("point", "", Align::Left),
                Column::new("verdict", "", Align::Left),
            ],
            rows: vec![
                vec![Cell::from("a\nb"), Cell::toned("FAIL", Tone::Bad)],
                Cell::below("see above"),
            ],
        };
        let set = table(&model);
        let [paper::Row::Cells(cells)] = &set.rows[..] else {
            panic!("{:?}", set.rows);
        };
        assert_eq!(cells[0], PaperCell::from("a b"));
        let want = Text::default().bold("FAIL").then("\nsee above");
        assert_eq!(cells[1], PaperCell::Text(want));
    }

    #[test]
    fn a_long_title_is_cut_at_the_head_of_the_page_only() {
        let title = "x".repeat(120);
        assert_eq!(shortened(&title).chars().count(), RUNNING_TITLE);
        assert_eq!(shortened("Ωµ <set> & co"), "Ωµ <set> & co");
    }
}
