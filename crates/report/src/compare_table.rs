//! Bench readings beside the manual, as tables for people.

use circuit::{Job, ManualEntry, Quantity, Reading, Shown};
use translate::{Compared, Comparison, Verdict};

use crate::compare_notes::notes;
use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::manual;
use crate::places::Places;
use crate::quantity;
use crate::record;
use crate::table::{Align, Cell, Column, Table};
use crate::tone::Tone;
use crate::views::CompareView;

/// A meter's name longer than this does not stand at the head of a column.
const LONGEST_HEAD: usize = 10;

/// Heading, a table for each set and date, and notes of one job.
pub(crate) fn blocks(view: &CompareView<'_>) -> Vec<Block> {
    let (job, comparison) = (view.job, view.comparison);
    let groups = groups(job, comparison);
    let mut blocks = heading::blocks(job);
    blocks.extend(manual::heading_block(view.manual));
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
    blocks.extend(quantity::compared_blocks(job, comparison));
    blocks.extend(record::blocks(job, comparison));
    blocks.extend(manual::otherwise_read(job, view.manual.otherwise));
    let mut lines = manual::notes(job, view.manual);
    lines.extend(notes(job, comparison, groups.len() > 1));
    blocks.push(Block::Lines(lines));
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
    let volts = taken(job, comparison).filter(|(compared, _)| !quantity::is_read_apart(compared));
    for (compared, reading) in volts {
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

/// The set and the date of some readings; empty where neither is noted.
pub(crate) fn caption(set: &str, date: &str) -> String {
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
    let meter = only_meter(group);
    let columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("manual", "V", Align::Decimal),
        match meter {
            Some(name) if name.chars().count() <= LONGEST_HEAD => {
                Column::new(name, "range", Align::Right)
            }
            _ => Column::new("bench", "range", Align::Right),
        },
        Column::new("expect", "V", Align::Decimal),
        Column::new("U", "±V", Align::Decimal),
        Column::new("band", "V", Align::Limits),
        Column::new("reading", "V", Align::Decimal),
        Column::new("off", "%", Align::Decimal),
        Column::new("p", "%", Align::Right),
        Column::new("verdict", "", Align::Left),
    ];
    let places = Places::of(job);
    let rows = group
        .readings
        .iter()
        .filter_map(|(compared, reading)| {
            let entry = job.manual.get(compared.entry?)?;
            let mut row = row(&places, entry, compared, reading);
            if meter.is_none() {
                row[1].text = with_meter(&row[1].text, &reading.meter.name);
            }
            Some(row)
        })
        .collect();
    Table { columns, rows }
}

/// The name that all readings of a group share, if they do.
fn only_meter<'a>(group: &Group<'a>) -> Option<&'a str> {
    let of_manual = group.readings.iter().filter(|(c, _)| c.entry.is_some());
    let mut names = of_manual.map(|(_, reading)| reading.meter.name.as_str());
    let first = names.next()?;
    names.all(|name| name == first).then_some(first)
}

/// The place with the meter that was put there.
fn with_meter(place: &str, meter: &str) -> String {
    match place {
        "" => format!("with {meter}"),
        place => format!("{place}, with {meter}"),
    }
}

fn row(
    places: &Places<'_>,
    entry: &ManualEntry,
    compared: &Compared,
    reading: &Reading,
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
    let manual = match entry.quantity {
        Quantity::DcVolts => figures::printed(&entry.figure),
        other => figures::printed_with_unit(&entry.figure, other),
    };
    let off = compared.deviation.map_or(String::new(), |share| {
        figures::signed_percent(share * 100.0)
    });
    let conformity = compared.judgement.conformity;
    let (word, tone) = verdict(compared.judgement.verdict);
    let mut cells: Vec<Cell> = [
        entry.point.clone(),
        places.where_text(entry),
        manual,
        bench_range(compared, reading).unwrap_or_default(),
        expected,
        uncertainty,
        band,
        shown(&reading.shown, entry.quantity),
        off,
        conformity.map_or(String::new(), figures::probability),
    ]
    .map(Cell::from)
    .to_vec();
    cells.push(Cell {
        text: word.to_owned(),
        tone,
    });
    cells
}

/// The verdict's word in a table, a bad one in capitals; cut short where it would not fit.
pub(crate) fn verdict(verdict: Verdict) -> (&'static str, Tone) {
    match verdict {
        Verdict::Pass => ("pass", Tone::Good),
        Verdict::ConditionalPass => ("cond. pass", Tone::Good),
        Verdict::ConditionalFail => ("COND. FAIL", Tone::Bad),
        Verdict::Fail => ("FAIL", Tone::Bad),
        Verdict::TooCoarse => ("TOO COARSE", Tone::Bad),
        Verdict::NotJudged => ("not judged", Tone::Plain),
    }
}

/// The verdict's word where there is room for it, a bad one in capitals.
pub(crate) fn whole_verdict(judged: Verdict) -> (&'static str, Tone) {
    let word = match judged {
        Verdict::ConditionalFail => "CONDITIONAL FAIL",
        Verdict::Fail => "FAIL",
        Verdict::TooCoarse => "TOO COARSE TO DECIDE",
        Verdict::Pass | Verdict::ConditionalPass | Verdict::NotJudged => judged.word(),
    };
    (word, verdict(judged).1)
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
    if compared.quantity.is_some() {
        // Its volt ranges say nothing of how ohms or a current were read.
        return reading.meter.name.clone();
    }
    match bench_range(compared, reading) {
        Some(range) => format!("{} {range}", reading.meter.name),
        None => reading.meter.name.clone(),
    }
}

/// The range; none where a meter lists none and none was noted.
fn bench_range(compared: &Compared, reading: &Reading) -> Option<String> {
    let unknown = reading.meter.ranges.is_empty() && compared.range.assumed;
    let range = compared.range;
    (!unknown).then(|| figures::range(range.range.full_scale, range.assumed))
}
