//! What stands above every table of a job: the set, the meters, the line, the conditions.

use circuit::{Job, ManualRow, Meter};
use reconcile::RangeChoice;
use units::Unit;

use crate::document::Block;
use crate::figures::{self, signed_percent, stated};
use crate::labels::{each_once, with_last};
use crate::missing;
use crate::places::{controls, usual_reference};
use crate::table::{Align, Column};

/// The job's title, or else the drawing's, or else the folder.
pub(crate) fn title(job: &Job) -> String {
    [job.title.as_str(), job.circuit.title(), job.folder.as_str()]
        .into_iter()
        .find(|title| !title.trim().is_empty())
        .unwrap_or("Untitled job")
        .to_owned()
}

/// Title and facts.
pub(crate) fn blocks(job: &Job) -> Vec<Block> {
    vec![Block::Title(title(job)), Block::Lines(facts(job))]
}

/// The meters and conditions of the manual and of the bench, and what the tables lack.
pub(crate) fn facts(job: &Job) -> Vec<String> {
    let mut lines = vec![
        format!(
            "Manual read with: {}",
            list(&manual_meters(job), "no meter")
        ),
        format!(
            "On the bench: {}",
            list(&bench_meters(job), "no meter named")
        ),
    ];
    lines.extend(line(job));
    lines.extend(rails(job));
    lines.extend(conditions(job));
    if let Some(reference) = usual_reference(job) {
        lines.push(format!(
            "Measured against {reference} unless another place is named."
        ));
    }
    lines.extend(missing::lines(job));
    lines
}

/// A word as it has to be typed in a shell.
pub(crate) fn typed(word: &str) -> String {
    let plain = |c: char| c.is_alphanumeric() || "-_./:,+".contains(c);
    match !word.is_empty() && word.chars().all(plain) {
        true => word.to_owned(),
        false => format!("\"{word}\""),
    }
}

/// `point 2`, `points 2, 4 and 7`.
pub(crate) fn points(labels: &[String]) -> String {
    match labels {
        [] => String::new(),
        [only] => format!("point {only}"),
        several => format!("points {}", with_last(several.iter().cloned(), "and")),
    }
}

/// The meters of the manual's rows, each once, in words.
pub(crate) fn manual_meters(job: &Job) -> Vec<String> {
    each_once(job.manual.iter().map(|entry| meter_words(&entry.meter)))
}

/// The meters of the bench in words.
pub(crate) fn bench_meters(job: &Job) -> Vec<String> {
    job.bench.meters.iter().map(meter_words).collect()
}

/// The name all rows of the manual share, if they do.
pub(crate) fn only_manual_meter(job: &Job) -> Option<&str> {
    let mut names = job.manual.iter().map(|entry| entry.meter.name.as_str());
    let first = names.next()?;
    names.all(|name| name == first).then_some(first)
}

/// A meter's name longer than this does not stand at the head of a column.
const LONGEST_HEAD: usize = 10;

/// The column of the manual's ranges, under the name of the meter that all rows share.
pub(crate) fn read_with_column(shared: Option<&str>) -> Column {
    match shared {
        Some(name) if name.chars().count() <= LONGEST_HEAD => {
            Column::new(name, "range", Align::Right)
        }
        Some(_) => Column::new("read on", "range", Align::Right),
        None => Column::new("read with", "", Align::Right),
    }
}

/// The range that a row was read on, with its meter where the rows share none.
pub(crate) fn read_with<'r>(
    row: impl Into<ManualRow<'r>>,
    on: RangeChoice,
    shared: Option<&str>,
) -> String {
    let range = figures::range(on.range.full_scale, on.assumed);
    match (shared, row.into().meter) {
        (None, Some(meter)) => format!("{} {range}", meter.name),
        (Some(_), _) | (None, None) => range,
    }
}

/// Both line voltages, where they are stated and differ.
pub(crate) fn line(job: &Job) -> Option<String> {
    let (manual, bench) = (job.documented.line?, job.bench.line?);
    let factor = job.line_factor();
    ((factor - 1.0).abs() > 1e-12).then(|| {
        format!(
            "Line: {} in the manual, {} on the bench ({} %).",
            stated(manual, Unit::Volt),
            stated(bench, Unit::Volt),
            signed_percent((factor - 1.0) * 100.0)
        )
    })
}

/// Supplies that are taken as read on the bench.
pub(crate) fn rails(job: &Job) -> Option<String> {
    let rails = controls(job, &job.bench.rails);
    (!rails.is_empty()).then(|| {
        format!("Supplies as read on the bench: {rails}; their own points against the manual.")
    })
}

/// The manual's conditions.
pub(crate) fn conditions(job: &Job) -> Option<String> {
    let words = job.documented.conditions.trim();
    (!words.is_empty()).then(|| format!("Conditions: {words}"))
}

fn meter_words(meter: &Meter) -> String {
    let description = meter.description.trim();
    if description.is_empty() || description == meter.name {
        meter.name.clone()
    } else {
        format!("{} ({description})", meter.name)
    }
}

/// The words in one line, or what to say without any.
pub(crate) fn list(words: &[String], none: &str) -> String {
    if words.is_empty() {
        none.to_owned()
    } else {
        words.join("; ")
    }
}
