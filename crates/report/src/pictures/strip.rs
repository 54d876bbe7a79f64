//! All readings of a set, each on its own scale of volts, the worst first.

use circuit::{Job, Shown};
use paper::{Picture, StripChart, StripRow};
use translate::Verdict;

use super::scale::round_scale;
use super::{unbroken, WIDE};
use crate::clean::clean;
use crate::figures;
use crate::heading;
use crate::places::{controls, where_text};
use crate::readings::{self, Distance, Taken};
use crate::translate_table::PREDICTED_TO;
use crate::views::CompareView;

/// Rows of one picture on paper lying across.
const MOST_ROWS: usize = 13;

/// Width of a picture on paper lying across, in points.
const ACROSS: f64 = 700.0;

/// What the signs mean.
const SIGNS: &str =
    "box: allowed with the meter that read it; tick: printed in the manual; dot: read, with its \
    uncertainty (95 %)";

/// Stands below where a set was read in other units too.
const OTHERS: &str = "Only direct volts are drawn; other readings stand in their tables.";

/// Every reading of a job on a scale of its own, the worst first; none without a reading.
#[must_use]
pub fn strip_picture(view: &CompareView<'_>) -> Option<Picture> {
    let taken = worst_first(view);
    (!taken.is_empty()).then(|| strip(view, &taken, WIDE, &title(view, &taken)))
}

/// For pages: the readings that do not simply pass, in pictures of at most [`MOST_ROWS`]; none where all pass.
pub(crate) fn strip_pictures(view: &CompareView<'_>) -> Vec<Picture> {
    let all = worst_first(view);
    let title = title(view, &all);
    let shown: Vec<Taken<'_>> = all
        .into_iter()
        .filter(|(compared, _)| {
            !matches!(
                compared.judgement.verdict,
                Verdict::Pass | Verdict::NotJudged
            )
        })
        .collect();
    let count = shown.len().div_ceil(MOST_ROWS);
    let rows = shown.len().div_ceil(count.max(1)).max(1);
    let each = shown.chunks(rows).enumerate();
    each.map(|(n, rows)| {
        let title = match count {
            0 | 1 => title.clone(),
            _ => format!("{title}, picture {} of {count}", n + 1),
        };
        strip(view, rows, ACROSS, &title)
    })
    .collect()
}

/// The readings of direct volts.
fn worst_first<'a>(view: &CompareView<'a>) -> Vec<Taken<'a>> {
    let taken = readings::taken(view.job, view.comparison);
    let mut all: Vec<Taken<'a>> = taken.filter(|(c, _)| c.quantity.is_none()).collect();
    readings::worst_first(&mut all);
    all
}

/// A reading that a later one of the same point and set follows, and the last of several.
const FOUND: &str = "as found";
const LEFT: &str = "as left";

/// Which visit to the bench a reading is of; none where its point was read once.
fn visit(job: &Job, reading: usize) -> Option<&'static str> {
    let records = circuit::records(&job.readings);
    let record = records
        .iter()
        .find(|record| record.readings.contains(&reading))?;
    match record.readings.as_slice() {
        [_] => None,
        [.., last] if *last == reading => Some(LEFT),
        _ => Some(FOUND),
    }
}

/// Which set, and how many readings of which verdict; of several visits the last counts.
fn title(view: &CompareView<'_>, taken: &[Taken<'_>]) -> String {
    let sets = || taken.iter().map(|(_, reading)| reading.set.trim());
    let who = match (differ(sets()), sets().next()) {
        (false, Some(set)) if !set.is_empty() => format!("Set {}", clean(set)),
        _ => clean(&heading::title(view.job)),
    };
    let left = |(compared, _): &&Taken<'_>| visit(view.job, compared.reading) != Some(FOUND);
    let who = match taken.iter().all(|taken| left(&taken)) {
        true => who,
        false => format!("{who}, as left"),
    };
    let counts = VERDICTS.into_iter().filter_map(|verdict| {
        let last = taken.iter().filter(left);
        let count = last.filter(|(c, _)| c.judgement.verdict == verdict);
        let count = count.count();
        (count > 0).then(|| format!("{count} {}", verdict.word()))
    });
    format!("{who}: {}", counts.collect::<Vec<_>>().join(", "))
}

/// The picture of some readings.
fn strip(view: &CompareView<'_>, taken: &[Taken<'_>], width: f64, title: &str) -> Picture {
    let several_sets = differ(taken.iter().map(|(_, reading)| reading.set.as_str()));
    let several_meters = differ(taken.iter().map(|(_, reading)| reading.meter.name.as_str()));
    let several_dates = differ(taken.iter().map(|(_, reading)| reading.date.as_str()));
    let several = (several_sets, several_meters, several_dates);
    let rows: Vec<StripRow> = taken
        .iter()
        .map(|taken| StripRow {
            label: label(view.job, *taken, several),
            below: settings(view.job, *taken),
            ..row(view.job, *taken)
        })
        .collect();
    let bad = rows.iter().filter(|row| row.strong);
    let bad = bad.map(|row| {
        format!(
            "{} read {}: {}, {}.",
            [row.label.as_str(), row.below.as_str()]
                .join(" ")
                .trim_end(),
            row.read_words,
            row.verdict,
            row.words
        )
    });
    let count = match rows.len() {
        1 => "One reading is drawn.".to_owned(),
        count => format!("{count} readings are drawn."),
    };
    let told: Vec<String> = std::iter::once(count).chain(bad).collect();
    StripChart {
        title: title.to_owned(),
        subtitle: match view
            .comparison
            .readings
            .iter()
            .any(|c| c.quantity.is_some())
        {
            true => format!("{SIGNS}. {OTHERS}"),
            false => SIGNS.to_owned(),
        },
        description: told.join(" "),
        width,
        rows,
    }
    .picture()
}

/// Verdicts from the worst to the best.
const VERDICTS: [Verdict; 6] = [
    Verdict::Fail,
    Verdict::ConditionalFail,
    Verdict::TooCoarse,
    Verdict::ConditionalPass,
    Verdict::Pass,
    Verdict::NotJudged,
];

fn row(job: &Job, (compared, reading): Taken<'_>) -> StripRow {
    let (word, _) = readings::verdict(compared.judgement.verdict);
    let side = compared.expected.as_ref();
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    let figure = match &reading.shown {
        Shown::Value(figure) => Some(figure),
        Shown::Overrange => None,
    };
    let allowed = side.map_or([None; 2], |side| [side.band.low, side.band.high]);
    // Where nothing was carried over, the reading may not be volts at all.
    let read = figure.filter(|_| side.is_some()).map(|figure| figure.value);
    let printed = entry
        .filter(|_| side.is_some())
        .map(|entry| entry.figure.value);
    let values: Vec<f64> = allowed
        .into_iter()
        .flatten()
        .chain(read)
        .chain(printed)
        .collect();
    let (scale, ends) = round_scale(&values).unwrap_or_default();
    StripRow {
        label: String::new(),
        below: String::new(),
        scale,
        ends,
        allowed,
        printed,
        read,
        within: side.map_or(0.0, |side| side.budget.expanded()),
        read_words: match (figure, entry) {
            (Some(figure), Some(entry)) if side.is_none() => {
                figures::printed_with_unit(figure, entry.quantity)
            }
            (Some(figure), _) => figures::printed(figure),
            (None, _) => "OL".to_owned(),
        },
        verdict: word.to_owned(),
        strong: compared.judgement.is_finding(),
        words: unbroken(&words(job, (compared, reading))),
        joined: false,
    }
}

/// How far off, or why nothing can be said of that.
fn words(job: &Job, (compared, reading): Taken<'_>) -> String {
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    match (&reading.shown, &compared.expected) {
        (Shown::Overrange, _) => "overrange".to_owned(),
        (_, None) => "not translated".to_owned(),
        (Shown::Value(figure), Some(side)) => {
            let printed_to = entry.map_or(PREDICTED_TO, |entry| entry.figure.resolution);
            Distance::of(reading, side, printed_to).map_or("no limits".to_owned(), |distance| {
                distance.words(figure.resolution)
            })
        }
    }
}

fn label(job: &Job, (compared, reading): Taken<'_>, several: (bool, bool, bool)) -> String {
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    let place = entry.map_or(String::new(), |entry| where_text(job, entry));
    let told = |told: bool, words: &str| {
        if told {
            words.to_owned()
        } else {
            String::new()
        }
    };
    let words = [
        place,
        told(several.0, &reading.set),
        told(several.1, &reading.meter.name),
        told(several.2, &reading.date),
        visit(job, compared.reading).unwrap_or_default().to_owned(),
    ];
    let words: Vec<String> = words
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect();
    clean(format!("{} {}", reading.point, words.join(", ")).trim_end())
}

/// How the controls stand for a reading; empty where they are not asked for.
fn settings(job: &Job, (compared, _): Taken<'_>) -> String {
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    clean(&entry.map_or(String::new(), |entry| controls(job, &entry.settings)))
}

fn differ<'a>(mut names: impl Iterator<Item = &'a str>) -> bool {
    let first = names.next();
    names.any(|name| Some(name) != first)
}
