//! A table as strips.
//!
//! What it owns: the heading with its rules, sub-headings, and what is repeated on
//! the next page. What comes in: a table and the room on a page. What goes out: one strip for each row.
//! Not known here: widths of columns, the inside of a cell, page breaks.

use std::rc::Rc;

use super::columns::slots;
use super::row::row;
use super::slot::{Slot, SIDE};
use super::spoken::SpokenPart;
use super::strip::{said, set_line, Frame, Setting, Strip};
use super::BODY;
use crate::document::{Cell, Column, Row, Table};
use crate::picture::{Fill, Ink, Pen, Point, Shape};
use crate::text::Text;
use crate::wrap::{wrap, Line};

const HEADING: Setting = Setting::new(9.0, 11.6, Ink::Black);
const UNIT: Setting = Setting::new(9.0, 11.6, Ink::Dark);
const GROUP: Setting = Setting::new(9.25, 12.4, Ink::Black);
const CAPTION: Setting = Setting::new(BODY, 14.5, Ink::Black);
/// White above and below the words of the heading and of a sub-heading.
const ABOVE: f64 = 3.0;

/// The whole table. A table without columns gives nothing but its caption.
pub(crate) fn strips(table: &Table, frame: Frame) -> Vec<Strip> {
    let mut out = Vec::new();
    if !table.caption.is_empty() {
        let words = Text::default().bold(table.caption.clone());
        out.extend(said(&words, frame, CAPTION, &SpokenPart::Caption));
        for strip in &mut out {
            strip.keep = !table.columns.is_empty();
        }
    }
    if table.columns.is_empty() {
        return out;
    }
    let slots = slots(table, frame);
    let heads: Vec<&str> = table.columns.iter().map(|c| c.heading.as_str()).collect();
    let head = heading(table, &slots, frame);
    let group_height = GROUP.lead + 2.0 * ABOVE;
    // A row always finds room below the repeated heading and a sub-heading of one line.
    let limit = (frame.height - head.height - group_height).max(60.0);
    out.push(Strip {
        keep: !table.rows.is_empty(),
        ..head.clone()
    });
    let plain = Rc::new(vec![head.clone()]);
    let mut repeat = Rc::clone(&plain);
    for (n, content) in table.rows.iter().enumerate() {
        let followed = n + 1 < table.rows.len();
        match content {
            Row::Group(words) => {
                let more = group(words, frame, n).into_iter();
                out.extend(more.map(|strip| Strip {
                    keep: followed,
                    repeat: Some(Rc::clone(&plain)),
                    ..strip
                }));
                let again = shortened(words, frame);
                repeat = Rc::new([vec![head.clone()], again].concat());
            }
            Row::Cells(cells) => {
                let mut more = row(cells, &slots, &heads, n, limit);
                let last = more.len() - 1;
                let weight = match table.rows.get(n + 1) {
                    None => Some(Pen::rule()),
                    Some(Row::Cells(_)) => Some(Pen::new(Ink::Light, 0.4)),
                    Some(Row::Group(_)) => None,
                };
                let firm = is_firm(&table.rows, n);
                for (part, strip) in more.iter_mut().enumerate() {
                    strip.repeat = Some(Rc::clone(&repeat));
                    strip.keep = firm && part == last;
                    if let Some(pen) = weight.filter(|_| part == last) {
                        strip.across(strip.height, pen, frame);
                    }
                }
                out.extend(more);
            }
        }
    }
    out
}

/// Whether a row may not be parted from the next: no table leaves its first row alone at the foot of a page, nor
/// its last at the head of one, and a row without a name belongs to the one above it.
fn is_firm(rows: &[Row], n: usize) -> bool {
    let is_cells = |n: usize| matches!(rows.get(n), Some(Row::Cells(_)));
    let first = rows.iter().position(|row| matches!(row, Row::Cells(_)));
    is_cells(n + 1) && (first == Some(n) || n + 2 == rows.len() || is_nameless(&rows[n + 1]))
}

/// Whether the first cell of a row is empty, so that only the row above says what it is of.
fn is_nameless(row: &Row) -> bool {
    match row {
        Row::Cells(cells) => match cells.first() {
            Some(Cell::Text(text)) => text.plain_text().is_empty(),
            Some(Cell::Empty) => true,
            _ => false,
        },
        Row::Group(_) => false,
    }
}

/// "… continued" behind the words of a sub-heading, on one line.
fn shortened(words: &str, frame: Frame) -> Vec<Strip> {
    let mut strips = group(&format!("{words} … continued"), frame, 0);
    if strips.len() > 1 {
        strips = group("… continued", frame, 0);
    }
    strips
}

/// A sub-heading on a tinted ground.
fn group(words: &str, frame: Frame, row: usize) -> Vec<Strip> {
    let inner = frame.inset(SIDE, SIDE);
    let bold = Text::default().bold(words);
    let mut strips = said(&bold, inner, GROUP, &SpokenPart::Group(row));
    let count = strips.len();
    for (n, strip) in strips.iter_mut().enumerate() {
        strip.lower(if n == 0 { ABOVE } else { 0.0 });
        strip.height += if n + 1 == count { ABOVE } else { 0.0 };
        let ground = Shape::Rectangle {
            corner: Point {
                x: frame.left,
                y: 0.0,
            },
            width: frame.width,
            height: strip.height,
            fill: Fill::Flat(Ink::Tint),
            pen: None,
        };
        strip.underlay(ground);
    }
    strips
}

/// The heading row, the units row, and the rules around them, as one strip.
fn heading(table: &Table, slots: &[Slot], frame: Frame) -> Strip {
    let wrapped = |words: fn(&Column) -> Text, setting: Setting| -> Vec<Vec<Line>> {
        let columns = table.columns.iter().zip(slots);
        let lines = columns.map(|(column, slot)| wrap(&words(column), setting.size, slot.inner()));
        lines.collect()
    };
    let heads = wrapped(
        |column| Text::default().bold(column.heading.as_str()),
        HEADING,
    );
    let units = wrapped(|column| column.unit.as_str().into(), UNIT);
    let deepest =
        |cells: &[Vec<Line>]| cells.iter().map(Vec::len).max().unwrap_or(0) as f64 * HEADING.lead;
    let names = deepest(&heads);
    let below = if table.has_units() {
        deepest(&units)
    } else {
        0.0
    };
    let mut strip = Strip::new(names + below + 2.0 * ABOVE);
    for (column, ((name, unit), slot)) in heads.iter().zip(&units).zip(slots).enumerate() {
        // The words of a heading stand at its foot, next to the figures they name.
        let top = ABOVE + names - name.len() as f64 * HEADING.lead;
        let names_set = name.iter().enumerate().flat_map(|(n, line)| {
            let y = top + n as f64 * HEADING.lead + HEADING.base();
            set_line(line, slot.begin(line.width), y, HEADING)
        });
        let units = unit.iter().enumerate().filter(|_| table.has_units());
        let units_set = units.flat_map(|(n, line)| {
            let y = ABOVE + names + n as f64 * UNIT.lead + UNIT.base();
            set_line(line, slot.begin(line.width), y, UNIT)
        });
        let mut shapes: Vec<Shape> = names_set.collect();
        // The unit is read out behind the name, with a space between.
        if let Some(Shape::Text(label)) = shapes.last_mut() {
            if table.has_units() && unit.iter().any(|line| !line.pieces.is_empty()) {
                label.text.push(' ');
            }
        }
        shapes.extend(units_set);
        strip.say(SpokenPart::ColumnHead(column), shapes);
    }
    strip.across(0.0, Pen::rule(), frame);
    let foot = strip.height;
    strip.across(foot, Pen::new(Ink::Black, 0.5), frame);
    strip
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Align;
    use crate::layout::strip::FRAME;

    fn two_columns() -> Table {
        Table::new(
            "Points",
            vec![
                Column::new("Point", Align::Left, 2.0),
                Column::new("Reading", Align::Decimal, 1.0).unit("V"),
            ],
        )
    }

    #[test]
    fn rows_repeat_the_heading_and_their_own_group() {
        let mut table = two_columns();
        table.group("Audio");
        table.row(vec!["1".into(), "2.5".into()]);
        table.group("Supply");
        table.row(vec!["2".into(), "250".into()]);
        let all = strips(&table, FRAME);
        assert_eq!(all.len(), 6);
        let again: Vec<Option<usize>> = all
            .iter()
            .map(|s| s.repeat.as_ref().map(|r| r.len()))
            .collect();
        assert_eq!(again, [None, None, Some(1), Some(2), Some(1), Some(2)]);
        let keeps: Vec<bool> = all.iter().map(|s| s.keep).collect();
        assert_eq!(keeps, [true, true, true, false, true, false]);
    }

    #[test]
    fn neither_the_first_nor_the_last_row_stands_alone() {
        let mut table = two_columns();
        for name in ["1", "2", "3", "4"] {
            table.row(vec![name.into(), "2.5".into()]);
        }
        let firm: Vec<bool> = (0..4).map(|n| is_firm(&table.rows, n)).collect();
        assert_eq!(firm, [true, false, true, false]);
        let keeps: Vec<bool> = strips(&table, FRAME).iter().map(|s| s.keep).collect();
        assert_eq!(keeps, [true, true, true, false, true, false]);
    }

    #[test]
    fn a_row_without_a_name_stays_with_the_one_above() {
        let mut table = two_columns();
        for name in ["1", "2", "", "", "5", "6"] {
            table.row(vec![name.into(), "2.5".into()]);
        }
        let keeps: Vec<bool> = strips(&table, FRAME).iter().map(|s| s.keep).collect();
        // Caption, head, then the rows: 2 goes on in the two below it.
        assert_eq!(keeps, [true, true, true, true, true, false, true, false]);
    }

    #[test]
    fn a_table_without_columns_or_rows_does_no_harm() {
        assert_eq!(
            strips(&Table::new("Only words", Vec::new()), FRAME).len(),
            1
        );
        assert_eq!(strips(&two_columns(), FRAME).len(), 2);
    }
}
