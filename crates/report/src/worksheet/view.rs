//! The sheet as blocks: the answer and the cautions first, then the points, then everything that
//! is read later.
//!
//! A view and its pictures come in; blocks go out, and for pages a document. The size of the
//! paper and where a page ends are not known here.

use circuit::Job;
use paper::{Document, Picture, Running};

use crate::clean::clean;
use crate::compare;
use crate::document::{section, Block};
use crate::heading::list;
use crate::page;
use crate::remarks;
use crate::sockets;
use crate::suspects;
use crate::views::{Asked, CompareView, WorksheetView};

use super::model::{model, Worksheet};
use super::other::other_quantities;
use super::point::SheetPoint;
use super::points::points;
use super::untranslated::untranslated;
use crate::live_chassis::{live_chassis, live_chassis_mark};

/// The pictures of a sheet, for media that show some.
#[derive(Debug, Default)]
pub(crate) struct Pictures {
    /// Of its readings.
    pub readings: Vec<Picture>,
    /// Of the next probes, one a ruler.
    pub probes: Vec<Picture>,
    /// Of its sockets, from below.
    pub sockets: Vec<Picture>,
}

/// Lines to write on at the end.
const NOTE_LINES: usize = 4;

/// Stands above the points that are no direct volts.
const OTHER: &str = "Resistances, currents, alternating volts";

/// Stands below the points where a further meter has no line of its own.
const SHARED: &str =
    "Two meters in one line: read either, and write which beside the reading; the \
                      limits are the same.";

/// Stands above what the readings say of the parts.
const SUSPECTS: &str = "Suspects by the readings so far";

/// The whole sheet.
pub(crate) fn blocks(view: &WorksheetView<'_>, pictures: Pictures) -> Vec<Block> {
    let sheet = model(view);
    let mut blocks = vec![Block::Title(format!("Worksheet: {}", sheet.title))];
    blocks.extend(live_chassis(view.job));
    blocks.push(Block::Facts(to_fill_in(&sheet)));
    blocks.extend(answer(view));
    blocks.push(Block::Caption("Cautions".to_owned()));
    let cautions = sheet.cautions.iter().map(|words| (*words).to_owned());
    blocks.push(Block::Numbered(cautions.collect()));
    blocks.push(Block::Danger(String::new(), sheet.deferring.to_owned()));
    blocks.push(Block::Caption("Points".to_owned()));
    blocks.push(Block::Facts(facts(view.job, &sheet)));
    blocks.push(Block::Lines(vec![sheet.marks.to_owned()]));
    blocks.push(Block::Table(points(view.job, &sheet)));
    if let Some(table) = other_quantities(view.job, &sheet) {
        blocks.push(Block::Caption(OTHER.to_owned()));
        blocks.push(Block::Table(table));
    }
    blocks.extend(section(
        "Not translated: as the manual prints it",
        untranslated(&sheet),
    ));
    blocks.push(Block::Notes(notes(view, &sheet)));
    blocks.extend(pictures.readings.into_iter().map(Block::Picture));
    let told = view
        .suspects
        .map(|found| suspects::sheet_blocks(view.job, found));
    if let Some(told) = told.filter(|told| !told.is_empty()) {
        blocks.push(Block::Caption(SUSPECTS.to_owned()));
        blocks.extend(told);
    }
    // After the text: a picture is not parted, and text fills the page before it.
    blocks.extend(pictures.probes.into_iter().map(Block::Picture));
    if !pictures.sockets.is_empty() {
        blocks.push(Block::Caption(sockets::SOCKETS.to_owned()));
        blocks.push(Block::Lines(vec![sockets::key_of_sheet(view.job)]));
        blocks.push(Block::Pictures(pictures.sockets));
    }
    blocks.push(Block::Caption("Notes".to_owned()));
    blocks.push(Block::WriteLines(NOTE_LINES));
    blocks.push(Block::Facts(
        ["Worked by", "Date, signature"]
            .map(|label| (label.to_owned(), String::new()))
            .to_vec(),
    ));
    blocks
}

/// What the readings so far say, and what to do next; nothing without readings.
fn answer(view: &WorksheetView<'_>) -> Vec<Block> {
    if view.job.readings.is_empty() {
        return Vec::new();
    }
    let compared = CompareView {
        asked: Asked::default(),
        job: view.job,
        comparison: view.comparison,
        manual: view.manual,
        diagnostics: view.diagnostics,
    };
    let mut blocks = compare::answer(&compared);
    if let Some(found) = view.suspects {
        blocks.extend(suspects::said(view.job, found));
        blocks.extend(suspects::next_step(view.job, found).map(Block::Next));
    }
    if let Some(seconds) = view.too_long {
        blocks.push(Block::Lines(vec![format!(
            "No suspects were ranked: that takes more than {seconds} s here. \
             'fairvolt suspects' with this job ranks them."
        )]));
    }
    blocks
}

/// A label and what stands beside it.
fn fact(label: &str, words: String) -> (String, String) {
    (label.to_owned(), words)
}

/// Which set, and when; what is empty is to be filled in.
fn to_fill_in(sheet: &Worksheet) -> Vec<(String, String)> {
    vec![
        fact("Set or serial no.", sheet.serial.clone()),
        fact("Date", String::new()),
    ]
}

/// The meters and the conditions.
fn facts(job: &Job, sheet: &Worksheet) -> Vec<(String, String)> {
    let mut facts = vec![
        fact("Manual read with", list(&sheet.manual_meters, "no meter")),
        fact("On the bench", list(&sheet.bench_meters, "no meter named")),
    ];
    let volts = sheet.manual_line.or(sheet.bench_line);
    let line = volts.map(|volts| crate::figures::stated(volts, units::Unit::Volt));
    let line = sheet
        .line
        .as_ref()
        .map(|line| line.trim_start_matches("Line: ").to_owned())
        .or(line);
    facts.extend(line.map(|line| fact("Line", line)));
    if !sheet.conditions.is_empty() {
        facts.push(fact("Conditions", sheet.conditions.clone()));
    }
    facts.push(fact(
        "Probes",
        match crate::places::usual_reference(job) {
            Some(usual) => {
                format!("red to the place named, black to {usual} unless said otherwise")
            }
            None => "red to the place named, black where the manual has it".to_owned(),
        },
    ));
    let notes = sheet.meter_note.iter().chain(&sheet.rails_as_read);
    facts.extend(notes.map(|words| fact("Note", words.clone())));
    facts
}

/// Whether a further meter has no line of its own there.
fn shares_a_line(point: &SheetPoint) -> bool {
    let mut volts = point.bench.iter().skip(1);
    let mut other = point.other.iter().skip(1);
    volts.any(|due| point.offers(due))
        || other.any(|due| point.shares_line(&due.meter, due.as_first))
}

/// What the signs and words on the sheet mean, and what it lacks.
fn notes(view: &WorksheetView<'_>, sheet: &Worksheet) -> Vec<String> {
    let translation = &view.comparison.translation;
    let mut notes = vec![remarks::BAND.to_owned()];
    if sheet.points.iter().any(shares_a_line) {
        notes.push(SHARED.to_owned());
    }
    let mut printed = sheet.points.iter().map(|point| &point.manual);
    if printed.any(|manual| manual.range_assumed == Some(true)) {
        notes.push(remarks::ASSUMED.to_owned());
    }
    let unprinted = |point: &SheetPoint| point.manual.value.is_none() && point.is_row();
    if sheet.points.iter().any(unprinted) {
        notes.push(remarks::UNPRINTED_ON_SHEET.to_owned());
    }
    notes.extend(remarks::mark_notes(translation));
    notes.extend(sheet.words.clone());
    notes.extend(sheet.box_note.clone());
    notes.extend(sheet.missing.iter().cloned());
    notes
}

/// The sheet as a document with pages.
pub(crate) fn document(view: &WorksheetView<'_>, pictures: Pictures) -> Document {
    let title = clean(&crate::heading::title(view.job));
    Document {
        subtitle: "Worksheet for the bench".to_owned(),
        subject: "Worksheet".to_owned(),
        running: Running {
            left: page::shortened(&title),
            right: live_chassis_mark(view.job).unwrap_or_default(),
            foot: "An aid to calculation, not a safety procedure.".to_owned(),
        },
        // The title stands at the head of the document by itself.
        blocks: page::blocks(&blocks(view, pictures)[1..]),
        title,
        ..Document::default()
    }
}
