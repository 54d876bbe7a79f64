//! What a curve is about in words, and how far its axes reach.

use circuit::ManualEntry;
use translate::BenchSide;

use crate::clean::clean;
use crate::figures;
use crate::places::where_text;
use crate::views::CurveView;

/// Ends of both axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Scope {
    /// Meter resistance in ohms.
    pub ohms: (f64, f64),
    /// Reading in volts.
    pub volts: (f64, f64),
}

/// The manual's entry; none for an index that the manual lacks.
pub(crate) fn entry<'a>(view: &CurveView<'a>) -> Option<&'a ManualEntry> {
    view.job.manual.get(view.entry)
}

/// `point 5, V1A plate`.
pub(crate) fn where_words(view: &CurveView<'_>) -> String {
    let Some(entry) = entry(view) else {
        return String::new();
    };
    let words = match where_text(view.job, entry).as_str() {
        "" => format!("point {}", entry.point),
        place => format!("point {}, {place}", entry.point),
    };
    clean(&words)
}

/// `20k/V, 250 V range`; an assumed range is marked with `~`.
pub(crate) fn manual_words(view: &CurveView<'_>) -> String {
    let Some(entry) = entry(view) else {
        return String::new();
    };
    let range = view.carried.manual.range;
    let assumed = if range.assumed { " assumed" } else { "" };
    let range = figures::range(range.range.full_scale, false);
    clean(&format!("{}, {range} range{assumed}", entry.meter.name))
}

/// The common classes that are neither the manual's meter nor on the bench.
pub(crate) fn classes<'a>(view: &CurveView<'a>) -> Vec<&'a BenchSide> {
    let manual = entry(view).map_or("", |entry| entry.meter.name.as_str());
    let named = |name: &str| {
        let mut bench = view.carried.bench.iter();
        name == manual || bench.any(|side| side.meter == name)
    };
    let mut sides: Vec<&BenchSide> = view
        .classes
        .iter()
        .filter(|side| !named(&side.meter))
        .collect();
    sides.sort_by(|a, b| a.input_ohms.total_cmp(&b.input_ohms));
    sides
}

/// Room above and below the curve, as a share of its height.
const MARGIN: f64 = 0.06;

/// The least height of the plot as a share of the largest volts in it: a point that hardly moves looks
/// like one.
const LEAST_HEIGHT: f64 = 0.1;

/// How far the axes reach, so that everything of the point is seen; none without a sample.
pub(crate) fn scope(view: &CurveView<'_>) -> Option<Scope> {
    let ohms = (view.samples.first()?.ohms, view.samples.last()?.ohms);
    let samples = view
        .samples
        .iter()
        .flat_map(|sample| [sample.volts, sample.band.low, sample.band.high]);
    let bench = view.carried.bench.iter().flat_map(|side| {
        let expanded = Some(side.budget.expanded()).filter(|volts| volts.is_finite());
        let by = expanded.unwrap_or(0.0);
        [Some(side.expected - by), Some(side.expected + by)]
    });
    let manual = [Some(view.carried.manual.value), view.unloaded];
    let own = |reading: &&circuit::Reading| entry(view).is_some_and(|e| e.point == reading.point);
    let read = view.job.readings.iter().filter(own);
    let read = read.map(|reading| match &reading.shown {
        circuit::Shown::Value(figure) => Some(figure.value),
        circuit::Shown::Overrange => None,
    });
    let all = samples.chain(bench).chain(manual).chain(read).flatten();
    let (low, high) = all
        .filter(|volts| volts.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), volts| {
            (low.min(volts), high.max(volts))
        });
    if low > high {
        return None;
    }
    let largest = low.abs().max(high.abs()).max(f64::MIN_POSITIVE);
    let lacking = (LEAST_HEIGHT * largest - (high - low)).max(0.0) / 2.0;
    let margin = lacking + MARGIN * (high - low).max(LEAST_HEIGHT * largest);
    // Zero belongs to a curve that comes near it.
    let near_zero = |end: f64| end.abs() < 0.35 * largest;
    let volts = match (low >= 0.0 && near_zero(low), high <= 0.0 && near_zero(high)) {
        (true, _) => (0.0, high + margin),
        (_, true) => (low - margin, 0.0),
        _ => (low - margin, high + margin),
    };
    Some(Scope { ohms, volts })
}
