//! Bench readings beside the manual, as tables for people.

use circuit::{Job, ManualEntry, Quantity, Reading, Shown};
use translate::{Compared, Comparison, Verdict};

use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::places::where_text;
use crate::remarks;
use crate::table::{Align, Cell, Column, Table};
use crate::tone::Tone;
use crate::views::CompareView;

/// Heading, a table for each set and date, and notes of one job.
pub(crate) fn blocks(view: &CompareView<'_>) -> Vec<Block> {
    let (job, comparison) = (view.job, view.comparison);
    let groups = groups(job, comparison);
    let mut blocks = heading::blocks(job);
    for group in &groups {
        let table = table(job, group);
        if table.rows.is_empty() {
            continue;
        }
        let caption = caption(group.set, group.date);
        if !caption.is_empty() {
            blocks.push(Block::Caption(caption));
        }
        blocks.push(Block::Table(table));
    }
    blocks.push(Block::Lines(notes(job, comparison, groups.len() > 1)));
    blocks
}

/// Readings of one set on one date.
struct Group<'a> {
    set: &'a str,
    date: &'a str,
    readings: Vec<(&'a Compared, &'a Reading)>,
}

fn groups<'a>(job: &'a Job, comparison: &'a Comparison) -> Vec<Group<'a>> {
    let mut groups: Vec<Group<'a>> = Vec::new();
    for (compared, reading) in taken(job, comparison) {
        let known = groups
            .iter_mut()
            .find(|group| group.set == reading.set && group.date == reading.date);
        match known {
            Some(group) => group.readings.push((compared, reading)),
            None => groups.push(Group {
                set: &reading.set,
                date: &reading.date,
                readings: vec![(compared, reading)],
            }),
        }
    }
    groups
}

/// Readings with what became of them, in the job's order.
pub(crate) fn taken<'a>(
    job: &'a Job,
    comparison: &'a Comparison,
) -> impl Iterator<Item = (&'a Compared, &'a Reading)> {
    comparison
        .readings
        .iter()
        .filter_map(|compared| Some((compared, job.readings.get(compared.reading)?)))
}

fn caption(set: &str, date: &str) -> String {
    let set = match set {
        "" => String::new(),
        set => format!("Set {set}"),
    };
    [set.as_str(), date]
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect::<Vec<_>>()
        .join(", ")
}

fn table(job: &Job, group: &Group<'_>) -> Table {
    let columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("manual", "V", Align::Decimal),
        Column::new("bench", "meter, range", Align::Right),
        Column::new("expect", "V", Align::Decimal),
        Column::new("band", "V", Align::Limits),
        Column::new("reading", "V", Align::Decimal),
        Column::new("off", "%", Align::Decimal),
        Column::new("verdict", "", Align::Left),
    ];
    let rows = group
        .readings
        .iter()
        .filter_map(|(compared, reading)| {
            let entry = job.manual.get(compared.entry?)?;
            Some(row(job, entry, compared, reading))
        })
        .collect();
    Table { columns, rows }
}

fn row(job: &Job, entry: &ManualEntry, compared: &Compared, reading: &Reading) -> Vec<Cell> {
    let resolution = entry.figure.resolution;
    let (expected, band) = match (&compared.expected, &reading.shown) {
        (Some(side), Shown::Value(figure)) => (
            figures::carried(side.expected, resolution),
            figures::band_beside(side.band, resolution, figure.value),
        ),
        (Some(side), Shown::Overrange) => (
            figures::carried(side.expected, resolution),
            figures::band(side.band, resolution),
        ),
        (None, _) => Default::default(),
    };
    let manual = match entry.quantity {
        Quantity::DcVolts => figures::printed(&entry.figure),
        other => figures::printed_with_unit(&entry.figure, other),
    };
    let off = compared.deviation.map_or(String::new(), |share| {
        figures::signed_percent(share * 100.0)
    });
    let (word, tone) = verdict(compared.verdict);
    let mut cells: Vec<Cell> = [
        entry.point.clone(),
        where_text(job, entry),
        manual,
        meter_and_range(compared, reading),
        expected,
        band,
        shown(&reading.shown, entry.quantity),
        off,
    ]
    .map(Cell::from)
    .to_vec();
    cells.push(Cell {
        text: word.to_owned(),
        tone,
    });
    cells
}

/// The verdict's word on paper, a bad one in capitals.
pub(crate) fn verdict(verdict: Verdict) -> (&'static str, Tone) {
    match verdict {
        Verdict::Within => (verdict.word(), Tone::Good),
        Verdict::Outside => ("OUTSIDE", Tone::Bad),
        Verdict::NotJudged => (verdict.word(), Tone::Plain),
    }
}

/// What stood on the meter; `OL` for an overrange.
pub(crate) fn shown(shown: &Shown, quantity: Quantity) -> String {
    match (shown, quantity) {
        (Shown::Value(figure), Quantity::DcVolts) => figures::printed(figure),
        (Shown::Value(figure), other) => figures::printed_with_unit(figure, other),
        (Shown::Overrange, _) => "OL".to_owned(),
    }
}

/// `10M 200 V`; the range is left away where a meter lists none.
pub(crate) fn meter_and_range(compared: &Compared, reading: &Reading) -> String {
    if reading.meter.ranges.is_empty() && compared.range.assumed {
        return reading.meter.name.clone();
    }
    let range = figures::range(compared.range.range.full_scale, compared.range.assumed);
    format!("{} {range}", reading.meter.name)
}

fn notes(job: &Job, comparison: &Comparison, several: bool) -> Vec<String> {
    let label = |(compared, reading): (&Compared, &Reading)| {
        let point = compared
            .entry
            .and_then(|entry| job.manual.get(entry))
            .map_or(&reading.point, |entry| &entry.point);
        let caption = caption(&reading.set, &reading.date);
        match several && !caption.is_empty() {
            true => format!("{point} ({caption})"),
            false => point.clone(),
        }
    };
    let list = |wanted: Verdict| -> Vec<String> {
        taken(job, comparison)
            .filter(|(compared, _)| compared.verdict == wanted && compared.entry.is_some())
            .map(label)
            .collect()
    };
    let (outside, open) = (list(Verdict::Outside), list(Verdict::NotJudged));
    let total = taken(job, comparison)
        .filter(|(compared, _)| compared.entry.is_some())
        .count();
    let readings = if total == 1 { "reading" } else { "readings" };
    let mut notes = vec![match outside.len() {
        _ if total == 0 => "No reading of any point of the manual.".to_owned(),
        0 => format!("None of {total} {readings} outside the band."),
        count => format!(
            "{count} of {total} {readings} outside the band: {}.",
            outside.join(", ")
        ),
    }];
    if !open.is_empty() {
        notes.push(format!("Not judged: {}.", open.join(", ")));
    }
    let unread: Vec<&str> = (0..job.manual.len())
        .filter(|index| comparison.readings.iter().all(|c| c.entry != Some(*index)))
        .map(|index| job.manual[index].point.as_str())
        .collect();
    if !unread.is_empty() {
        notes.push(format!("Not read: {}.", unread.join(", ")));
    }
    notes.extend(
        taken(job, comparison)
            .filter(|(compared, _)| compared.entry.is_none())
            .map(|(compared, reading)| stranger(compared, reading)),
    );
    notes.push("Judged by the band alone.".to_owned());
    notes.push(remarks::BAND.to_owned());
    if comparison
        .readings
        .iter()
        .any(|compared| compared.range.assumed)
    {
        notes.push(remarks::ASSUMED.to_owned());
    }
    notes.extend(remarks::notes(job, &comparison.translation));
    notes
}

/// A reading of a point that the manual lacks.
fn stranger(compared: &Compared, reading: &Reading) -> String {
    let value = match &reading.shown {
        Shown::Value(figure) => figures::printed_with_unit(figure, Quantity::DcVolts),
        Shown::Overrange => "OL".to_owned(),
    };
    format!(
        "Point {} is not in the manual: {value} read with {}.",
        reading.point,
        meter_and_range(compared, reading)
    )
}
