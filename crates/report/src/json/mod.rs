//! Reports as JSON documents, whose fields docs/json.md and docs/schema describe.
//!
//! Plain SI numbers at full precision; `null` where there is none. One job gives its document,
//! several give an array of documents.

mod check;
mod compare;
mod curve;
mod devices;
#[cfg(feature = "schema")]
mod documents;
mod drawing_slip;
mod explain;
#[cfg(feature = "schema")]
mod field_table;
mod imitate;
mod kind;
mod manual;
mod meters;
mod point;
mod quantity;
#[cfg(feature = "schema")]
mod schema;
mod suspects;
mod translate;
mod trials;
mod unload;
mod worksheet;

use circuit::Job;
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use crate::clean::is_unprintable;
use crate::error::ReportError;
use crate::missing::{self, LeftOutRecord, UnprintedRecord};
use crate::views::DiagnosticRecord;
use kind::Kind;

pub(crate) use check::check;
pub(crate) use compare::compare;
pub(crate) use curve::curve;
pub(crate) use devices::devices;
#[cfg(feature = "schema")]
pub use documents::document_schemas;
pub(crate) use explain::explain;
#[cfg(feature = "schema")]
pub use field_table::json_page;
pub(crate) use imitate::imitate;
pub(crate) use meters::meters;
#[cfg(feature = "schema")]
pub use schema::DocumentSchema;
pub(crate) use suspects::suspects;
pub(crate) use translate::translate;
pub(crate) use unload::unload;
pub(crate) use worksheet::worksheet;

/// What every document begins with, then its own body.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Document<'a, Body> {
    /// Name and version of this kind of document.
    schema: &'static str,
    /// The job. Null where none is read.
    job: Option<JobName<'a>>,
    /// Faults found while the job was read.
    diagnostics: &'a [DiagnosticRecord],
    #[serde(flatten)]
    body: Body,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct JobName<'a> {
    /// What the set is.
    title: &'a str,
    /// The job folder as the user named it.
    folder: &'a str,
    /// Rows, cells and meters that could not be read; the rest was done without them.
    left_out: Vec<LeftOutRecord<'a>>,
    /// Points for which the manual prints no value.
    no_value_printed: Vec<UnprintedRecord<'a>>,
}

impl<'a> JobName<'a> {
    fn of(job: &'a Job) -> Self {
        JobName {
            title: &job.title,
            folder: &job.folder,
            left_out: missing::left_out(job),
            no_value_printed: missing::unprinted(job),
        }
    }
}

/// The document of each view of a job, several as an array. `of` gives its job and the faults found in it.
fn of_jobs<'v, V, Body: Serialize>(
    kind: &Kind,
    views: &'v [V],
    of: impl Fn(&'v V) -> (Option<&'v Job>, &'v [DiagnosticRecord]),
    body: impl Fn(&'v V) -> Body,
) -> Result<String, ReportError> {
    let document = |view| {
        let (job, diagnostics) = of(view);
        Document {
            schema: kind.schema,
            job: job.map(JobName::of),
            diagnostics,
            body: body(view),
        }
    };
    match views {
        [only] => text(&document(only)),
        several => text(&several.iter().map(document).collect::<Vec<_>>()),
    }
}

/// A document that is of no job.
fn of_no_job(kind: &Kind, body: impl Serialize) -> Result<String, ReportError> {
    text(&Document {
        schema: kind.schema,
        job: None,
        diagnostics: &[],
        body,
    })
}

fn text(document: &impl Serialize) -> Result<String, ReportError> {
    let mut text = serde_json::to_string_pretty(document)?;
    text.push('\n');
    Ok(controls_escaped(&text))
}

/// The document with signs that drive a terminal as the escapes that JSON has for them. They stand
/// in its strings alone; below U+0020 they have been escaped already.
fn controls_escaped(document: &str) -> String {
    let strange = |letter: char| is_unprintable(letter) && letter != '\n';
    if !document.contains(strange) {
        return document.to_owned();
    }
    let mut shown = String::with_capacity(document.len());
    for letter in document.chars() {
        match strange(letter) {
            true => shown.push_str(&format!("\\u{:04x}", u32::from(letter))),
            false => shown.push(letter),
        }
    }
    shown
}

/// A number that JSON can hold.
fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}
