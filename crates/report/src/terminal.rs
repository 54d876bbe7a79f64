//! Blocks set for a terminal: at most the given width, words whole, numbers under each other.
//!
//! Where a table is too wide its columns move together, then its naming columns get a line of their
//! own above the figures; where even that does not fit, the figures of a row are listed with their heads.

use comfy_table::{presets::NOTHING, CellAlignment, ContentArrangement};

use crate::clean::clean;
use crate::document::Block;
use crate::table::{is_number, Align, Table, NAMING};
use crate::views::Paper;
use crate::wrap::{columns, hanging, wrap};

/// Blanks between columns, tried one after the other before a table is set another way.
const GAPS: [u16; 2] = [2, 1];

/// The blocks as text, each followed by an empty line but the last.
pub(crate) fn render(blocks: &[Block], paper: Paper) -> String {
    let set: Vec<String> = blocks
        .iter()
        .map(|block| join(&lines_of(block, paper)))
        .collect();
    set.join("\n")
}

/// Lines as text, without blanks at their ends.
pub(crate) fn join(lines: &[String]) -> String {
    lines
        .iter()
        .map(|line| format!("{}\n", line.trim_end()))
        .collect()
}

fn lines_of(block: &Block, paper: Paper) -> Vec<String> {
    let width = paper.columns();
    match block {
        Block::Title(title) => {
            let mut lines = wrap(title, width);
            let longest = lines.iter().map(|line| columns(line)).max().unwrap_or(0);
            lines.push("=".repeat(longest));
            lines
        }
        Block::Caption(caption) => wrap(caption, width),
        Block::Lines(lines) => lines
            .iter()
            .flat_map(|line| {
                let mut broken = wrap(line, width - 2).into_iter();
                let first = broken.next();
                first
                    .into_iter()
                    .chain(broken.map(|line| format!("  {line}")))
            })
            .collect(),
        Block::Drawing(lines) => lines.clone(),
        Block::Table(table) => table_lines(table, paper),
    }
}

fn table_lines(table: &Table, paper: Paper) -> Vec<String> {
    let width = paper.columns();
    let grids = |first: usize| GAPS.into_iter().map(move |gap| grid(table, first, gap));
    if let Some(whole) = grids(0).find(|lines| fits(lines, width)) {
        return painted(whole, table, paper.colour);
    }
    let indented = |lines: Vec<String>| -> Vec<String> {
        lines.into_iter().map(|line| format!("  {line}")).collect()
    };
    if let Some(figures) = grids(NAMING).map(indented).find(|lines| fits(lines, width)) {
        return named_above(figures, table, paper);
    }
    listed(table, paper)
}

fn fits(lines: &[String], width: usize) -> bool {
    lines.iter().all(|line| columns(line) <= width)
}

/// Head, unit line and rows of the columns from `first` on, each one line.
fn grid(table: &Table, first: usize, gap: u16) -> Vec<String> {
    let shown = first..table.columns.len();
    let mut grid = comfy_table::Table::new();
    grid.load_style(NOTHING)
        .set_content_arrangement(ContentArrangement::Disabled);
    let texts: Vec<Vec<String>> = shown.clone().map(|index| table.aligned(index)).collect();
    let visible = &table.columns[shown.start.min(table.columns.len())..];
    grid.add_row(visible.iter().map(|column| clean(&column.head)));
    if table.columns.iter().any(|column| !column.unit.is_empty()) {
        grid.add_row(visible.iter().map(|column| clean(&column.unit)));
    }
    for row in 0..table.rows.len() {
        grid.add_row(texts.iter().map(|column| clean(&column[row])));
    }
    for (column, model) in grid.column_iter_mut().zip(visible) {
        column.set_padding((0, gap));
        column.set_cell_alignment(match model.align {
            Align::Left => CellAlignment::Left,
            Align::Right | Align::Decimal | Align::Limits => CellAlignment::Right,
        });
    }
    grid.lines()
        .map(|line| line.trim_end().to_owned())
        .collect()
}

fn head_lines(table: &Table) -> usize {
    1 + usize::from(table.columns.iter().any(|column| !column.unit.is_empty()))
}

/// Colours the last cell of each row, which stands at the very end of its line.
fn painted(lines: Vec<String>, table: &Table, colour: bool) -> Vec<String> {
    let heads = head_lines(table);
    lines
        .into_iter()
        .enumerate()
        .map(|(number, line)| {
            let row = number
                .checked_sub(heads)
                .and_then(|row| table.rows.get(row));
            let Some(cell) = row.and_then(|row| row.last()) else {
                return line;
            };
            let text = clean(&cell.text);
            match line.strip_suffix(text.trim_end()) {
                Some(before) => format!("{before}{}", cell.tone.paint(text.trim_end(), colour)),
                None => line,
            }
        })
        .collect()
}

/// Label and long text on a line above the figures of each row.
fn named_above(figures: Vec<String>, table: &Table, paper: Paper) -> Vec<String> {
    let width = paper.columns();
    let heads = head_lines(table);
    let names = table.columns.iter().take(NAMING).map(|c| c.head.as_str());
    let mut lines = wrap(&names.collect::<Vec<_>>().join(", "), width);
    for (number, line) in painted(figures, table, paper.colour)
        .into_iter()
        .enumerate()
    {
        if let Some(row) = number.checked_sub(heads) {
            lines.extend(name_lines(table, row, width));
        }
        // A row that has only names.
        if !line.trim().is_empty() {
            lines.push(line);
        }
    }
    lines
}

/// The naming cells of a row; nothing for a row that goes on with the one above.
fn name_lines(table: &Table, row: usize, width: usize) -> Vec<String> {
    let text = |column: usize| {
        let cell = table.rows.get(row).and_then(|row| row.get(column));
        clean(cell.map_or("", |cell| cell.text.as_str()))
    };
    let label = text(0);
    if label.is_empty() {
        return Vec::new();
    }
    let label = format!("{label}  ");
    if columns(&label) > width / 3 {
        return hanging("", &format!("{label}{}", text(1)), width);
    }
    hanging(&label, &text(1), width)
}

/// Each row as a list of heads and figures.
fn listed(table: &Table, paper: Paper) -> Vec<String> {
    let width = paper.columns();
    let mut lines = Vec::new();
    for (number, row) in table.rows.iter().enumerate() {
        lines.extend(name_lines(table, number, width));
        let facts: Vec<String> = table
            .columns
            .iter()
            .zip(row)
            .skip(NAMING)
            .filter(|(_, cell)| !cell.text.is_empty())
            .map(|(column, cell)| {
                let belongs = match column.align {
                    Align::Limits => true,
                    Align::Decimal => is_number(&cell.text),
                    Align::Left | Align::Right => false,
                };
                let unit = match belongs && !column.unit.is_empty() {
                    true => format!(" {}", column.unit),
                    false => String::new(),
                };
                format!("{} {}{unit}", column.head, cell.text).replace(' ', "\u{a0}")
            })
            .collect();
        let broken = hanging("  ", &facts.join(", "), width);
        let last = row.last();
        let end = broken.len().saturating_sub(1);
        lines.extend(broken.into_iter().enumerate().map(|(at, line)| {
            let word = last.map_or("", |cell| cell.text.as_str());
            match (line.strip_suffix(word), last) {
                (Some(before), Some(cell)) if at == end => {
                    format!("{before}{}", cell.tone.paint(word, paper.colour))
                }
                _ => line,
            }
        }));
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::{Cell, Column};

    fn table() -> Table {
        Table {
            columns: vec![
                Column::new("point", "", Align::Left),
                Column::new("where", "", Align::Left),
                Column::new("manual", "V", Align::Decimal),
                Column::new("range", "", Align::Right),
            ],
            rows: vec![
                ["1", "plate1", "145", "250 V"].map(Cell::from).to_vec(),
                ["2", "grid2", "−1.20", "2.5 V"].map(Cell::from).to_vec(),
            ],
        }
    }

    const PAPER: Paper = Paper {
        width: 60,
        colour: false,
    };

    #[test]
    fn a_narrow_table_stands_in_one_grid() {
        let want = [
            "point  where   manual  range",
            "                    V",
            "1      plate1  145     250 V",
            "2      grid2    −1.20  2.5 V",
        ];
        assert_eq!(table_lines(&table(), PAPER), want);
    }

    #[test]
    fn a_long_name_gets_a_line_of_its_own() {
        let mut wide = table();
        wide.rows[0][1] = Cell::from("the plate of the first tube, behind the tone control");
        let lines = table_lines(&wide, PAPER);
        assert_eq!(lines[0], "point, where");
        assert!(lines.contains(&"1  the plate of the first tube, behind the tone control".into()));
        assert!(fits(&lines, PAPER.width));
    }

    #[test]
    fn what_fits_in_no_grid_is_listed() {
        let mut wide = table();
        wide.columns[3].head = "a".repeat(58);
        let lines = table_lines(&wide, PAPER);
        assert!(lines.contains(&"  manual 145 V,".into()), "{lines:?}");
        assert!(fits(&lines, PAPER.width));
    }
}
