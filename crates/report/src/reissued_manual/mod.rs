//! The manual's own table and socket chart, reissued for another meter, to be kept with the manual.
//!
//! A translated job comes in, blocks, rows and a document go out. It says of every value whether
//! it was carried over or stands as printed. Readings and verdicts are not known here.

mod points;
mod rows;
mod sockets;

use paper::{Document, Running};
use translate::{BenchSide, PointOutcome};
use units::Unit;

use crate::clean::clean;
use crate::document::Block;
use crate::figures::stated;
use crate::heading;
use crate::live_chassis::{live_chassis, live_chassis_mark};
use crate::manual;
use crate::missing;
use crate::page;
use crate::places::usual_reference;
use crate::remarks;
use crate::views::ChartView;

pub(crate) use rows::csv;

/// Behind a value that stands as the manual prints it.
pub(crate) const AS_PRINTED: char = '*';

/// Heading, how the chart was made, and the tables of each meter.
pub(crate) fn blocks(view: &ChartView<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Title(title(view))];
    blocks.extend(live_chassis(view.job));
    blocks.push(Block::Lines(how_made(view)));
    blocks.extend(tables(view));
    blocks
}

fn title(view: &ChartView<'_>) -> String {
    format!("{}: voltage chart", heading::title(view.job))
}

fn tables(view: &ChartView<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    // The socket chart has no column for marks.
    let mut marked = false;
    for (which, meter) in view.job.bench.meters.iter().enumerate() {
        let sockets = sockets::tables(view, which);
        let points = points::table(view, which);
        if !points.rows.is_empty() {
            marked = true;
            blocks.push(Block::Caption(format!("Test points with {}", meter.name)));
            blocks.push(Block::Table(points));
        }
        for (what, table) in sockets {
            let caption = match what {
                sockets::Chart::Volts => {
                    format!("Socket chart with {}, volts at the pins", meter.name)
                }
                sockets::Chart::Ohms if which == 0 => {
                    "Socket chart with the power off, resistances as printed".to_owned()
                }
                // The same for every meter.
                sockets::Chart::Ohms => continue,
            };
            blocks.push(Block::Caption(caption));
            blocks.push(Block::Table(table));
        }
    }
    let mut notes = manual::notes(view.job, view.manual);
    notes.extend(remarks::notes(view.job, view.translation));
    if marked {
        notes.extend(remarks::mark_notes(view.translation));
    }
    if !notes.is_empty() {
        blocks.push(Block::Lines(notes));
    }
    blocks
}

/// Says that the values are computed, from what, and what they hold for.
fn how_made(view: &ChartView<'_>) -> Vec<String> {
    let job = view.job;
    let meters = heading::manual_meters(job);
    let mut lines = vec![format!(
        "How it was made: every direct voltage that the manual prints, read with {}, was carried \
         over to the meter named above each table. It is computed, not measured: the same set in the \
         same state, only with another meter.",
        heading::list(&meters, "no meter")
    )];
    lines.extend(manual::heading(view.manual.classes));
    for meter in heading::bench_meters(job) {
        lines.push(format!("For: {meter}"));
    }
    if let Some(volts) = job.documented.line {
        lines.push(format!(
            "Line: {}, as in the manual.",
            stated(volts, Unit::Volt)
        ));
    }
    lines.extend(heading::conditions(job));
    lines.extend(missing::lines(job));
    if let Some(reference) = usual_reference(job) {
        lines.push(format!(
            "Measured against {reference} unless another place is named."
        ));
    }
    lines.push(format!(
        "{AS_PRINTED} stands as the manual prints it: resistances, alternating volts and currents, \
         and places whose circuit is not drawn."
    ));
    lines
}

/// The chart as a document with pages.
pub(crate) fn document(view: &ChartView<'_>) -> Document {
    let title = clean(&title(view));
    let live = live_chassis(view.job).into_iter();
    let head: Vec<Block> = live.chain([Block::Lines(how_made(view))]).collect();
    let mut blocks = page::blocks(&head);
    blocks.extend(page::blocks(&tables(view)));
    Document {
        running: Running {
            left: page::shortened(&clean(&heading::title(view.job))),
            right: live_chassis_mark(view.job).unwrap_or_else(|| "Voltage chart".to_owned()),
            foot: "Computed from the manual, not measured.".to_owned(),
        },
        subject: "Voltage chart".to_owned(),
        title,
        blocks,
        ..Document::default()
    }
}

/// What the meter of this index should show, and the manual's range in words.
fn side(point: &PointOutcome, which: usize) -> Option<(&BenchSide, String)> {
    let carried = point.outcome.as_ref().ok()?;
    let range = carried.manual.range;
    let words = crate::figures::range(range.range.full_scale, range.assumed);
    Some((carried.bench.get(which)?, words))
}
