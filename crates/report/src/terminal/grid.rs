//! Tables set for a terminal.
//!
//! Where a table is too wide its columns move together; then a few rows of long names, or else all rows,
//! get a line of their own for the names above the figures; where even that does not fit, the figures of a
//! row are listed with their heads.

use crate::clean::clean;
use crate::format::Terminal;
use crate::table::{group, is_number, under, Align, Cell, Column, Kind, Table, NAMING};
use crate::tone::Tone;
use crate::wrap::{columns, hanging, wrap};

/// Blanks between columns, tried one after the other before a table is set another way.
const GAPS: [usize; 2] = [2, 1];

/// Of so many rows one may have a name too long for its column.
const ROWS_PER_LONG_NAME: usize = 4;

/// A box for a reading, wide enough for a pencil.
const BOX: &str = "[________]";

pub(super) fn table_lines(table: &Table, on: Terminal) -> Vec<String> {
    let width = on.columns();
    let grid = |first: usize, room: usize| {
        let grids = GAPS.into_iter().map(move |gap| Grid::of(table, first, gap));
        grids.into_iter().find(|grid| grid.width() <= room)
    };
    let whole = grid(0, width).or_else(|| Grid::with_long_names(table, width));
    let (grid, indent) = match whole {
        Some(whole) => (Some(whole), 0),
        None => (grid(NAMING, width - 2), 2),
    };
    let mut lines = Vec::new();
    if let Some(grid) = &grid {
        if indent > 0 {
            let names = table.columns.iter().take(NAMING).map(|c| c.head.as_str());
            let names: Vec<&str> = names.filter(|name| !name.is_empty()).collect();
            lines.extend(wrap(&names.join(", "), width));
        }
        let indented = |line: String| format!("{}{line}", " ".repeat(indent));
        lines.extend(grid.heads().into_iter().map(indented));
    }
    for (number, row) in table.rows.iter().enumerate() {
        if let Some(cell) = group(row) {
            lines.extend(group_lines(cell, on, lines.is_empty()));
            continue;
        }
        match &grid {
            Some(grid) if indent == 0 => {
                if grid.has_long_name(number) {
                    lines.extend(name_lines(row, width));
                }
                lines.push(grid.row(number, on.colour));
            }
            Some(grid) => {
                lines.extend(name_lines(row, width));
                let figures = grid.row(number, on.colour);
                // A row may have only names.
                if !figures.trim().is_empty() {
                    lines.push(format!("  {figures}"));
                }
            }
            None => {
                lines.extend(name_lines(row, width));
                lines.extend(fact_lines(table, row, on));
            }
        }
        let words = under(row);
        if !words.is_empty() {
            lines.extend(hanging("    ", &words, width));
        }
    }
    lines
}

fn group_lines(cell: &Cell, on: Terminal, first: bool) -> Vec<String> {
    let words = wrap(&cell.text, on.columns()).into_iter();
    let painted = words.map(|line| cell.tone.paint(&line, on.colour));
    let above = (!first).then(String::new);
    above.into_iter().chain(painted).collect()
}

/// The naming cells of a row; of a row that goes on with the one above only what it says anew.
fn name_lines(row: &[Cell], width: usize) -> Vec<String> {
    let text = |column: usize| clean(row.get(column).map_or("", |cell| cell.text.as_str()));
    let label = text(0);
    if label.is_empty() {
        return match text(1).is_empty() {
            true => Vec::new(),
            false => hanging("  ", &text(1), width),
        };
    }
    let label = format!("{label}  ");
    if columns(&label) > width / 3 {
        return hanging("", &format!("{label}{}", text(1)), width);
    }
    hanging(&label, &text(1), width)
}

/// A row as a list of heads and figures.
fn fact_lines(table: &Table, row: &[Cell], on: Terminal) -> Vec<String> {
    let cells = table.columns.iter().zip(row).skip(NAMING);
    let told = cells.filter(|(_, cell)| !cell.text.is_empty() || cell.kind == Kind::Box);
    let facts: Vec<String> = told
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
            let text = match cell.kind {
                Kind::Box => boxed(cell),
                _ => cell.text.clone(),
            };
            let fact = format!("{} {text}{unit}", whole_head(column));
            fact.trim_start().replace(' ', "\u{a0}")
        })
        .collect();
    let mut lines = hanging("  ", &facts.join(", "), on.columns());
    if let (Some(line), Some(cell)) = (lines.last_mut(), row.last()) {
        if let Some(before) = line.strip_suffix(cell.text.as_str()) {
            *line = format!("{before}{}", cell.tone.paint(&cell.text, on.colour));
        }
    }
    lines
}

/// The head of a column in a list: of a head in two lines, such as `cond.` over `pass`, both.
fn whole_head(column: &Column) -> String {
    match column.second_line {
        true => format!("{} {}", column.head, column.unit),
        false => column.head.clone(),
    }
}

/// Columns of a table from one on, as wide as their texts.
struct Grid<'a> {
    table: &'a Table,
    first: usize,
    gap: usize,
    texts: Vec<Vec<String>>,
    widths: Vec<usize>,
}

impl<'a> Grid<'a> {
    fn of(table: &'a Table, first: usize, gap: usize) -> Self {
        let first = first.min(table.columns.len());
        let own = |index: usize| -> Vec<String> {
            let aligned = table.aligned(index).into_iter().zip(&table.rows);
            let boxed = |(text, row): (String, &Vec<Cell>)| match row.get(index) {
                Some(cell) if cell.kind == Kind::Box => boxed(cell),
                _ => clean(&text),
            };
            aligned.map(boxed).collect()
        };
        let texts: Vec<Vec<String>> = (first..table.columns.len()).map(own).collect();
        let heads = table.columns[first..].iter();
        let widths = heads.zip(&texts).map(|(column, texts)| {
            let all = texts.iter().map(String::as_str);
            let all = all.chain([column.head.as_str(), column.unit.as_str()]);
            all.map(|text| columns(&clean(text))).max().unwrap_or(0)
        });
        Grid {
            widths: widths.collect(),
            table,
            first,
            gap,
            texts,
        }
    }

    /// All columns, the last naming one so narrow that the table fits and few names do not.
    fn with_long_names(table: &'a Table, width: usize) -> Option<Self> {
        let place = NAMING - 1;
        let narrowed = |gap: usize| {
            let mut grid = Grid::of(table, 0, gap);
            let room = grid.widths.get(place)?.checked_sub(grid.width() - width)?;
            let head = columns(&table.columns[place].head);
            let own = grid.texts[place].iter().map(|text| columns(text));
            grid.widths[place] = own.filter(|own| *own <= room).fold(head, usize::max);
            let rows = table.rows.iter().filter(|row| group(row).is_none()).count();
            let long = (0..table.rows.len()).filter(|row| grid.has_long_name(*row));
            (head <= room && long.count() * ROWS_PER_LONG_NAME <= rows).then_some(grid)
        };
        GAPS.into_iter().find_map(narrowed)
    }

    /// Whether the names of a row do not fit into their columns.
    fn has_long_name(&self, row: usize) -> bool {
        let names = self.texts.iter().zip(&self.widths);
        let names = names.take(NAMING.saturating_sub(self.first));
        let mut widths = names.map(|(texts, width)| (columns(&texts[row]), width));
        widths.any(|(own, width)| own > *width)
    }

    fn width(&self) -> usize {
        self.widths.iter().sum::<usize>() + self.gap * self.widths.len().saturating_sub(1)
    }

    /// Texts, one a column, as a line.
    fn line<'t>(&self, texts: impl Iterator<Item = (&'t str, Tone)>, colour: bool) -> String {
        let cells = texts
            .zip(&self.widths)
            .zip(&self.table.columns[self.first..]);
        let set = cells.map(|(((text, tone), width), column)| {
            let fill = " ".repeat(width.saturating_sub(columns(text)));
            let word = text.trim_end();
            let painted = format!("{}{}", tone.paint(word, colour), &text[word.len()..]);
            match column.align {
                Align::Left => format!("{painted}{fill}"),
                Align::Right | Align::Decimal | Align::Limits => format!("{fill}{painted}"),
            }
        });
        let set: Vec<String> = set.collect();
        set.join(&" ".repeat(self.gap)).trim_end().to_owned()
    }

    fn heads(&self) -> Vec<String> {
        let visible = &self.table.columns[self.first..];
        let head = |text: &str| clean(text);
        let heads: Vec<String> = visible.iter().map(|column| head(&column.head)).collect();
        let units: Vec<String> = visible.iter().map(|column| head(&column.unit)).collect();
        let with_units = self
            .table
            .columns
            .iter()
            .any(|column| !column.unit.is_empty());
        let mut lines = vec![heads];
        lines.extend(with_units.then_some(units));
        let line = |texts: &Vec<String>| {
            self.line(texts.iter().map(|text| (text.as_str(), Tone::Plain)), false)
        };
        lines.iter().map(line).collect()
    }

    fn row(&self, row: usize, colour: bool) -> String {
        let named_above = self.has_long_name(row);
        let cells = self.texts.iter().enumerate().map(|(index, texts)| {
            let cell = self.table.rows[row].get(index + self.first);
            let text = match named_above && index < NAMING {
                true => "",
                false => texts[row].as_str(),
            };
            (text, cell.map_or(Tone::Plain, |cell| cell.tone))
        });
        self.line(cells, colour)
    }
}

/// A box, filled or to be filled.
fn boxed(cell: &Cell) -> String {
    match cell.text.as_str() {
        "" => BOX.to_owned(),
        text => format!("[ {} ]", clean(text)),
    }
}

#[cfg(test)]
#[path = "grid_tests.rs"]
mod tests;
