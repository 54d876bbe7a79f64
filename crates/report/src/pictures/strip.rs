//! All readings of a set on one axis, each in units of its own tolerance.

use circuit::{Job, Reading, Shown};
use paper::{Axis, IntervalChart, IntervalRow, Key, MarkerKind, Picture, Scale, Sign};
use translate::{Compared, Verdict};

use super::WIDTH;
use crate::clean::clean;
use crate::figures;
use crate::heading;
use crate::places::where_text;
use crate::readings::taken;
use crate::views::CompareView;

/// Readings of one column on paper, so that a picture fits on a page lying across.
const MOST_ROWS: usize = 20;

/// Fewer readings than this make one column.
const LEAST_ROWS: usize = 6;

/// Width of one of two columns, and the white between them, in points: together no wider than the text of
/// the smaller paper lying across, so that the letters keep their size.
const COLUMN: (f64, f64) = (348.0, 24.0);

/// Ends of the axis in half widths of the tolerance; what lies beyond gets an arrow head.
const REACH: f64 = 3.0;

/// Every reading of a job as a mark between the limits of its point, its shape by the verdict; none without a
/// reading.
#[must_use]
pub fn strip_picture(view: &CompareView<'_>) -> Option<Picture> {
    let taken: Vec<_> = taken(view.job, view.comparison).collect();
    (!taken.is_empty()).then(|| strip(view, &taken, WIDTH))
}

/// The same for pages: columns of at most [`MOST_ROWS`] readings, each with an axis of its own, two side by side.
pub(crate) fn strip_pictures(view: &CompareView<'_>) -> Vec<Picture> {
    let taken: Vec<_> = taken(view.job, view.comparison).collect();
    if taken.len() < 2 * LEAST_ROWS {
        let whole = (!taken.is_empty()).then(|| strip(view, &taken, WIDTH));
        return whole.into_iter().collect();
    }
    let pairs = taken.len().div_ceil(2 * MOST_ROWS);
    // Columns of about the same height, rather than full ones and a rest.
    let rows = taken.len().div_ceil(2 * pairs);
    let columns: Vec<Picture> = taken
        .chunks(rows)
        .map(|taken| strip(view, taken, COLUMN.0))
        .collect();
    let pairs = columns.chunks(2).enumerate();
    pairs
        .map(|(n, pair)| {
            let mut picture = match pair {
                [left, right] => left.clone().beside(right, COLUMN.1),
                _ => pair.first().cloned().unwrap_or_default(),
            };
            if taken.len() > 2 * rows {
                picture.title = format!(
                    "{}, {} of {}",
                    picture.title,
                    n + 1,
                    columns.len().div_ceil(2)
                );
            }
            picture
        })
        .collect()
}

/// The picture of some readings.
fn strip(view: &CompareView<'_>, taken: &[(&Compared, &Reading)], width: f64) -> Picture {
    let several_sets = differ(taken.iter().map(|(_, reading)| reading.set.as_str()));
    let several_meters = differ(taken.iter().map(|(_, reading)| reading.meter.name.as_str()));
    let rows: Vec<IntervalRow> = taken
        .iter()
        .map(|(compared, reading)| IntervalRow {
            label: label(view.job, compared, reading, (several_sets, several_meters)),
            ..row(compared, reading)
        })
        .collect();
    let words = |verdict: Verdict| {
        let count = taken.iter().filter(|(c, _)| c.judgement.verdict == verdict);
        (verdict, count.count())
    };
    let counted: Vec<(Verdict, usize)> = VERDICTS
        .into_iter()
        .map(words)
        .filter(|(_, count)| *count > 0)
        .collect();
    let told: Vec<String> = counted
        .iter()
        .map(|(verdict, count)| format!("{count} {}", verdict.word()))
        .collect();
    let chart = IntervalChart {
        title: format!(
            "Readings against the manual: {}",
            clean(&heading::title(view.job))
        ),
        description: format!("{} readings: {}.", taken.len(), told.join(", ")),
        width,
        axis: Axis {
            title: "distance from the middle of the limits, in half widths".to_owned(),
            scale: Scale::Linear,
            low: -REACH,
            high: REACH,
            label: &tick,
        },
        reference: Some(0.0),
        rows,
        keys: keys(&counted),
    };
    chart.picture()
}

/// Verdicts in the order of the key.
const VERDICTS: [Verdict; 6] = [
    Verdict::Pass,
    Verdict::ConditionalPass,
    Verdict::ConditionalFail,
    Verdict::Fail,
    Verdict::TooCoarse,
    Verdict::NotJudged,
];

/// The shape for a verdict; none where nothing is judged.
fn shape(verdict: Verdict) -> Option<MarkerKind> {
    match verdict {
        Verdict::Pass => Some(MarkerKind::Circle),
        Verdict::ConditionalPass => Some(MarkerKind::Diamond),
        Verdict::ConditionalFail => Some(MarkerKind::Triangle),
        Verdict::Fail => Some(MarkerKind::Cross),
        Verdict::TooCoarse => Some(MarkerKind::Square),
        Verdict::NotJudged => None,
    }
}

fn keys(counted: &[(Verdict, usize)]) -> Vec<Key> {
    let verdicts = counted.iter().filter_map(|(verdict, _)| {
        Some(Key {
            sign: Sign::Marker(shape(*verdict)?),
            words: verdict.word().to_owned(),
        })
    });
    let others = [
        (Sign::Interval, "uncertainty, 95 %"),
        (Sign::Limits, "the manual's limits"),
    ];
    let others = others.into_iter().map(|(sign, words)| Key {
        sign,
        words: words.to_owned(),
    });
    verdicts.chain(others).collect()
}

fn row(compared: &Compared, reading: &Reading) -> IntervalRow {
    let verdict = compared.judgement.verdict;
    let sides = compared.expected.as_ref();
    let limits = sides.and_then(|side| Some((side.band.low?, side.band.high?)));
    let Some((low, high)) = limits.filter(|(low, high)| high > low) else {
        return IntervalRow {
            note: note(compared, reading),
            ..IntervalRow::default()
        };
    };
    let (middle, half) = ((low + high) / 2.0, (high - low) / 2.0);
    let value = match &reading.shown {
        Shown::Value(figure) => Some((figure.value - middle) / half),
        Shown::Overrange => None,
    };
    let expanded = sides.map(|side| side.budget.expanded() / half);
    let expanded = expanded.filter(|share| share.is_finite() && *share > 0.0);
    IntervalRow {
        label: String::new(),
        interval: value.zip(expanded).map(|(at, by)| (at - by, at + by)),
        mark: value.zip(shape(verdict)),
        limits: Some((-1.0, 1.0)),
        note: note(compared, reading),
    }
}

/// The verdict, and why there is no mark where there is none.
fn note(compared: &Compared, reading: &Reading) -> String {
    let verdict = compared.judgement.verdict;
    let why = match (&reading.shown, &compared.expected) {
        (Shown::Overrange, _) => ", overrange",
        (_, None) if verdict == Verdict::NotJudged => ", not translated",
        (_, Some(side)) if side.band.is_open() => ", no tolerance",
        (_, Some(side)) if side.band.low.is_none() || side.band.high.is_none() => ", one limit",
        _ => "",
    };
    format!("{}{why}", verdict.word())
}

fn label(job: &Job, compared: &Compared, reading: &Reading, several: (bool, bool)) -> String {
    let entry = compared.entry.and_then(|entry| job.manual.get(entry));
    let place = entry.map_or(String::new(), |entry| where_text(job, entry));
    let set = if several.0 { reading.set.as_str() } else { "" };
    let meter = match several.1 {
        true => reading.meter.name.as_str(),
        false => "",
    };
    let words: Vec<&str> = [place.as_str(), meter, set]
        .into_iter()
        .filter(|words| !words.is_empty())
        .collect();
    clean(format!("{}  {}", reading.point, words.join(", ")).trim_end())
}

fn differ<'a>(mut names: impl Iterator<Item = &'a str>) -> bool {
    let first = names.next();
    names.any(|name| Some(name) != first)
}

fn tick(value: f64) -> String {
    match figures::decimal(value, 0).as_str() {
        "0" => "0".to_owned(),
        words if value > 0.0 => format!("+{words}"),
        words => words.to_owned(),
    }
}
