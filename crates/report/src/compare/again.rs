//! What was read at a point more than once: as found, as left, and what changed between.
//!
//! A compared job comes in; one record for each point of the manual and each set goes out, its
//! readings in the order that [`circuit::records`] tells, each with its verdict.

use std::collections::HashMap;

use circuit::{Job, RowId, Shown};
use translate::{Compared, Comparison};
use units::decimals_for;

use crate::document::Block;
use crate::figures;
use crate::places::Places;
use crate::readings::{caption, shown, verdict, Taken};
use crate::table::{Align, Cell, Column, Table};

/// Every reading of one point of the manual in one set.
pub(crate) struct Record<'a> {
    /// Which row of the manual.
    pub row: RowId,
    /// Which set; empty where not noted.
    pub set: &'a str,
    readings: Vec<Taken<'a>>,
}

impl<'a> Record<'a> {
    /// The first reading.
    pub(crate) fn first(&self) -> Option<Taken<'a>> {
        self.readings.first().copied()
    }

    /// The last reading; none where there is only one.
    pub(crate) fn last(&self) -> Option<Taken<'a>> {
        self.readings[1.min(self.readings.len())..].last().copied()
    }

    /// Last less first, and the resolution of the coarser of them, both in the unit of the place.
    /// None for an overrange, and for two meters: what they load the point with would be part of it.
    pub(crate) fn change(&self) -> Option<(f64, f64)> {
        let ((_, first), (_, last)) = (self.first()?, self.last()?);
        match (&first.shown, &last.shown) {
            (Shown::Value(a), Shown::Value(b)) if first.meter.name == last.meter.name => {
                Some((b.value - a.value, a.resolution.max(b.resolution)))
            }
            _ => None,
        }
    }
}

/// The records of a job's manual, by point, then by set as first met with.
pub(crate) fn records<'a>(job: &'a Job, comparison: &'a Comparison) -> Vec<Record<'a>> {
    let by_reading: HashMap<usize, &Compared> =
        comparison.readings.iter().map(|c| (c.reading, c)).collect();
    let taken = |index: &usize| {
        let compared = by_reading.get(index).copied()?;
        Some((compared, job.readings.get(*index)?))
    };
    let mut records: Vec<Record<'a>> = circuit::records(&job.readings)
        .into_iter()
        .filter_map(|record| {
            let readings: Vec<Taken<'a>> = record.readings.iter().filter_map(taken).collect();
            Some(Record {
                row: job.row_named(record.point)?,
                set: record.set,
                readings,
            })
        })
        .collect();
    records.sort_by_key(|record| record.row);
    records
}

/// A table of the points that were read more than once; nothing without any.
pub(crate) fn blocks(job: &Job, comparison: &Comparison) -> Vec<Block> {
    let records = records(job, comparison);
    let again: Vec<&Record<'_>> = records.iter().filter(|r| r.last().is_some()).collect();
    if again.is_empty() {
        return Vec::new();
    }
    let with_set = again.iter().any(|record| !record.set.is_empty());
    let mut columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
    ];
    if with_set {
        columns.push(Column::new("set", "", Align::Left));
    }
    columns.extend([
        Column::new("as found", "V", Align::Decimal),
        Column::new("", "", Align::Left),
        Column::new("as left", "V", Align::Decimal),
        Column::new("change", "V", Align::Decimal),
        Column::new("", "", Align::Left),
    ]);
    let places = Places::of(job);
    let rows = again
        .iter()
        .filter_map(|record| row(job, &places, record, with_set))
        .collect();
    vec![
        Block::Caption("Read more than once: first, last, and the change".to_owned()),
        Block::Table(Table { columns, rows }),
    ]
}

fn row(job: &Job, places: &Places<'_>, record: &Record<'_>, with_set: bool) -> Option<Vec<Cell>> {
    let row = job.row(record.row);
    let ((a, first), (b, last)) = (record.first()?, record.last()?);
    let mut cells = vec![Cell::from(row.point), Cell::from(places.with_settings(row))];
    if with_set {
        cells.push(Cell::from(record.set.to_owned()));
    }
    let change = match record.change() {
        Some((volts, resolution)) => signed(volts, decimals_for(resolution)),
        None => String::new(),
    };
    let (before, _) = verdict(a.judgement.verdict);
    let (after, tone) = verdict(b.judgement.verdict);
    cells.extend([
        Cell::from(shown(&first.shown, row.quantity)),
        Cell::from(with_date(before, &first.date)),
        Cell::from(shown(&last.shown, row.quantity)),
        Cell::from(change),
    ]);
    cells.push(Cell::toned(with_date(after, &last.date), tone));
    Some(cells)
}

fn with_date(word: &str, date: &str) -> String {
    match caption("", date) {
        date if date.is_empty() => word.to_owned(),
        date => format!("{word}, {date}"),
    }
}

/// A change with an explicit plus.
pub(crate) fn signed(change: f64, decimals: usize) -> String {
    let text = figures::decimal(change, decimals);
    let nothing = text.chars().all(|c| matches!(c, '0' | '.'));
    match change > 0.0 && !nothing {
        true => format!("+{text}"),
        false => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_says_which_way() {
        assert_eq!(signed(2.25, 1), "+2.2");
        assert_eq!(signed(-2.25, 2), "−2.25");
        assert_eq!(signed(0.001, 1), "0.0");
    }
}
