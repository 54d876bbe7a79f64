//! The columns of a table on a page.
//!
//! What it owns: their widths, and whether the numbers of one can stand point under point. What comes in: a
//! table and the room on a page. What goes out: where each column stands. Not known here: headings,
//! rules, page breaks.

use super::cell_words::{around_point, CELL};
use super::slot::{Slot, SIDE};
use super::strip::Frame;
use crate::document::{Align, Column, Row, Table, Width};

/// No column is squeezed below this width, in points, unless all of them are.
const NARROWEST: f64 = 24.0;

/// The place of each column, from left to right.
pub(super) fn slots(table: &Table, frame: Frame) -> Vec<Slot> {
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
    for (b, a) in cells.filter_map(around_point) {
        before = before.max(b);
        after = after.max(a);
    }
    (before + after <= room).then_some(after)
}

/// Widths of the columns in points; their sum is `total`.
fn widths(columns: &[Column], total: f64) -> Vec<f64> {
    let own = || columns.iter().map(|column| column.width);
    let fixed: f64 = own().map(Width::points).sum();
    let shares: f64 = own().map(Width::share).sum();
    let rest = (total - fixed).max(0.0);
    let wanted = own().map(|width| match width {
        Width::Fixed(_) => width.points().max(1.0),
        Width::Share(_) if shares > 0.0 => (rest * width.share() / shares).max(NARROWEST),
        Width::Share(_) => NARROWEST,
    });
    let wanted: Vec<f64> = wanted.collect();
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
    fn a_fraction_too_wide_for_its_column_is_not_aligned() {
        let mut table = Table::new(
            "",
            vec![
                Column::new("", Align::Left, 2.0),
                Column::new("", Align::Decimal, 1.0),
            ],
        );
        table.row(vec!["".into(), "1.25".into()]);
        assert!(room_after_point(&table, 1, 200.0).is_some_and(|room| room > 0.0));
        assert_eq!(room_after_point(&table, 1, 3.0), None);
        assert!(cell_width("1.25") > 2.0 * SIDE);
    }
}
