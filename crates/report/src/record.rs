//! What was read at a point more than once: as found, as left, and what changed between.
//!
//! A compared job comes in; one record for each point and set goes out, its readings in the order
//! in which they were taken. Order is told by the dates where all of them are written year first,
//! else by the order of files and rows. Which reading is right, is none of its business.

use circuit::{Job, Reading, Shown};
use translate::{Compared, Comparison};
use units::decimals_for;

use crate::compare_table::{caption, shown, taken, verdict};
use crate::document::Block;
use crate::figures;
use crate::places::where_text;
use crate::table::{Align, Cell, Column, Table};

/// A reading and what became of it.
pub(crate) type Taken<'a> = (&'a Compared, &'a Reading);

/// Every reading of one point of the manual in one set.
pub(crate) struct Record<'a> {
    /// Which entry of the manual.
    pub entry: usize,
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

/// The records of a job by point, then by set as first met with.
pub(crate) fn records<'a>(job: &'a Job, comparison: &'a Comparison) -> Vec<Record<'a>> {
    let mut records: Vec<Record<'a>> = Vec::new();
    for (compared, reading) in taken(job, comparison) {
        let Some(entry) = compared.entry else {
            continue;
        };
        let known = records
            .iter_mut()
            .find(|record| record.entry == entry && record.set == reading.set);
        match known {
            Some(record) => record.readings.push((compared, reading)),
            None => records.push(Record {
                entry,
                set: &reading.set,
                readings: vec![(compared, reading)],
            }),
        }
    }
    for record in &mut records {
        let dated = |(_, reading): &Taken<'_>| year_first(&reading.date);
        if record.readings.iter().all(dated) {
            record.readings.sort_by_key(|(_, reading)| &reading.date);
        }
    }
    records.sort_by_key(|record| record.entry);
    records
}

/// The readings of a compared job, by their index, that tell its state now: where a point of a set
/// was read again with the same meter and range, only the last of these. Readings of points that
/// the manual lacks are all kept.
pub fn latest_readings(job: &Job, comparison: &Comparison) -> Vec<usize> {
    let mut kept: Vec<usize> = comparison
        .readings
        .iter()
        .filter(|compared| compared.entry.is_none())
        .map(|compared| compared.reading)
        .collect();
    for record in records(job, comparison) {
        for (at, (compared, reading)) in record.readings.iter().enumerate() {
            let replaced = record.readings.iter().skip(at + 1).any(|(_, later)| {
                let range = |reading: &Reading| reading.range.map(f64::to_bits);
                later.meter.name == reading.meter.name && range(later) == range(reading)
            });
            if !replaced {
                kept.push(compared.reading);
            }
        }
    }
    kept.sort_unstable();
    kept
}

/// Whether a date is written year-month-day, so that its letters sort as its days do (ISO 8601).
fn year_first(date: &str) -> bool {
    let bytes = date.as_bytes();
    bytes.len() == 10
        && bytes.iter().enumerate().all(|(at, byte)| match at {
            4 | 7 => *byte == b'-',
            _ => byte.is_ascii_digit(),
        })
}

/// The sets that readings of the manual's points belong to, as first met with.
pub(crate) fn sets<'a>(job: &'a Job, comparison: &'a Comparison) -> Vec<&'a str> {
    let mut sets: Vec<&str> = Vec::new();
    for (compared, reading) in taken(job, comparison) {
        if compared.entry.is_some() && !sets.contains(&reading.set.as_str()) {
            sets.push(&reading.set);
        }
    }
    sets
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
    let rows = again
        .iter()
        .filter_map(|record| row(job, record, with_set))
        .collect();
    vec![
        Block::Caption("Read more than once: first, last, and the change".to_owned()),
        Block::Table(Table { columns, rows }),
    ]
}

fn row(job: &Job, record: &Record<'_>, with_set: bool) -> Option<Vec<Cell>> {
    let entry = job.manual.get(record.entry)?;
    let ((a, first), (b, last)) = (record.first()?, record.last()?);
    let mut cells = vec![
        Cell::from(entry.point.clone()),
        Cell::from(where_text(job, entry)),
    ];
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
        Cell::from(shown(&first.shown, entry.quantity)),
        Cell::from(with_date(before, &first.date)),
        Cell::from(shown(&last.shown, entry.quantity)),
        Cell::from(change),
    ]);
    cells.push(Cell {
        text: with_date(after, &last.date),
        tone,
    });
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
    fn only_dates_with_the_year_first_tell_an_order() {
        assert!(year_first("1961-03-09"));
        for date in ["", "9.3.61", "1961-3-9", "1961/03/09", "yesterday!"] {
            assert!(!year_first(date), "{date}");
        }
    }

    #[test]
    fn a_change_says_which_way() {
        assert_eq!(signed(2.25, 1), "+2.2");
        assert_eq!(signed(-2.25, 2), "−2.25");
        assert_eq!(signed(0.001, 1), "0.0");
    }
}
