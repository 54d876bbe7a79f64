//! What a job's tables hold beside the rows that are worked with: rows that could not be read, and
//! rows for which the manual prints no value.
//!
//! A job comes in, lines and records for its reports go out.

use circuit::{Job, LeftOutRow, NoValue, UnprintedEntry};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use crate::labels::first_few;

/// Rows named before the rest is counted only.
const SHOWN: usize = 20;

/// A line for each row that was left out, and one for the points without a printed value.
pub(crate) fn lines(job: &Job) -> Vec<String> {
    let mut lines: Vec<String> = job.left_out.iter().take(SHOWN).map(line).collect();
    if let Some(more) = job
        .left_out
        .len()
        .checked_sub(SHOWN)
        .filter(|more| *more > 0)
    {
        lines.push(format!("Left out: {more} more, named in the messages."));
    }
    for (words, listed) in [("No value printed", true), ("Not in the manual", false)] {
        let own = |entry: &&UnprintedEntry| (entry.value != NoValue::NotListed) == listed;
        let points = job.unprinted.iter().filter(own);
        let points: Vec<&str> = points.map(|entry| entry.point.as_str()).collect();
        if !points.is_empty() {
            lines.push(format!("{words}: {}.", first_few(&points, SHOWN)));
        }
    }
    lines
}

fn line(row: &LeftOutRow) -> String {
    let place = format!("{}, line {}", row.origin.file, row.origin.line);
    match row.reason.as_str() {
        "" => format!("Left out: {} ({place}).", row.what),
        reason => format!("Left out: {} ({place}): {reason}.", row.what),
    }
}

/// A row that was left out, for a document.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct LeftOutRecord<'a> {
    /// What was left out, such as point '3'.
    what: &'a str,
    /// The first thing wrong with it.
    reason: &'a str,
    /// The file it stands in.
    file: &'a str,
    /// Its line, from 1.
    line: usize,
}

/// A row without a printed value, for a document.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct UnprintedRecord<'a> {
    /// The manual's own label.
    point: &'a str,
    /// Where the red probe goes, as written.
    at: &'a str,
    /// Where the black probe goes, as written or by default.
    against: &'a str,
    /// What would be measured.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["dc V", "ac V", "ohm", "dc mA"])))]
    quantity: &'a str,
    /// The sign in the value's place, such as N.R. Null for a blank.
    printed: Option<&'a str>,
    /// The file it stands in.
    file: &'a str,
    /// Its line, from 1.
    line: usize,
}

/// The rows of a job that were left out.
pub(crate) fn left_out(job: &Job) -> Vec<LeftOutRecord<'_>> {
    job.left_out
        .iter()
        .map(|row| LeftOutRecord {
            what: &row.what,
            reason: &row.reason,
            file: &row.origin.file,
            line: row.origin.line,
        })
        .collect()
}

/// The rows of a job without a printed value.
pub(crate) fn unprinted(job: &Job) -> Vec<UnprintedRecord<'_>> {
    job.unprinted.iter().map(of_entry).collect()
}

fn of_entry(entry: &UnprintedEntry) -> UnprintedRecord<'_> {
    UnprintedRecord {
        point: &entry.point,
        at: &entry.at,
        against: &entry.against,
        quantity: entry.quantity.name(),
        printed: match &entry.value {
            NoValue::Blank | NoValue::NotListed => None,
            NoValue::Sign(sign) | NoValue::Open(sign) => Some(sign),
        },
        file: &entry.origin.file,
        line: entry.origin.line,
    }
}
