//! Bench readings against the manual: the answer first, then what is wrong, then what to do next.
//!
//! A [`CompareView`] comes in; blocks go out. Readings that pass are named only, unless all is asked
//! for: then every reading stands in the manual's order.

mod again;
mod every;
mod next;
mod rows;
mod sets;
mod summary;
mod wrong;

use circuit::{Job, Quantity, Shown};
use translate::{NotCarried, Remark, Verdict};

use crate::document::{Block, Headline};
use crate::figures;
use crate::heading;
use crate::labels::{gathered, named, unbroken};
use crate::manual;
use crate::places::controls;
use crate::quantity;
use crate::readings::{meter_and_range, taken, Taken};
use crate::remarks;
use crate::tone::Tone;
use crate::translate_table::PREDICTED_TO;
use crate::views::CompareView;

use next::{next, unread};
use wrong::wrong;

pub(crate) use again::{records, signed, Record};
pub(crate) use rows::csv;
pub(crate) use sets::{sets, Counts, SetReadings};
pub(crate) use summary::{blocks as summary_blocks, csv as summary_csv};

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
        blocks.extend(quantity::compared_blocks(job, comparison));
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
    let told = set.with(Verdict::Fail).filter_map(|taken| {
        let figure = in_millivolts(taken)?;
        let words = format!(
            "in millivolts it would be in order; if the meter showed those, write `{figure}mV`."
        );
        Some(format!("Point {}: {words}", label(view.job, taken)))
    });
    lines.extend(told);
    lines.extend(remarks_in_order(view, set));
    blocks.extend((!lines.is_empty()).then_some(Block::Lines(lines)));
    blocks
}

/// The point of a reading; labels such as `V1 pin 7` are not parted.
fn label(job: &Job, (compared, reading): Taken<'_>) -> String {
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    let point = entry.map_or(&reading.point, |entry| &entry.point);
    unbroken(point)
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
            if carried.manual.value_status.is_left_out() && own.is_empty() {
                own.push("its printed value is left out, see 'fairvolt check'.".to_owned());
            }
        }
        if let Some(Err(reason)) = outcome.map(|point| &point.outcome) {
            if !matches!(reason, NotCarried::Quantity(_)) {
                let why = format!("not translated: {}.", remarks::reason_words(reason));
                own.push(remarks::with_hint(why, remarks::hint(view.job, reason)));
            }
        }
        own.extend(inconclusive_overrange(taken));
        let point = entry.map_or("", |entry| entry.point.as_str());
        told.extend(own.into_iter().map(|words| (words, point)));
    }
    // What is said of several points alike is said once.
    let each = gathered(told).into_iter();
    each.map(|(words, points)| format!("{}: {words}", named(&points)))
        .collect()
}

/// What the meter showed, where that has no unit, fails as volts, and lies between the limits as millivolts.
fn in_millivolts<'t>((compared, reading): Taken<'t>) -> Option<&'t str> {
    let Shown::Value(figure) = &reading.shown else {
        return None;
    };
    let band = compared.expected.as_ref()?.band;
    let (low, high) = (band.low?, band.high?);
    let bare = figure
        .text
        .ends_with(|last: char| last.is_ascii_digit() || last == '.');
    // Limits on both sides of zero hold a thousandth of anything.
    let tells = low > 0.0 || high < 0.0;
    (bare && tells && (low..=high).contains(&(figure.value / 1e3))).then_some(figure.text.as_str())
}

/// Why an overrange between limits that the range does not reach decides nothing.
fn inconclusive_overrange((compared, reading): Taken<'_>) -> Option<String> {
    let side = compared.expected.as_ref()?;
    let judged = compared.judgement.verdict == Verdict::NotJudged;
    let limited = !side.band.is_open() && reading.shown == Shown::Overrange && judged;
    limited.then(|| {
        format!(
            "OL says only that there is more than {}, and the limits reach beyond that; read it on \
             a higher range or with another meter.",
            figures::range(side.range.full_scale, false)
        )
    })
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
        .filter(|(compared, _)| compared.entry.is_none() && compared.quantity.is_none())
        .map(|taken| unlisted(job, taken))
        .collect();
    let unread: Vec<String> = unread(view).map(|entry| unbroken(&entry.point)).collect();
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

/// What the verdicts mean with this guard band.
pub(crate) fn words(guard: f64) -> String {
    if guard <= 0.0 {
        return "Pass and fail by the limits alone, without a guard band (ILAC-G8:09/2019, 4.2.1)."
            .to_owned();
    }
    let width = guard_words(guard);
    format!(
        "Pass: inside the limits by more than {width}; conditional pass: inside by less; \
         conditional fail: outside by less; fail: outside by more (guard band of \
         ILAC-G8:09/2019, 4.2.3)."
    )
}

/// The width of the guard band.
fn guard_words(guard: f64) -> String {
    match (guard - 1.0).abs() < 1e-9 {
        true => "U".to_owned(),
        false => format!("{} U", figures::short(guard, 3)),
    }
}

/// A reading of a point that the manual lacks.
fn unlisted(job: &Job, (compared, reading): Taken<'_>) -> String {
    let value = match &reading.shown {
        Shown::Value(figure) => figures::printed_with_unit(figure, Quantity::DcVolts),
        Shown::Overrange => "OL".to_owned(),
    };
    let row = job.row_named(&reading.point);
    let controls = row.map_or_else(String::new, |row| controls(job, job.row(row).settings));
    let with = match controls.is_empty() {
        true => String::new(),
        false => format!(", with {controls}"),
    };
    let meter = format!("{}{with}", meter_and_range(compared, reading));
    // Only a point that the manual names without a value has something expected of it.
    match &compared.expected {
        Some(side) => format!(
            "Point {} has no printed value: {value} read with {meter}; by the drawing {} \u{b1} {} V, \
             not judged.",
            reading.point,
            figures::expected(side, PREDICTED_TO),
            figures::uncertainty(side, PREDICTED_TO)
        ),
        None => format!(
            "Point {} is not in the manual: {value} read with {meter}.",
            reading.point
        ),
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
