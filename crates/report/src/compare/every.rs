//! Every reading in the manual's order, with all that is known of it: `--all`.

use circuit::{ManualEntry, Shown};

use crate::document::Block;
use crate::figures;
use crate::labels::gathered;
use crate::places::Places;
use crate::readings::{bench_range, caption, shown, taken, verdict, Taken};
use crate::table::{Align, Cell, Column, Table};
use crate::views::CompareView;

/// A meter's name longer than this does not stand at the head of a column.
const LONGEST_HEAD: usize = 10;

/// A table for each set and date.
pub(super) fn blocks(view: &CompareView<'_>) -> Vec<Block> {
    let of_manual =
        taken(view.job, view.comparison).filter(|(c, _)| c.entry.is_some() && c.quantity.is_none());
    let groups = gathered(of_manual.map(|one| (caption(&one.1.set, &one.1.date), one)));
    let set = groups.into_iter().flat_map(|(caption, mut readings)| {
        readings.sort_by_key(|(compared, _)| compared.entry);
        let caption = (!caption.is_empty()).then_some(Block::Caption(caption));
        caption
            .into_iter()
            .chain([Block::Table(table(view, &readings))])
    });
    set.collect()
}

fn table(view: &CompareView<'_>, readings: &[Taken<'_>]) -> Table {
    let job = view.job;
    let places = Places::of(job);
    let mut names = readings
        .iter()
        .map(|(_, reading)| reading.meter.name.as_str());
    let first = names
        .next()
        .filter(|name| name.chars().count() <= LONGEST_HEAD);
    let meter = first.filter(|first| names.all(|name| name == *first));
    let rows = readings.iter().filter_map(|taken| {
        let entry = job.manual.get(taken.0.entry?)?;
        Some(row(&places, entry, *taken, meter.is_some()))
    });
    Table {
        rows: rows.collect(),
        columns: vec![
            Column::new("point", "", Align::Left),
            Column::new("where", "", Align::Left),
            Column::new("manual", "V", Align::Decimal),
            match meter {
                Some(name) => Column::new(name, "range", Align::Right),
                None => Column::new("bench", "meter, range", Align::Right),
            },
            Column::new("expect", "V", Align::Decimal),
            Column::new("U", "±V", Align::Decimal),
            Column::new("limits", "V", Align::Limits),
            Column::new("read", "V", Align::Decimal),
            Column::new("off", "%", Align::Decimal),
            Column::new("p", "%", Align::Right),
            Column::new("verdict", "", Align::Left),
        ],
    }
}

/// One reading; a meter that is `alone` need not be named.
fn row(
    places: &Places<'_>,
    entry: &ManualEntry,
    (compared, reading): Taken<'_>,
    alone: bool,
) -> Vec<Cell> {
    let resolution = entry.figure.resolution;
    let [expected, uncertainty, band] = match &compared.expected {
        Some(side) => [
            figures::expected(side, resolution),
            figures::uncertainty(side, resolution),
            match &reading.shown {
                Shown::Value(figure) => figures::band_beside(side, resolution, figure.value),
                Shown::Overrange => figures::band(side, resolution),
            },
        ],
        None => Default::default(),
    };
    let manual = figures::in_table(&entry.figure, entry.quantity);
    let off = compared.deviation.map_or(String::new(), |share| {
        figures::signed_percent(share * 100.0)
    });
    let range = bench_range(compared, reading).unwrap_or_default();
    let conformity = compared.judgement.conformity;
    let (word, tone) = verdict(compared.judgement.verdict);
    let cells = [
        entry.point.clone(),
        places.with_settings(entry),
        manual,
        match alone {
            true => range,
            false => format!("{} {range}", reading.meter.name).trim().to_owned(),
        },
        expected,
        uncertainty,
        band,
        shown(&reading.shown, entry.quantity),
        off,
        conformity.map_or(String::new(), figures::probability),
    ];
    let cells = cells.into_iter().map(Cell::from);
    cells.chain([Cell::toned(word, tone)]).collect()
}
