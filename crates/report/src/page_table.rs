//! A table of a report set for pages.
//!
//! Cells that are finished come in; widths of columns and what stands below what in a cell go out. Nothing is
//! rounded here.

use paper::{cell_width, text_width, Cell as PaperCell, NamedCell, Text, Weight};

use crate::labels::unbroken;
use crate::page::words;
use crate::table::{group, Align, Cell, Kind, Table};
use crate::wrap::columns;

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

/// Type of what is read at the bench, in points, as crate `paper` sets it.
const VALUE_SIZE: f64 = 11.0;

/// White beside a column of large figures, in points.
const GUTTER: f64 = 6.0;

/// Room for a reading to be written, in points: 22 mm.
const BOX_WIDTH: f64 = 62.0;

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
}
