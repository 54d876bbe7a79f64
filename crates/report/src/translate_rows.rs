//! The translated manual as rows for a spreadsheet.

use circuit::{Job, ManualEntry, Quantity};
use translate::{Band, BenchSide, Carried, ChartRow, PointOutcome, QuantityPoint};

use crate::csv_text::{maybe, number, Sheet};
use crate::manual;
use crate::quantity;
use crate::remarks;
use crate::trials_table::first_order;
use crate::views::TranslateView;

/// One row a point and bench meter.
pub(crate) fn csv(views: &[TranslateView<'_>]) -> Sheet {
    let mut rows = Vec::new();
    for view in views {
        for point in &view.translation.points {
            if let Some(entry) = view.job.manual.get(point.entry) {
                rows.extend(csv_rows(view, entry, point));
            }
        }
        // Rows without a printed value stand last, as in the tables.
        for apart in &view.translation.quantities {
            if matches!(apart.row, ChartRow::Unprinted(_)) && apart.outcome.is_ok() {
                let start = csv_unprinted(view.job, apart);
                rows.extend(apart_rows(view.job, apart, start));
            }
        }
    }
    Sheet {
        heads: &[
            "job",
            "point",
            "at",
            "against",
            "quantity",
            "manual",
            "unit",
            "manual low",
            "manual high",
            "manual meter",
            "manual range",
            "range assumed",
            "manual input (ohm)",
            "source (ohm)",
            "load (%)",
            "unloaded (V)",
            "model as documented",
            "model unloaded (V)",
            "bench meter",
            "bench range",
            "bench input (ohm)",
            "expected",
            "standard uncertainty",
            "coverage factor",
            "uncertainty",
            "band low",
            "band high",
            "trials mean (V)",
            "trials standard uncertainty (V)",
            "trials low (V)",
            "trials high (V)",
            "trials failed",
            "first order",
            "remarks",
        ],
        rows,
    }
}

fn csv_rows(
    view: &TranslateView<'_>,
    entry: &ManualEntry,
    point: &PointOutcome,
) -> Vec<Vec<String>> {
    let start = csv_entry(view.job, entry);
    match &point.outcome {
        Err(reason) => {
            if let Some(apart) = quantity::of_entry(view.translation, point.entry) {
                return apart_rows(view.job, apart, start);
            }
            let mut row = start;
            let band = Band::of(entry.tolerance.as_ref(), &entry.figure);
            row.extend([maybe(band.low), maybe(band.high), entry.meter.name.clone()]);
            row.push(maybe(entry.range));
            row.extend(std::iter::repeat_n(String::new(), 22));
            row.push(format!("not translated: {}", remarks::reason_words(reason)));
            vec![row]
        }
        Ok(carried) => {
            let start: Vec<String> = start
                .into_iter()
                .chain(csv_carried(entry, carried))
                .collect();
            let mut remarks = manual::sentences(view.job, view.manual, point.entry);
            remarks.extend(remarks::sentences(entry, carried));
            let remarks = remarks.join(" ");
            let mut sides: Vec<Vec<String>> = carried
                .bench
                .iter()
                .enumerate()
                .map(|(bench, side)| {
                    let mut row = csv_side(side);
                    row.extend(csv_trials(view, side, (point.entry, bench)));
                    row
                })
                .collect();
            if sides.is_empty() {
                sides.push(vec![String::new(); 15]);
            }
            sides
                .into_iter()
                .map(|side| {
                    start
                        .iter()
                        .cloned()
                        .chain(side)
                        .chain([remarks.clone()])
                        .collect()
                })
                .collect()
        }
    }
}

/// Job, place and printed value, as every sheet begins.
pub(crate) fn csv_entry(job: &Job, entry: &ManualEntry) -> Vec<String> {
    vec![
        job.folder.clone(),
        entry.point.clone(),
        entry.at.clone(),
        entry.against.clone(),
        entry.quantity.name().to_owned(),
        number(entry.figure.value),
        unit(entry.quantity).to_owned(),
    ]
}

/// The unit of a row's values.
fn unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::DcVolts | Quantity::AcVolts => "V",
        Quantity::Ohms => "ohm",
        Quantity::DcMilliamperes => "A",
    }
}

/// The same of a row without a printed value.
pub(crate) fn csv_unprinted(job: &Job, apart: &QuantityPoint) -> Vec<String> {
    let (at, against) = apart.row.places(job);
    vec![
        job.folder.clone(),
        apart.row.label(job).to_owned(),
        at.to_owned(),
        against.to_owned(),
        apart.quantity.name().to_owned(),
        String::new(),
        unit(apart.quantity).to_owned(),
    ]
}

/// A row of another quantity than direct volts, one line a bench meter; its values are in the row's own
/// unit.
fn apart_rows(job: &Job, apart: &QuantityPoint, mut start: Vec<String>) -> Vec<Vec<String>> {
    let entry = match apart.row {
        ChartRow::Printed(entry) => job.manual.get(entry),
        ChartRow::Unprinted(_) => None,
    };
    let band = entry.map(|entry| Band::of(entry.tolerance.as_ref(), &entry.figure));
    start.extend([
        maybe(band.and_then(|band| band.low)),
        maybe(band.and_then(|band| band.high)),
        entry.map_or(String::new(), |entry| entry.meter.name.clone()),
        maybe(entry.and_then(|entry| entry.range)),
    ]);
    let drawn = apart.outcome.as_ref().ok().and_then(|own| own.drawn);
    start.extend(std::iter::repeat_n(String::new(), 5));
    start.push(maybe(drawn.map(|drawn| drawn.value)));
    start.push(String::new());
    let remarks = quantity::due_sentences(apart).join(" ");
    let sides = apart.outcome.as_ref().map_or(&[][..], |own| &own.bench);
    let mut lines: Vec<Vec<String>> = sides.iter().map(|side| csv_side(&side.side)).collect();
    if lines.is_empty() {
        lines.push(vec![String::new(); 9]);
    }
    let each = lines.into_iter().map(|side| {
        let trials = std::iter::repeat_n(String::new(), 6);
        let own = start.iter().cloned().chain(side).chain(trials);
        own.chain([remarks.clone()]).collect()
    });
    each.collect()
}

fn csv_carried(entry: &ManualEntry, carried: &Carried) -> Vec<String> {
    let manual = &carried.manual;
    let assumed = if manual.range.assumed { "yes" } else { "no" };
    vec![
        maybe(manual.band.low),
        maybe(manual.band.high),
        entry.meter.name.clone(),
        number(manual.range.range.full_scale),
        assumed.to_owned(),
        number(manual.input_ohms),
        number(carried.source_ohms),
        number(carried.loading * 100.0),
        number(carried.unloaded),
        maybe(carried.model.as_documented),
        maybe(carried.model.unloaded),
    ]
}

fn csv_side(side: &BenchSide) -> Vec<String> {
    vec![
        side.meter.clone(),
        number(side.range.full_scale),
        number(side.input_ohms),
        number(side.expected),
        number(side.budget.standard),
        number(side.budget.coverage),
        number(side.budget.expanded()),
        maybe(side.band.low),
        maybe(side.band.high),
    ]
}

fn csv_trials(view: &TranslateView<'_>, side: &BenchSide, of: (usize, usize)) -> Vec<String> {
    let points = view.trials.iter().flat_map(|trials| &trials.found.points);
    let found = points
        .into_iter()
        .find(|point| (point.entry, point.bench) == of);
    let summary = found.and_then(|point| point.summary);
    let stop = view.trials.map(|trials| trials.found.stop);
    let word = found
        .zip(stop)
        .and_then(|(point, stop)| first_order(side, point, stop));
    vec![
        maybe(summary.map(|summary| summary.mean)),
        maybe(summary.map(|summary| summary.standard)),
        maybe(summary.map(|summary| summary.interval.low)),
        maybe(summary.map(|summary| summary.interval.high)),
        found.map_or(String::new(), |point| point.failed.to_string()),
        word.unwrap_or_default().to_owned(),
    ]
}
