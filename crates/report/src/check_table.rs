//! What was read of a job, and the manual beside the circuit's own prediction.

use circuit::{islands, Job, ManualRow, RowId};
use reconcile::ValueStatus;
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{NotCarried, Translation};

use crate::document::{Block, Headline};
use crate::figures;
use crate::heading;
use crate::low_volts::has_tubes;
use crate::manual;
use crate::places::Places;
use crate::quantity::{disagreeing, drawn_words};
use crate::ratings;
use crate::remarks;
use crate::table::{Align, Cell, Column, Table};
use crate::trials_table;
use crate::views::{CheckView, DiagnosticRecord, TranslateView};

// How much a job holds. A doc comment would be part of the schema.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct Counts {
    /// Nodes of the drawn circuit.
    nodes: usize,
    /// Its parts.
    parts: usize,
    /// Pieces of the drawing that no part joins.
    islands: usize,
    /// Points of the manual.
    points: usize,
    /// Bench readings.
    readings: usize,
    /// Meters that the job itself describes.
    meters: usize,
}

impl Counts {
    /// Counted in a job.
    pub(crate) fn of(job: &Job) -> Self {
        Counts {
            nodes: job.circuit.nodes().len(),
            parts: job.circuit.parts().len(),
            islands: islands(&job.circuit).len(),
            points: job.manual.len(),
            readings: job.readings.len(),
            meters: job.own_meters.len(),
        }
    }

    fn words(self) -> String {
        format!(
            "Read: {}, {} in {}; {} of the manual; {}; {} of the job's own.",
            counted(self.nodes, "node", "nodes"),
            counted(self.parts, "part", "parts"),
            counted(self.islands, "connected circuit", "connected circuits"),
            counted(self.points, "point", "points"),
            counted(self.readings, "reading", "readings"),
            counted(self.meters, "meter", "meters"),
        )
    }
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Heading, counts, table and notes of one job.
pub(crate) fn blocks(view: &CheckView<'_>) -> Vec<Block> {
    let Some(job) = view.job else {
        return vec![Block::Lines(vec![
            faults(view.diagnostics),
            "The job could not be read.".to_owned(),
        ])];
    };
    let mut blocks = vec![Block::Title(heading::title(job))];
    let belief = view.manual.belief;
    blocks.extend(belief.map(|belief| manual::headline(job, belief)));
    if let Some(reason) = view.not_judged {
        blocks.push(Headline::plain(format!(
            "Whether the manual's values agree could not be told: {reason}."
        )));
    }
    let (labels, sentences): (Vec<_>, Vec<_>) = others_off(view).into_iter().unzip();
    if !labels.is_empty() {
        let count = counted(labels.len(), "other value lies", "other values lie");
        let text = format!("{count} far from the drawing: {}.", labels.join(", "));
        blocks.push(Headline::plain(text));
        blocks.push(Block::Lines(sentences));
    }
    let mut read = vec![Counts::of(job).words(), faults(view.diagnostics)];
    read.extend(ratings::lines(job, view.overrated));
    blocks.push(Block::Lines(read));
    if let Some(classes) = view.manual.classes {
        blocks.extend(manual::class_blocks(job, classes));
    }
    blocks.extend(belief.map_or(Vec::new(), |belief| {
        manual::blocks(job, belief, view.translation)
    }));
    let trials = view.trials.as_ref().zip(as_translated(view));
    blocks.extend(trials.map_or(Vec::new(), |(trials, view)| {
        trials_table::failing(&view, trials)
    }));
    let table = view.translation.map(|translation| table(job, translation));
    let mut notes = Vec::new();
    let table = table.filter(|table| !table.rows.is_empty());
    if let (Some(table), Some(translation)) = (table, view.translation) {
        blocks.push(Block::Caption(
            "The manual beside the drawn circuit".to_owned(),
        ));
        blocks.push(Block::Table(table));
        notes.push(unexplained(job));
        notes.extend(remarks::notes(job, translation));
    }
    blocks.push(Block::Lines(heading::facts(job)));
    blocks.extend(manual::heading_block(view.manual));
    blocks.push(Block::Notes(notes));
    blocks.push(Block::Next(next(view, job)));
    blocks
}

/// Resistances, currents and alternating volts that lie far from the drawing, each with what is said of it.
fn others_off(view: &CheckView<'_>) -> Vec<(String, String)> {
    let both = view.job.zip(view.translation);
    both.map_or(Vec::new(), |(job, translation)| {
        disagreeing(job, translation)
    })
}

/// Said under the table.
fn unexplained(job: &Job) -> String {
    let spread = match has_tubes(job) {
        true => "Tube spread",
        false => "The spread of the parts",
    };
    format!(
        "Unexplained: volts without a meter by manual and drawing together, less those of the drawn \
         circuit alone. {spread} and the real supply are part of it."
    )
}

/// So many values off at once are the drawing's more often than the printer's (common practice, no source).
const RARELY_MISPRINTED: usize = 3;

/// What to do next: mend what keeps the manual from being carried over, look at a doubted value, or go on.
fn next(view: &CheckView<'_>, job: &Job) -> String {
    if view.translation.is_none() {
        return format!(
            "mend what is named above, then 'fairvolt check {}' again.",
            heading::typed(&job.folder)
        );
    }
    let go_on = format!(
        "'fairvolt translate {}' shows the manual's table for your meter.",
        heading::typed(&job.folder)
    );
    let doubted = view.manual.belief.into_iter().flat_map(manual::doubted);
    let points = doubted.filter_map(|judged| Some(job.manual.get(judged.entry)?.point.clone()));
    let others = others_off(view).into_iter().map(|(label, _)| label);
    let points: Vec<String> = points.chain(others).collect();
    let belief = view.manual.belief;
    let by_drawing = belief.and_then(|belief| manual::first_suspect(job, belief));
    match (by_drawing, points.is_empty()) {
        (Some(what), _) => {
            format!("compare {what} with the schematic, mend the netlist where it differs; then {go_on}")
        }
        (None, true) => go_on,
        (None, false) if points.len() >= RARELY_MISPRINTED => format!(
            "compare the netlist with the schematic round {}, for so many values are rarely misprinted, and look \
             them up on the manual's page; then {go_on}",
            heading::points(&points)
        ),
        (None, false) => format!(
            "look up {} on the manual's page; then {go_on}",
            heading::points(&points)
        ),
    }
}

/// The view of its translation, where there is one.
pub(crate) fn as_translated<'a>(view: &CheckView<'a>) -> Option<TranslateView<'a>> {
    Some(TranslateView {
        asked: Default::default(),
        job: view.job?,
        translation: view.translation?,
        manual: view.manual,
        trials: view.trials,
        diagnostics: view.diagnostics,
    })
}

/// Whether a checked job has a doubted value, one of another quantity far from the drawing, or a manual that
/// disagrees with its drawing as a whole.
pub(crate) fn flagged(view: &CheckView<'_>) -> bool {
    let others = !others_off(view).is_empty();
    others
        || view.manual.belief.is_some_and(|belief| {
            manual::doubted(belief).next().is_some() || belief.agreement.disagrees()
        })
}

/// The faults as a list; for renderers that do not show them elsewhere.
pub(crate) fn fault_list(diagnostics: &[DiagnosticRecord]) -> Option<Block> {
    let lines: Vec<String> = diagnostics.iter().map(fault).collect();
    (!lines.is_empty()).then_some(Block::Lines(lines))
}

fn fault(record: &DiagnosticRecord) -> String {
    let mut place = String::new();
    if let Some(file) = &record.file {
        place = format!(" in {file}");
        if let Some(line) = record.line {
            place.push_str(&format!(", line {line}"));
        }
    }
    let help = match &record.help {
        Some(help) => format!(" ({help})"),
        None => String::new(),
    };
    format!("{}{place}: {}{help}", record.severity, record.message)
}

fn faults(diagnostics: &[DiagnosticRecord]) -> String {
    let of = |severity: &str| {
        diagnostics
            .iter()
            .filter(|record| record.severity == severity)
            .count()
    };
    let (errors, warnings) = (of("error"), of("warning"));
    match errors + warnings {
        0 => "No fault found in the files.".to_owned(),
        _ => format!(
            "Found in the files: {}, {}.",
            counted(errors, "error", "errors"),
            counted(warnings, "warning", "warnings")
        ),
    }
}

fn table(job: &Job, translation: &Translation) -> Table {
    let columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("manual", "V", Align::Decimal),
        Column::new("circuit alone", "V", Align::Decimal),
        Column::new("unexplained", "V", Align::Decimal),
    ];
    let places = Places::of(job);
    let mut rows = Vec::new();
    for point in &translation.points {
        let Some(entry) = job.manual.get(point.entry) else {
            continue;
        };
        let value = |volts: Option<f64>, none: &str| {
            volts.map_or(none.to_owned(), |volts| {
                figures::carried(volts, entry.figure.resolution)
            })
        };
        let (alone, unexplained) = match &point.outcome {
            Ok(carried) => (
                value(carried.model.as_documented, "not drawn"),
                match carried.manual.value_status {
                    ValueStatus::Misprint => "misprint".to_owned(),
                    ValueStatus::OtherMeter => "other meter".to_owned(),
                    _ => value(carried.model.disagreement, ""),
                },
            ),
            Err(NotCarried::Quantity(_)) => {
                let row = RowId::Printed(point.entry);
                (drawn_words(translation, row), String::new())
            }
            Err(_) => Default::default(),
        };
        let row = ManualRow::from(entry);
        let manual = figures::row_in_table(&row, &entry.figure);
        let cells = [
            entry.point.clone(),
            places.where_text(entry),
            manual,
            alone,
            unexplained,
        ];
        rows.push(cells.map(Cell::from).to_vec());
    }
    Table { columns, rows }
}
