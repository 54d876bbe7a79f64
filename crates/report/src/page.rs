//! Blocks set for pages: HTML and PDF through the crate `paper`.
//!
//! Finished blocks come in, blocks of a document with pages go out. Nothing is rounded here.

use paper::{cell_width, text_width, Cell as PaperCell, NamedCell, NoteKind, Text, Weight};

use crate::clean::clean;
use crate::document::{Block, Card};
use crate::labels::{self, unbroken};
use crate::table::{group, Align, Cell, Kind, Table};
use crate::wrap::{columns, glue};

/// A column of words is set for texts of at most this many letters; longer ones are wrapped.
const LONGEST: usize = 34;

/// A column is never narrower than for this many letters.
const SHORTEST: usize = 4;

/// A column of words of at most this many letters is as wide as they are.
const SHORT: usize = 14;

/// How much wider bold letters are, at most.
const BOLD: f64 = 1.15;

/// Room against the rounding of widths, in points.
const ROUNDING: f64 = 1.0;

/// Letters of a title that fit at the head of every page beside what else stands there.
const RUNNING_TITLE: usize = 60;

/// Type of what is read at the bench, in points, as crate `paper` sets it.
const VALUE_SIZE: f64 = 11.0;

/// White beside a column of large figures, in points.
const GUTTER: f64 = 6.0;

/// Room for a reading to be written, in points: 22 mm.
const BOX_WIDTH: f64 = 62.0;

/// A blank to fill in.
const BLANK: &str = "________________________";

/// Blocks of a report as blocks of a document. A caption stays with the block below it; so does a line
/// that ends in a colon, and what is said before small pictures. What is to be filled in below lines to
/// write on stays with them.
pub(crate) fn blocks(blocks: &[Block]) -> Vec<paper::Block> {
    let mut whole = Vec::new();
    for (n, block) in blocks.iter().enumerate() {
        let mut own = set(block);
        match (block, blocks.get(n + 1)) {
            (Block::Lines(lines), Some(next)) if leads(lines, next) => {
                if let Some(paper::Block::Paragraph(text)) = own.pop() {
                    own.push(paper::Block::Lead(text));
                }
            }
            (Block::Facts(_), _) if n > 0 && matches!(blocks[n - 1], Block::WriteLines(_)) => {
                let lines = whole.pop();
                own = vec![paper::Block::KeepTogether(
                    lines.into_iter().chain(own).collect(),
                )];
            }
            _ => {}
        }
        whole.extend(own);
    }
    whole
}

/// Whether the last of these lines says nothing without the block after it.
fn leads(lines: &[String], next: &Block) -> bool {
    matches!(next, Block::Pictures(_)) || lines.last().is_some_and(|line| line.ends_with(':'))
}

fn set(block: &Block) -> Vec<paper::Block> {
    let paragraph = |line: &String| paper::Block::paragraph(words(line));
    match block {
        Block::Title(title) => vec![paper::Block::heading(1, words(title))],
        Block::Headline(headline) => vec![paper::Block::heading(1, words(&headline.text))],
        Block::Caption(caption) => vec![paper::Block::heading(2, words(caption))],
        Block::Lines(lines) | Block::Notes(lines) | Block::Drawing(lines) => {
            lines.iter().map(paragraph).collect()
        }
        Block::Numbered(lines) => {
            let lines = lines.iter().map(|line| Text::from(words(line)));
            vec![paper::Block::Numbered(lines.collect())]
        }
        Block::Cards(cards) => cards.iter().map(card).collect(),
        Block::Danger(lead, body) => {
            let lead = match lead.as_str() {
                "" => String::new(),
                lead => format!("{}.", words(lead)),
            };
            vec![paper::Block::note(NoteKind::Caution, lead, words(body))]
        }
        Block::Facts(pairs) => {
            let pairs = pairs.iter().map(|(label, value)| {
                let value = match value.as_str() {
                    "" => BLANK.to_owned(),
                    value => words(value),
                };
                (words(label), Text::from(value))
            });
            vec![paper::Block::Facts(pairs.collect())]
        }
        Block::Table(model) => vec![paper::Block::Table(table(model))],
        Block::Picture(picture) => vec![paper::Block::Picture(picture.clone())],
        Block::Pictures(pictures) => vec![paper::Block::Pictures(pictures.clone())],
        Block::WriteLines(lines) => vec![paper::Block::WriteLines {
            label: String::new(),
            lines: *lines,
        }],
        Block::Next(step) => {
            let text = Text::default().bold("Next: ").then(words(step));
            vec![paper::Block::Paragraph(text)]
        }
    }
}

/// A card as one paragraph, kept on one page.
fn card(card: &Card) -> paper::Block {
    let label = match words(&card.label) {
        label if label.is_empty() => label,
        label => format!("{label}  "),
    };
    let start = Text::default().bold(format!("{label}{}", words(&card.head)));
    let lines = card.lines.iter();
    let text = lines.fold(start, |text, line| text.then(format!("\n{}", words(line))));
    paper::Block::KeepTogether(vec![paper::Block::Paragraph(text)])
}

/// A table of a report as one on a page. Columns of figures are as wide as their longest text, so
/// that none is split; columns of words share the rest.
pub(crate) fn table(model: &Table) -> paper::Table {
    let columns = (0..model.columns.len()).map(|index| column(model, index));
    let mut set = paper::Table::new("", columns.collect());
    for row in &model.rows {
        match group(row) {
            Some(own) => set.group(words(&own.text)),
            None => set.row((0..row.len()).map(|index| cell(row, index)).collect()),
        }
    }
    set
}

fn column(model: &Table, index: usize) -> paper::Column {
    let column = &model.columns[index];
    let cells = model.rows.iter().filter(|row| group(row).is_none());
    let cells: Vec<&Cell> = cells.filter_map(|row| row.get(index)).collect();
    let has = |kind: Kind| cells.iter().any(|cell| cell.kind == kind);
    let align = match column.align {
        _ if has(Kind::Box) => paper::Align::Centre,
        Align::Left => paper::Align::Left,
        Align::Right | Align::Limits => paper::Align::Right,
        Align::Decimal => paper::Align::Decimal,
    };
    let head = words(&column.head);
    let set = paper::Column::new(head.clone(), align, 1.0).unit(words(&column.unit));
    let letters = cells.iter().map(|cell| columns(&cell.text));
    let widest = letters.chain([columns(&head)]).max().unwrap_or(SHORTEST);
    let goes_on = cells.iter().any(|cell| goes_below(cell));
    let of_figures = column.align != Align::Left || has(Kind::Value) || has(Kind::Box);
    if of_figures || (widest <= SHORT && !goes_on) {
        // Numbers stand point under point, so that the longest fraction may be that of a short number.
        let by_point = match column.align {
            Align::Decimal => around_point(&cells),
            _ => 0.0,
        };
        let widths = cells.iter().map(|cell| {
            let under = cell_width(&words(&cell.under)) + ROUNDING;
            width(cell, &words(&cell.text)).max(under)
        });
        let heads = cell_width(&head).max(cell_width(&column.unit)) * BOLD;
        let least = if has(Kind::Box) { BOX_WIDTH } else { heads };
        let own = widths.fold(heads.max(least).max(by_point), f64::max);
        // Large figures of two columns are not to be taken for one text.
        let gutter = if has(Kind::Value) { GUTTER } else { 0.0 };
        return set.fixed(own + gutter);
    }
    let share = widest.clamp(SHORTEST, LONGEST) + 2;
    paper::Column {
        width: paper::Width::Share(share as f64),
        ..set
    }
}

/// Points that the numbers of a column need with their decimal points below each other.
fn around_point(cells: &[&Cell]) -> f64 {
    let halves = cells.iter().map(|cell| {
        let text = words(&cell.text);
        let at = text.find('.').unwrap_or(text.len());
        (width(cell, &text[..at]), width(cell, &text[at..]))
    });
    let (before, after) = halves.fold((0.0_f64, 0.0_f64), |(before, after), (b, a)| {
        (before.max(b), after.max(a))
    });
    // The white at the sides is in both.
    before + after - cell_width("")
}

/// Points that a text needs to stand on one line of its cell.
fn width(cell: &Cell, text: &str) -> f64 {
    let bench = matches!(cell.kind, Kind::Value | Kind::Box);
    match (bench, cell.tone.is_bold()) {
        (true, _) => text_width(text, VALUE_SIZE, Weight::Bold) + cell_width("") + ROUNDING,
        (false, true) => cell_width(text) * BOLD + ROUNDING,
        (false, false) => cell_width(text) + ROUNDING,
    }
}

fn cell(row: &[Cell], index: usize) -> PaperCell {
    let cell = &row[index];
    let (text, under) = (words(&cell.text), words(&cell.under));
    match (cell.kind, under.as_str()) {
        (Kind::Box, "") if text.is_empty() => PaperCell::Blank,
        (Kind::Value | Kind::Box, "") => PaperCell::Value(unbroken(&text)),
        (Kind::Box, _) => PaperCell::Judged(unbroken(&text), under),
        (Kind::Plain, _) if goes_below(cell) => PaperCell::Named(NamedCell {
            picture: cell.picture.clone(),
            name: match under.as_str() {
                "" => Text::from(text),
                _ => Text::default().bold(text),
            },
            details: Text::from(under),
            span: 1 + row[index + 1..]
                .iter()
                .take_while(|cell| cell.kind == Kind::Value)
                .count(),
        }),
        (_, "") if cell.tone.is_bold() => PaperCell::Text(Text::default().bold(text)),
        (_, "") => PaperCell::Text(Text::from(text)),
        (_, under) => PaperCell::Text(Text::default().bold(text).then(format!("\n{under}"))),
    }
}

/// Whether what there is to say of a cell is too long for a line in it.
fn goes_below(cell: &Cell) -> bool {
    cell.picture.is_some() || columns(&cell.under) > SHORT
}

/// Words fit for a page: numbers stay with their units.
fn words(text: &str) -> String {
    glue(&clean(text))
}

/// As much of a title as fits at the head of a page.
pub(crate) fn shortened(title: &str) -> String {
    labels::shortened(title, RUNNING_TITLE)
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
            rows: vec![vec![
                Cell::from("a\nb"),
                Cell::toned("FAIL", Tone::Bad).with("see above"),
            ]],
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
    fn a_line_before_pictures_or_with_a_colon_leads_and_blanks_stay_with_the_lines_above() {
        let line = |text: &str| Block::Lines(vec!["first".to_owned(), text.to_owned()]);
        let facts = || Block::Facts(vec![("Date".to_owned(), String::new())]);
        let picture = || Block::Pictures(vec![paper::Picture::default()]);
        let made = blocks(&[
            line("next:"),
            line("plain"),
            facts(),
            line("before"),
            picture(),
            Block::WriteLines(4),
            facts(),
        ]);
        let leads: Vec<&paper::Block> = made
            .iter()
            .filter(|block| matches!(block, paper::Block::Lead(_)))
            .collect();
        let want = ["next:", "before"].map(|text| paper::Block::Lead(text.into()));
        assert_eq!(leads, want.iter().collect::<Vec<_>>());
        let Some(paper::Block::KeepTogether(inner)) = made.last() else {
            panic!("{made:?}");
        };
        assert!(matches!(
            inner[0],
            paper::Block::WriteLines { lines: 4, .. }
        ));
        assert!(matches!(inner[1], paper::Block::Facts(_)));
    }

    #[test]
    fn a_column_by_the_point_has_room_for_the_longest_halves() {
        let of = |texts: &[&str]| {
            let cells: Vec<Cell> = texts.iter().map(|t| Cell::of(Kind::Value, *t)).collect();
            around_point(&cells.iter().collect::<Vec<_>>())
        };
        // 265.2 and 0.9865 one below the other are as wide as 265.9865.
        let whole = of(&["265.9865"]);
        assert!((of(&["265.2", "0.9865"]) - whole).abs() <= 1e-9);
        assert!(of(&["265.2", "1.1"]) < whole);
    }

    #[test]
    fn a_long_title_is_cut_at_the_head_of_the_page_only() {
        let title = "x".repeat(120);
        assert_eq!(shortened(&title).chars().count(), RUNNING_TITLE);
        assert_eq!(shortened("Ωµ <set> & co"), "Ωµ <set> & co");
    }
}
