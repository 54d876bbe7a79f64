//! What trials of a translation found, as a table for people.

use circuit::ManualEntry;
use translate::{BenchSide, PointTrials, Stop};

use crate::document::Block;
use crate::figures::{self, BETWEEN};
use crate::places::Places;
use crate::table::{Align, Cell, Column, Table};
use crate::views::{TranslateView, TrialsView};

/// Digits of a standard uncertainty (JCGM 100:2008, 7.2.6).
const DIGITS: usize = 2;

/// The word for a point at which first order is good enough.
const HOLDS: &str = "holds";

/// What the last column says.
const FIRST_ORDER: &str =
    "First order holds where both ends of expect ± U lie within half of the first digit of u from \
     those of the interval, the shortest that holds 95 % of the trials (8.1); else it is too \
     narrow, too wide or shifted, and the interval counts.";

/// A caption, the table, and what the words mean.
pub(crate) fn blocks(view: &TranslateView<'_>, trials: &TrialsView<'_>) -> Vec<Block> {
    let table = table(view, trials);
    let steady = trials.found.stop == Stop::Steady;
    let mut notes = vec![
        format!(
            "Trials carry the manual over again and again with other numbers of the circuit and \
             other errors of the meters, within their limits (JCGM 101:2008). Seed {}.",
            trials.seed
        ),
        match steady {
            true => FIRST_ORDER.to_owned(),
            false => "Too few trials to tell whether first order holds.".to_owned(),
        },
    ];
    notes.extend(failures(view, trials));
    vec![
        Block::Caption(caption(trials)),
        Block::Table(table),
        Block::Lines(notes),
    ]
}

/// Only the values for which first order does not hold: a caption and lines.
pub(crate) fn failing(view: &TranslateView<'_>, trials: &TrialsView<'_>) -> Vec<Block> {
    let stop = trials.found.stop;
    let failing = trials.found.points.iter().filter_map(|point| {
        let (entry, side) = subject(view, point)?;
        let word = first_order(side, point, stop).filter(|word| *word != HOLDS)?;
        let interval = point.summary?.interval;
        let place = figures::place_beside(
            side.expected,
            interval.width() / 2.0,
            entry.figure.resolution,
        );
        let volts = |volts| figures::at_place(volts, place);
        Some(format!(
            "Point {} with {}: {word} by first order; expect {} ± {} V, while 95 % of the trials \
             lie within {}{BETWEEN}{} V.",
            entry.point,
            side.meter,
            figures::expected(side, entry.figure.resolution),
            figures::uncertainty(side, entry.figure.resolution),
            volts(interval.low),
            volts(interval.high)
        ))
    });
    let mut lines: Vec<String> = failing.collect();
    if stop != Stop::Steady {
        lines.push("Too few trials to tell whether first order holds.".to_owned());
    } else if lines.is_empty() {
        lines.push("First order is good enough at every point.".to_owned());
    }
    lines.extend(failures(view, trials));
    vec![Block::Caption(caption(trials)), Block::Lines(lines)]
}

fn caption(trials: &TrialsView<'_>) -> String {
    let steady = match trials.found.stop {
        Stop::Steady => "every figure stands still",
        Stop::Limit => "not every figure stands still yet; more trials would settle them",
    };
    format!("{} trials: {steady}", trials.found.trials)
}

fn table(view: &TranslateView<'_>, trials: &TrialsView<'_>) -> Table {
    let columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("bench", "meter, range", Align::Right),
        Column::new("expect", "V", Align::Decimal),
        Column::new("U", "±V", Align::Decimal),
        Column::new("mean", "V", Align::Decimal),
        Column::new("u", "V", Align::Decimal),
        Column::new("95 % interval", "V", Align::Limits),
        Column::new("first order", "", Align::Left),
    ];
    let places = Places::of(view.job);
    let mut last = None;
    let rows = trials.found.points.iter().filter_map(|point| {
        let (entry, side) = subject(view, point)?;
        let goes_on = last.replace(point.entry) == Some(point.entry);
        let naming = match goes_on {
            true => Default::default(),
            false => [entry.point.clone(), places.where_text(entry)],
        };
        let row = naming
            .into_iter()
            .chain(cells(entry, side, point, trials.found.stop));
        Some(row.map(Cell::from).collect())
    });
    let rows = rows.collect();
    Table { columns, rows }
}

/// The manual's row and the bench meter's side that some trials are about.
fn subject<'a>(
    view: &TranslateView<'a>,
    point: &PointTrials,
) -> Option<(&'a ManualEntry, &'a BenchSide)> {
    let entry = view.job.manual.get(point.entry)?;
    let outcome = view.translation.points.get(point.entry)?;
    let carried = outcome.outcome.as_ref().ok()?;
    Some((entry, carried.bench.get(point.bench)?))
}

fn cells(entry: &ManualEntry, side: &BenchSide, point: &PointTrials, stop: Stop) -> [String; 7] {
    let resolution = entry.figure.resolution;
    let range = figures::range(side.range.full_scale, false);
    let [mean, standard, interval] = match &point.summary {
        Some(found) => {
            let half = found.interval.width() / 2.0;
            let place = figures::place_beside(found.mean, half, resolution);
            let end = |volts| figures::at_place(volts, place);
            [
                end(found.mean),
                figures::digits(found.standard, DIGITS),
                figures::between(&end(found.interval.low), &end(found.interval.high)),
            ]
        }
        None => Default::default(),
    };
    [
        format!("{} {range}", side.meter),
        figures::expected(side, resolution),
        figures::uncertainty(side, resolution),
        mean,
        standard,
        interval,
        first_order(side, point, stop)
            .unwrap_or_default()
            .to_owned(),
    ]
}

/// How first order compares with the trials; none where they are too few to tell, or where nothing
/// is uncertain.
pub(crate) fn first_order(
    side: &BenchSide,
    point: &PointTrials,
    stop: Stop,
) -> Option<&'static str> {
    let (validation, found) = (point.validation?, point.summary?);
    if stop != Stop::Steady {
        return None;
    }
    if validation.holds() {
        return Some(HOLDS);
    }
    let middle = (found.interval.low + found.interval.high) / 2.0;
    let shift = (middle - side.expected).abs();
    let wider = found.interval.width() / 2.0 - side.budget.expanded();
    Some(match shift > wider.abs() {
        true => "shifted",
        false if wider > 0.0 => "too narrow",
        false => "too wide",
    })
}

/// Trials that found no state, told for each point that has any.
fn failures(view: &TranslateView<'_>, trials: &TrialsView<'_>) -> Option<String> {
    let failed: Vec<String> = trials
        .found
        .points
        .iter()
        .filter(|point| point.failed > 0)
        .filter_map(|point| {
            let (entry, side) = subject(view, point)?;
            Some(format!(
                "{} with {}: {}",
                entry.point, side.meter, point.failed
            ))
        })
        .collect();
    (!failed.is_empty()).then(|| {
        format!(
            "Trials in which the circuit found no state, left out: {}.",
            failed.join(", ")
        )
    })
}
