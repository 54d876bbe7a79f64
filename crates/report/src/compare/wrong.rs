//! Readings that do not simply pass, under their verdicts, the worst first.

use circuit::Shown;
use translate::Verdict;

use crate::figures;
use crate::manual;
use crate::places::Places;
use crate::quantity;
use crate::readings::{shown, verdict, Distance, Taken};
use crate::remarks;
use crate::table::{Align, Cell, Column, Kind, Table};
use crate::views::CompareView;

use super::guard_words;
use super::sets::{largest_input, SetReadings};

/// Verdicts that ask for a look, the worst first.
const LISTED: [Verdict; 4] = [
    Verdict::Fail,
    Verdict::ConditionalFail,
    Verdict::TooCoarse,
    Verdict::ConditionalPass,
];

/// Readings that do not simply pass, under their verdicts, the worst first.
pub(super) fn wrong(view: &CompareView<'_>, set: &SetReadings<'_>) -> Table {
    let job = view.job;
    let places = Places::of(job);
    let with_meter = !set.has_one_meter();
    let mut rows = Vec::new();
    let mut volts = false;
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
            if let Some(row) = quantity::read_row(job, view.comparison, (compared, reading)) {
                rows.push(row);
                continue;
            }
            let Some(entry) = compared.entry.and_then(|entry| job.manual.get(entry)) else {
                continue;
            };
            volts = true;
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
            let place = match (places.with_settings(entry), with_meter) {
                (place, false) => place,
                (place, true) => format!("{place} with {}", reading.meter.name),
            };
            rows.push(vec![
                Cell::from(entry.point.clone()),
                Cell::from(place.trim())
                    .with(sentences(view, (compared, reading), wanted).join(" ")),
                Cell::of(Kind::Value, limits),
                Cell::of(Kind::Value, shown(&reading.shown, entry.quantity)),
                Cell::from(far),
            ]);
        }
    }
    // Every other quantity has its own unit in each cell.
    let unit = if volts { "V" } else { "" };
    Table {
        columns: vec![
            Column::new("point", "", Align::Left),
            Column::new("where", "", Align::Left),
            Column::new("limits", unit, Align::Limits),
            Column::new("read", unit, Align::Decimal),
            Column::new("from the nearest limit", "", Align::Left),
        ],
        rows,
    }
}

/// What a group of readings has in common.
fn group_words(verdict: Verdict, count: usize, guard: f64) -> String {
    let width = guard_words(guard);
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
        let largest = largest_input(view.job, view.comparison, (compared, reading));
        sentences.extend(largest.map(|what| format!("U comes mostly from: {what}.")));
    }
    sentences.extend(manual::sentences(view.job, view.manual, index));
    let outcome = view.comparison.translation.points.get(index);
    if let Some(Ok(carried)) = outcome.map(|point| &point.outcome) {
        sentences.extend(remarks::sentences(entry, carried));
    }
    sentences.iter().map(|words| begun(words)).collect()
}

/// The words with a capital letter, to stand behind another sentence.
fn begun(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}
