//! Reports on pages: blocks of a report into blocks of a document, documents into files.
//!
//! Finished blocks and words come in, bytes of an HTML or PDF file go out. Nothing is rounded here,
//! and no date is written into a file: the same job gives the same bytes.

use paper::{Cell as PaperCell, Document, PageSize, Text};

use crate::clean::clean;
use crate::document::Block;
use crate::reports::ReportError;
use crate::table::{Align, Table};
use crate::tone::Tone;
use crate::views::{Page, PaperSize};
use crate::wrap::columns;

/// A column is set for texts of at most this many letters; longer ones are wrapped.
const LONGEST: usize = 34;

/// A column is never narrower than for this many letters.
const SHORTEST: usize = 4;

/// Letters of a title that fit at the head of every page beside what else stands there.
const RUNNING_TITLE: usize = 60;

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

/// Blocks of a report as blocks of a document.
pub(crate) fn blocks(blocks: &[Block]) -> Vec<paper::Block> {
    let mut set = Vec::new();
    for block in blocks {
        match block {
            Block::Title(title) => set.push(paper::Block::heading(1, clean(title))),
            Block::Caption(caption) => set.push(paper::Block::heading(2, clean(caption))),
            Block::Lines(lines) | Block::Drawing(lines) => {
                set.extend(
                    lines
                        .iter()
                        .map(|line| paper::Block::paragraph(clean(line))),
                );
            }
            Block::Table(model) => set.push(paper::Block::Table(table(model))),
        }
    }
    set
}

/// A table of a report as one on a page; its columns are as wide as their texts ask for.
pub(crate) fn table(model: &Table) -> paper::Table {
    let set_columns = model
        .columns
        .iter()
        .enumerate()
        .map(|(index, column)| {
            let cells = model.rows.iter().filter_map(|row| row.get(index));
            let widest = cells
                .map(|cell| columns(&cell.text))
                .chain([columns(&column.head), columns(&column.unit)])
                .max()
                .unwrap_or(SHORTEST);
            let align = match column.align {
                Align::Left => paper::Align::Left,
                Align::Right | Align::Limits => paper::Align::Right,
                Align::Decimal => paper::Align::Decimal,
            };
            let share = widest.clamp(SHORTEST, LONGEST) + 2;
            paper::Column::new(clean(&column.head), align, share as f64).unit(clean(&column.unit))
        })
        .collect();
    let mut set = paper::Table::new("", set_columns);
    for row in &model.rows {
        let cells = row.iter().map(|cell| {
            let words = clean(&cell.text);
            PaperCell::Text(match cell.tone {
                Tone::Bad => Text::default().bold(words),
                Tone::Plain | Tone::Good => Text::from(words),
            })
        });
        set.row(cells.collect());
    }
    set
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
    use crate::table::{Cell, Column};

    #[test]
    fn a_table_keeps_its_cells_and_marks_bad_words_by_weight() {
        let model = Table {
            columns: vec![
                Column::new("point", "", Align::Left),
                Column::new("verdict", "", Align::Left),
            ],
            rows: vec![vec![
                Cell::from("a\nb"),
                Cell {
                    text: "FAIL".into(),
                    tone: Tone::Bad,
                },
            ]],
        };
        let set = table(&model);
        let [paper::Row::Cells(cells)] = &set.rows[..] else {
            panic!("{:?}", set.rows);
        };
        assert_eq!(cells[0], PaperCell::from("a b"));
        assert_eq!(cells[1], PaperCell::Text(Text::default().bold("FAIL")));
    }

    #[test]
    fn a_long_title_is_cut_at_the_head_of_the_page_only() {
        let title = "x".repeat(120);
        assert_eq!(shortened(&title).chars().count(), RUNNING_TITLE);
        assert_eq!(shortened("Ωµ <set> & co"), "Ωµ <set> & co");
    }
}
