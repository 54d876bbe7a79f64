//! A table as strips.
//!
//! What it owns: widths of the columns, the heading with its rules, sub-headings, and what is repeated on
//! the next page. What comes in: a table and the room on a page. What goes out: one strip for each row.
//! What it refuses to know: the inside of a cell, page breaks.

use std::rc::Rc;

use super::row::{around_point, row, Slot, CELL, SIDE};
use super::slab::{lines, set_line, Frame, Setting, Slab};
use super::BODY;
use crate::document::{Align, Cell, Column, Row, Table, Text, Width};
use crate::picture::{Fill, Ink, Pen, Point, Shape};
use crate::wrap::{wrap, Line};

const HEADING: Setting = Setting {
    size: 9.0,
    lead: 11.6,
    ink: Ink::Black,
};
const UNIT: Setting = Setting {
    size: 9.0,
    lead: 11.6,
    ink: Ink::Dark,
};
const GROUP: Setting = Setting {
    size: 9.25,
    lead: 12.4,
    ink: Ink::Black,
};
const CAPTION: Setting = Setting {
    size: BODY,
    lead: 14.5,
    ink: Ink::Black,
};
/// No column is squeezed below this width, in points, unless all of them are.
const NARROWEST: f64 = 24.0;
/// White above and below the words of the heading and of a sub-heading.
const ABOVE: f64 = 3.0;

/// The whole table. A table without columns gives nothing but its caption.
pub(crate) fn slabs(table: &Table, frame: Frame) -> Vec<Slab> {
    let mut out = Vec::new();
    if !table.caption.is_empty() {
        out.extend(lines(
            &Text::default().bold(table.caption.clone()),
            frame,
            CAPTION,
        ));
        for slab in &mut out {
            slab.keep = !table.columns.is_empty();
        }
    }
    if table.columns.is_empty() {
        return out;
    }
    let slots = slots(table, frame);
    let head = heading(table, &slots, frame);
    let group_height = GROUP.lead + 2.0 * ABOVE;
    // A row always finds room below the repeated heading and a sub-heading of one line.
    let limit = (frame.height - head.height - group_height).max(60.0);
    out.push(Slab {
        keep: !table.rows.is_empty(),
        ..head.clone()
    });
    let plain = Rc::new(vec![head.clone()]);
    let mut repeat = Rc::clone(&plain);
    for (n, content) in table.rows.iter().enumerate() {
        let followed = n + 1 < table.rows.len();
        match content {
            Row::Group(words) => {
                let more = group(words, frame).into_iter();
                out.extend(more.map(|slab| Slab {
                    keep: followed,
                    repeat: Some(Rc::clone(&plain)),
                    ..slab
                }));
                let again = shortened(words, frame);
                repeat = Rc::new([vec![head.clone()], again].concat());
            }
            Row::Cells(cells) => {
                let mut more = row(cells, &slots, limit);
                let last = more.len() - 1;
                let weight = match table.rows.get(n + 1) {
                    None => Some(Pen::rule()),
                    Some(Row::Cells(_)) => Some(Pen::new(Ink::Light, 0.4)),
                    Some(Row::Group(_)) => None,
                };
                for (part, slab) in more.iter_mut().enumerate() {
                    slab.repeat = Some(Rc::clone(&repeat));
                    if let Some(pen) = weight.filter(|_| part == last) {
                        across(slab, slab.height, pen, frame);
                    }
                }
                out.extend(more);
            }
        }
    }
    out
}

/// "… continued" behind the words of a sub-heading, on one line.
fn shortened(words: &str, frame: Frame) -> Vec<Slab> {
    let mut slabs = group(&format!("{words} … continued"), frame);
    if slabs.len() > 1 {
        slabs = group("… continued", frame);
    }
    slabs
}

fn across(slab: &mut Slab, y: f64, pen: Pen, frame: Frame) {
    let (from, to) = (
        Point { x: frame.left, y },
        Point {
            x: frame.right(),
            y,
        },
    );
    slab.shapes.push(Shape::Line { from, to, pen });
}

/// A sub-heading on a tinted ground.
fn group(words: &str, frame: Frame) -> Vec<Slab> {
    let inner = frame.inset(SIDE, SIDE);
    let mut slabs = lines(&Text::default().bold(words), inner, GROUP);
    let count = slabs.len();
    for (n, slab) in slabs.iter_mut().enumerate() {
        let above = if n == 0 { ABOVE } else { 0.0 };
        let below = if n + 1 == count { ABOVE } else { 0.0 };
        slab.height += above + below;
        let ground = Shape::Rectangle {
            corner: Point {
                x: frame.left,
                y: 0.0,
            },
            width: frame.width,
            height: slab.height,
            fill: Fill::Flat(Ink::Tint),
            pen: None,
        };
        let words = slab
            .shapes
            .iter()
            .map(|shape| shape.placed(1.0, 0.0, above));
        slab.shapes = std::iter::once(ground).chain(words).collect();
    }
    slabs
}

/// The heading row, the units row, and the rules around them, as one strip.
fn heading(table: &Table, slots: &[Slot], frame: Frame) -> Slab {
    let wrapped: Vec<Vec<Line>> = table
        .columns
        .iter()
        .zip(slots)
        .map(|(column, slot)| {
            wrap(
                &Text::default().bold(column.heading.clone()),
                HEADING.size,
                slot.inner(),
            )
        })
        .collect();
    let units: Vec<Vec<Line>> = table
        .columns
        .iter()
        .zip(slots)
        .map(|(column, slot)| wrap(&column.unit.as_str().into(), UNIT.size, slot.inner()))
        .collect();
    let deepest =
        |cells: &[Vec<Line>]| cells.iter().map(Vec::len).max().unwrap_or(0) as f64 * HEADING.lead;
    let names = deepest(&wrapped);
    let below = if table.has_units() {
        deepest(&units)
    } else {
        0.0
    };
    let mut slab = Slab::new(names + below + 2.0 * ABOVE);
    for ((name, unit), slot) in wrapped.iter().zip(&units).zip(slots) {
        // The words of a heading stand at its foot, next to the figures they name.
        let top = ABOVE + names - name.len() as f64 * HEADING.lead;
        for (n, line) in name.iter().enumerate() {
            let y = top + n as f64 * HEADING.lead + HEADING.base();
            slab.shapes
                .extend(set_line(line, slot.begin(line.width), y, HEADING));
        }
        for (n, line) in unit.iter().enumerate().filter(|_| table.has_units()) {
            let y = ABOVE + names + n as f64 * UNIT.lead + UNIT.base();
            slab.shapes
                .extend(set_line(line, slot.begin(line.width), y, UNIT));
        }
    }
    across(&mut slab, 0.0, Pen::rule(), frame);
    let foot = slab.height;
    across(&mut slab, foot, Pen::new(Ink::Black, 0.5), frame);
    slab
}

fn slots(table: &Table, frame: Frame) -> Vec<Slot> {
    let widths = widths(&table.columns, frame.width);
    let mut left = frame.left;
    let mut slots = Vec::with_capacity(widths.len());
    for (n, (column, width)) in table.columns.iter().zip(widths).enumerate() {
        let mut slot = Slot {
            left,
            width,
            align: column.align,
            after_point: None,
        };
        if column.align == Align::Decimal {
            slot.after_point = room_after_point(table, n, slot.inner());
        }
        slots.push(slot);
        left += width;
    }
    slots
}

/// Room that the longest fraction of a column needs; `None` if its numbers cannot be aligned in this width.
fn room_after_point(table: &Table, column: usize, room: f64) -> Option<f64> {
    let cells = table.rows.iter().filter_map(|row| match row {
        Row::Cells(cells) => cells.get(column),
        Row::Group(_) => None,
    });
    let (mut before, mut after) = (0.0_f64, 0.0_f64);
    for (b, a) in cells
        .filter(|cell| !matches!(cell, Cell::Ticks(_)))
        .filter_map(around_point)
    {
        before = before.max(b);
        after = after.max(a);
    }
    (before + after <= room).then_some(after)
}

/// Widths of the columns in points; their sum is `total`.
fn widths(columns: &[Column], total: f64) -> Vec<f64> {
    let sound = |value: f64| {
        if value.is_finite() && value > 0.0 {
            value
        } else {
            0.0
        }
    };
    let fixed: f64 = columns
        .iter()
        .map(|c| {
            if let Width::Fixed(w) = c.width {
                sound(w)
            } else {
                0.0
            }
        })
        .sum();
    let shares: f64 = columns
        .iter()
        .map(|c| {
            if let Width::Share(s) = c.width {
                sound(s)
            } else {
                0.0
            }
        })
        .sum();
    let rest = (total - fixed).max(0.0);
    let wanted: Vec<f64> = columns
        .iter()
        .map(|column| match column.width {
            Width::Fixed(width) => sound(width).max(1.0),
            Width::Share(share) if shares > 0.0 => (rest * sound(share) / shares).max(NARROWEST),
            Width::Share(_) => NARROWEST,
        })
        .collect();
    let sum: f64 = wanted.iter().sum();
    wanted.iter().map(|width| width * total / sum).collect()
}

/// Width in points that a text needs to stand in one cell without being wrapped.
#[must_use]
pub fn cell_width(text: &str) -> f64 {
    crate::font::text_width(text, CELL.size, crate::font::Weight::Regular) + 2.0 * SIDE
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Frame = Frame {
        left: 45.0,
        width: 500.0,
        height: 700.0,
    };

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
    fn columns_fill_the_width() {
        let fixed = |w| Column::new("", Align::Left, 1.0).fixed(w);
        let share = |s| Column::new("", Align::Left, s);
        for columns in [
            vec![share(1.0), share(2.0)],
            vec![fixed(100.0), share(1.0)],
            vec![fixed(900.0), share(1.0), share(f64::NAN)],
            vec![fixed(50.0)],
            vec![share(0.0), fixed(-3.0)],
        ] {
            let got = widths(&columns, 500.0);
            // Float sum of a few widths.
            assert!((got.iter().sum::<f64>() - 500.0).abs() <= 1e-6, "{got:?}");
            assert!(got.iter().all(|w| *w > 0.0), "{got:?}");
        }
        assert!((widths(&[share(1.0), share(2.0), fixed(200.0)], 500.0)[1] - 200.0).abs() <= 1e-6);
    }

    #[test]
    fn rows_repeat_the_heading_and_their_own_group() {
        let mut table = two_columns();
        table.group("Audio");
        table.row(vec!["1".into(), "2.5".into()]);
        table.group("Supply");
        table.row(vec!["2".into(), "250".into()]);
        let all = slabs(&table, FRAME);
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
    fn a_table_without_columns_or_rows_does_no_harm() {
        assert_eq!(slabs(&Table::new("Only words", Vec::new()), FRAME).len(), 1);
        assert_eq!(slabs(&two_columns(), FRAME).len(), 2);
    }

    #[test]
    fn a_fraction_too_wide_for_its_column_is_not_aligned() {
        let mut table = two_columns();
        table.row(vec![Cell::Empty, "1.25".into()]);
        assert!(room_after_point(&table, 1, 200.0).is_some_and(|room| room > 0.0));
        assert_eq!(room_after_point(&table, 1, 3.0), None);
        assert!(cell_width("1.25") > 2.0 * SIDE);
    }
}
