//! The readings of a sheet, as far as the boxes do not tell all of them, as a table on a page.
//!
//! Points with their readings come in, rounded and in words; a table goes out. What the verdicts
//! mean is not known here.

use paper::{Align, Cell, Column, Table, Text};
use translate::Verdict;

use crate::clean::clean;
use crate::compare_table::whole_verdict;
use crate::tone::Tone;

use super::model::Worksheet;
use super::point::SheetPoint;
use super::reading::{Boxed, Found};

/// Readings that a box does not tell all of: those that do not simply pass, and those that stand in
/// none.
pub(crate) struct Results {
    /// Each with its verdict; none where every reading passes and has its box.
    pub table: Option<Table>,
    /// How many readings are not in the table.
    pub others: usize,
}

/// What to tell of the readings beside the boxes; none on a sheet without readings.
pub(crate) fn results(sheet: &Worksheet) -> Option<Results> {
    let all = || {
        let points = sheet.points.iter();
        points.flat_map(|point| point.found.iter().map(move |found| (point, found)))
    };
    all().next()?;
    let told: Vec<(&SheetPoint, &Found)> = all()
        .filter(|(point, found)| found.judged != Verdict::Pass || !has_box(point, found))
        .collect();
    Some(Results {
        others: all().count() - told.len(),
        table: (!told.is_empty()).then(|| table_of(&told)),
    })
}

fn has_box(point: &SheetPoint, found: &Found) -> bool {
    let same = |boxed: &Boxed| {
        boxed.text == found.text && boxed.meter == found.meter && boxed.date == found.date
    };
    point.boxes.iter().flatten().any(same)
}

fn table_of(told: &[(&SheetPoint, &Found)]) -> Table {
    let with_set = told
        .iter()
        .any(|(_, found)| !found.set.is_empty() || !found.date.is_empty());
    let mut columns = vec![Column::new("Point", Align::Left, 60.0)];
    if with_set {
        columns.push(Column::new("Set, date", Align::Left, 80.0));
    }
    columns.extend([
        Column::new("Read", Align::Decimal, 70.0),
        Column::new("With", Align::Left, 100.0),
        Column::new("Off", Align::Decimal, 50.0).unit("%"),
        Column::new("p", Align::Right, 40.0).unit("%"),
        Column::new("Verdict", Align::Left, 110.0),
    ]);
    let mut table = Table::new("", columns);
    for (point, found) in told {
        let (word, tone) = whole_verdict(found.judged);
        let mut row = vec![Cell::from(clean(&point.point))];
        if with_set {
            let when = [found.set.as_str(), found.date.as_str()];
            let when: Vec<&str> = when.into_iter().filter(|w| !w.is_empty()).collect();
            row.push(Cell::from(clean(&when.join(", "))));
        }
        row.extend([
            Cell::from(clean(&found.text)),
            Cell::from(clean(&found.with)),
            Cell::from(found.off_percent.clone()),
            Cell::from(found.chance_percent.clone()),
            Cell::Text(match tone {
                Tone::Bad => Text::default().bold(word),
                Tone::Plain | Tone::Good => Text::from(word),
            }),
        ]);
        table.row(row);
    }
    table
}
