//! Bench readings against the manual: the answer first, then what is wrong, then what to do next.
//!
//! A [`CompareView`] comes in; blocks go out. Readings that pass are named only, unless all is asked
//! for: then every reading stands in the manual's order.

mod again;
mod every;
mod rows;
mod sets;
mod summary;

use circuit::{Job, ManualEntry, Quantity, Shown};
use reconcile::Standing;
use translate::{Remark, Verdict};

use crate::document::{Block, Headline};
use crate::figures;
use crate::heading;
use crate::manual;
use crate::places::{is_same_place, Places};
use crate::readings::{meter_and_range, taken, verdict, Distance, Taken};
use crate::remarks;
use crate::table::{Align, Cell, Column, Kind, Table};
use crate::tone::Tone;
use crate::views::CompareView;

pub(crate) use again::{records, signed, Record};
pub(crate) use rows::csv;
pub(crate) use sets::{sets, Counts, SetReadings};
pub(crate) use summary::{blocks as summary_blocks, csv as summary_csv};

/// Verdicts that ask for a look, the worst first, each with what it means.
const LISTED: [Verdict; 4] = [
    Verdict::Fail,
    Verdict::ConditionalFail,
    Verdict::TooCoarse,
    Verdict::ConditionalPass,
];

/// The answer, what is wrong, and what to do next.
pub(crate) fn blocks(view: &CompareView<'_>) -> Vec<Block> {
    let (job, comparison) = (view.job, view.comparison);
    let sets = sets(job, comparison);
    let mut blocks = vec![Block::Title(heading::title(job))];
    if sets.is_empty() {
        blocks.push(Headline::plain("No reading of any point of the manual."));
    }
    for set in &sets {
        blocks.push(set.headline());
        if !view.asked.all {
            blocks.extend(set_blocks(view, set));
        }
    }
    if view.asked.all {
        blocks.extend(every::blocks(view));
    }
    blocks.extend(again::blocks(job, comparison));
    blocks.extend(manual::otherwise_read(job, view.manual.otherwise));
    blocks.push(Block::Lines(facts(view)));
    blocks.push(Block::Notes(notes(view, &sets)));
    blocks.push(Block::Next(next(view, &sets)));
    blocks
}

/// The answer alone, for a sheet: how many fail, and which.
pub(crate) fn answer(view: &CompareView<'_>) -> Vec<Block> {
    let sets = sets(view.job, view.comparison);
    let each = sets.iter().flat_map(|set| {
        let mut table = wrong(view, set);
        // What is to be minded at each point stands beside it on the sheet.
        let cells = table.rows.iter_mut().flatten();
        cells.for_each(|cell| cell.under.clear());
        let table = (!table.rows.is_empty()).then_some(Block::Table(table));
        std::iter::once(set.headline()).chain(table)
    });
    each.collect()
}

/// What fails and what is doubtful, and the names of the rest.
fn set_blocks(view: &CompareView<'_>, set: &SetReadings<'_>) -> Vec<Block> {
    let table = wrong(view, set);
    let mut blocks = Vec::new();
    if !table.rows.is_empty() {
        blocks.push(Block::Table(table));
    }
    let mut lines = Vec::new();
    for (words, verdict) in [
        ("In order", Verdict::Pass),
        ("Not judged", Verdict::NotJudged),
    ] {
        let points: Vec<String> = set
            .with(verdict)
            .map(|taken| label(view.job, taken))
            .collect();
        if !points.is_empty() {
            lines.push(format!(
                "{words} ({}): {}.",
                points.len(),
                points.join(", ")
            ));
        }
    }
    lines.extend(remarks_in_order(view, set));
    blocks.extend((!lines.is_empty()).then_some(Block::Lines(lines)));
    blocks
}

/// The point of a reading; labels such as `V1 pin 7` are not parted.
fn label(job: &Job, (compared, reading): Taken<'_>) -> String {
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    let point = entry.map_or(&reading.point, |entry| &entry.point);
    point.replace(' ', "\u{a0}")
}

/// Readings that do not simply pass, under their verdicts, the worst first.
fn wrong(view: &CompareView<'_>, set: &SetReadings<'_>) -> Table {
    let job = view.job;
    let places = Places::of(job);
    let with_meter = !set.has_one_meter();
    let mut rows = Vec::new();
    for wanted in LISTED {
        let own: Vec<Taken<'_>> = set.with(wanted).collect();
        if own.is_empty() {
            continue;
        }
        rows.push(Cell::group(
            group_words(wanted, own.len(), job.bench.guard),
            verdict(wanted).1,
        ));
        for (compared, reading) in own {
            let Some(entry) = compared.entry.and_then(|entry| job.manual.get(entry)) else {
                continue;
            };
            let side = compared.expected.as_ref();
            let resolution = entry.figure.resolution;
            let limits = side.map_or(String::new(), |side| match &reading.shown {
                Shown::Value(figure) => figures::band_beside(side, resolution, figure.value),
                Shown::Overrange => figures::band(side, resolution),
            });
            let far = match (&reading.shown, side) {
                (Shown::Value(figure), Some(side)) => Distance::of(reading, side, resolution)
                    .map_or(String::new(), |distance| distance.words(figure.resolution)),
                _ => "beyond the range".to_owned(),
            };
            let place = match (places.where_text(entry), with_meter) {
                (place, false) => place,
                (place, true) => format!("{place} with {}", reading.meter.name),
            };
            rows.push(vec![
                Cell::from(entry.point.clone()),
                Cell::from(place.trim())
                    .with(sentences(view, (compared, reading), wanted).join(" ")),
                Cell::of(Kind::Value, limits),
                Cell::of(
                    Kind::Value,
                    crate::readings::shown(&reading.shown, entry.quantity),
                ),
                Cell::from(far),
            ]);
        }
    }
    Table {
        columns: vec![
            Column::new("point", "", Align::Left),
            Column::new("where", "", Align::Left),
            Column::new("limits", "V", Align::Limits),
            Column::new("read", "V", Align::Decimal),
            Column::new("from the nearest limit", "", Align::Left),
        ],
        rows,
    }
}

/// What a group of readings has in common.
fn group_words(verdict: Verdict, count: usize, guard: f64) -> String {
    let width = match (guard - 1.0).abs() < 1e-9 {
        true => "U".to_owned(),
        false => format!("{} U", figures::short(guard, 3)),
    };
    match verdict {
        Verdict::Fail if guard <= 0.0 => format!("FAIL ({count}): outside the limits"),
        Verdict::Fail => format!("FAIL ({count}): outside the limits by more than {width}"),
        Verdict::ConditionalFail => {
            format!("Doubtful, CONDITIONAL FAIL ({count}): outside by less than {width}")
        }
        Verdict::TooCoarse => {
            format!("Doubtful, TOO COARSE TO DECIDE ({count}): U is too large for the limits")
        }
        Verdict::ConditionalPass => {
            format!("Doubtful, conditional pass ({count}): inside by less than {width}")
        }
        Verdict::Pass | Verdict::NotJudged => format!("{} ({count})", verdict.word()),
    }
}

/// What has to be said of a reading that does not simply pass.
fn sentences(
    view: &CompareView<'_>,
    (compared, reading): Taken<'_>,
    wanted: Verdict,
) -> Vec<String> {
    let mut sentences = Vec::new();
    let entry = compared
        .entry
        .and_then(|index| Some((index, view.job.manual.get(index)?)));
    let Some((index, entry)) = entry else {
        return sentences;
    };
    if wanted == Verdict::TooCoarse {
        let largest = sets::largest_input(view.job, view.comparison, (compared, reading));
        sentences.extend(largest.map(|what| format!("mostly for the {what}")));
    }
    sentences.extend(manual::sentences(view.job, view.manual, index));
    let outcome = view.comparison.translation.points.get(index);
    if let Some(Ok(carried)) = outcome.map(|point| &point.outcome) {
        sentences.extend(remarks::sentences(entry, carried));
    }
    sentences
}

/// Remarks on readings that pass: doubted values, and whatever is more than an assumed range.
fn remarks_in_order(view: &CompareView<'_>, set: &SetReadings<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for taken in set.with(Verdict::Pass).chain(set.with(Verdict::NotJudged)) {
        let Some(index) = taken.0.entry else { continue };
        let entry = view.job.manual.get(index);
        let outcome = view.comparison.translation.points.get(index);
        let mut own = manual::doubt(view.job, view.manual, index)
            .into_iter()
            .collect::<Vec<_>>();
        if let (Some(entry), Some(Ok(carried))) = (entry, outcome.map(|point| &point.outcome)) {
            let remarks = carried
                .remarks
                .iter()
                .zip(remarks::sentences(entry, carried));
            let remarks = remarks.filter(|(remark, _)| !matches!(remark, Remark::OtherRange(_)));
            own.extend(remarks.map(|(_, sentence)| sentence));
            if carried.manual.standing == Standing::Misprint && own.is_empty() {
                own.push("its printed value is left out as a misprint.".to_owned());
            }
        }
        let point = label(view.job, taken);
        told.extend(
            own.into_iter()
                .map(|words| format!("Point {point}: {words}")),
        );
    }
    told
}

/// With what and under which conditions it was read.
fn facts(view: &CompareView<'_>) -> Vec<String> {
    let mut facts = heading::facts(view.job);
    facts.extend(manual::heading(view.manual.classes));
    facts
}

fn notes(view: &CompareView<'_>, sets: &[SetReadings<'_>]) -> Vec<String> {
    let (job, comparison) = (view.job, view.comparison);
    let mut notes: Vec<String> = taken(job, comparison)
        .filter(|(compared, _)| compared.entry.is_none())
        .map(stranger)
        .collect();
    let unread: Vec<String> = unread(view)
        .map(|entry| entry.point.replace(' ', "\u{a0}"))
        .collect();
    match (unread.len(), view.asked.all) {
        (0, _) => {}
        (_, true) => notes.push(format!("Not read: {}.", unread.join(", "))),
        (1, false) => notes.push("One more point that can be judged was not read.".to_owned()),
        (many, false) => {
            notes.push(format!(
                "{many} more points that can be judged were not read."
            ));
        }
    }
    if !sets.is_empty() {
        notes.push(words(job.bench.guard));
    }
    notes.push(remarks::BAND.to_owned());
    if view.asked.all {
        if comparison
            .readings
            .iter()
            .any(|compared| compared.range.assumed)
        {
            notes.push(remarks::ASSUMED.to_owned());
        }
        notes.extend(manual::notes(job, view.manual));
        notes.extend(remarks::notes(job, &comparison.translation));
    } else {
        notes.push(
            "--all shows every reading in the manual's order, with what was expected.".to_owned(),
        );
    }
    notes
}

/// Entries that could be judged and were not read, under no name of their place.
fn unread<'a>(view: &CompareView<'a>) -> impl Iterator<Item = &'a ManualEntry> {
    let (job, comparison) = (view.job, view.comparison);
    let read = comparison
        .readings
        .iter()
        .filter_map(|c| job.manual.get(c.entry?));
    let read: Vec<&ManualEntry> = read.collect();
    let points = comparison.translation.points.iter();
    let judged = points.filter(|point| point.outcome.is_ok());
    judged
        .filter_map(|point| job.manual.get(point.entry))
        .filter(move |entry| !read.iter().any(|one| is_same_place(one, entry)))
}

/// What the verdicts mean with this guard band.
pub(crate) fn words(guard: f64) -> String {
    if guard <= 0.0 {
        return "Pass and fail by the limits alone, without a guard band (ILAC-G8:09/2019, 4.2.1)."
            .to_owned();
    }
    let width = match (guard - 1.0).abs() < 1e-9 {
        true => "U".to_owned(),
        false => format!("{} U", figures::short(guard, 3)),
    };
    format!(
        "Pass: inside the limits by more than {width}; conditional pass: inside by less; \
         conditional fail: outside by less; fail: outside by more (guard band of \
         ILAC-G8:09/2019, 4.2.3)."
    )
}

/// A reading of a point that the manual lacks.
fn stranger((compared, reading): Taken<'_>) -> String {
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

/// What to do next: which command, which point.
fn next(view: &CompareView<'_>, sets: &[SetReadings<'_>]) -> String {
    let (job, more) = (view.job, view.asked.more);
    let folder = crate::heading::typed(&job.folder);
    let points = |verdicts: &[Verdict]| -> Vec<String> {
        let own = sets.iter().flat_map(|set| {
            let wanted = verdicts.iter();
            wanted.flat_map(|verdict| set.with(*verdict).map(|taken| label(job, taken)))
        });
        let mut points = Vec::new();
        for point in own {
            if !points.contains(&point) {
                points.push(point);
            }
        }
        points
    };
    let failing = points(&[Verdict::Fail, Verdict::ConditionalFail]);
    if !failing.is_empty() {
        let which = sets
            .iter()
            .find(|set| set.fails())
            .map_or("", |set| set.set);
        let of_set = match sets.len() > 1 && !which.is_empty() {
            true => format!(" --set {}", crate::heading::typed(which)),
            false => String::new(),
        };
        return format!(
            "'fairvolt suspects {folder}{more}{of_set}' says which part would explain {}.",
            heading::points(&failing)
        );
    }
    if let Some(first) = points(&[Verdict::TooCoarse, Verdict::ConditionalPass]).first() {
        let first = first.replace('\u{a0}', " ");
        return format!(
            "'fairvolt compare {folder}{more} --explain {}' says what makes point {first} uncertain.",
            crate::heading::typed(&first)
        );
    }
    match unread(view).next() {
        Some(entry) => format!(
            "read the other points, point {} first; 'fairvolt worksheet {folder}{more}' prints the sheet.",
            entry.point
        ),
        None => "nothing; every point that can be judged was read and is in order.".to_owned(),
    }
}

/// A word of a headline for a count of readings.
pub(crate) fn counted_words(counts: Counts) -> (String, Vec<(String, Tone)>) {
    let parts = [
        (counts.fail, "FAIL", Tone::Bad),
        (counts.doubtful, "doubtful", Tone::Doubtful),
        (counts.in_order, "in order", Tone::Good),
        (counts.not_judged, "not judged", Tone::Plain),
    ];
    let told = parts.into_iter().filter(|(count, _, _)| *count > 0);
    let told: Vec<(String, Tone)> = told
        .map(|(count, word, tone)| (format!("{count} {word}"), tone))
        .collect();
    let words: Vec<&str> = told.iter().map(|(words, _)| words.as_str()).collect();
    (words.join(", "), told)
}
