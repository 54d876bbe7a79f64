//! One function a report: the views of its jobs in, the finished text out.

use thiserror::Error;

use crate::csv_text::Sheet;
use crate::devices::{self, DeviceView};
use crate::document::Block;
use crate::pictures::{probes_picture, strip_pictures, svg_text};
use crate::views::{
    Asked, ChartView, CheckView, CompareView, ExplainView, Format, MeterListing, Page, Paper,
    SuspectsView, TranslateView, WorksheetView,
};
use crate::{
    chart, check_rows, check_table, compare, csv_text, explain, json, markdown, meters_table, page,
    sockets, suspects, terminal, translate_rows, translate_table, worksheet,
};

/// Why a text could not be made. None of these is the input's fault.
#[derive(Debug, Error)]
pub enum ReportError {
    /// The rows could not be set as comma-separated values.
    #[error("the CSV text could not be made: {0}")]
    Csv(#[from] csv::Error),
    /// The finished text is not UTF-8, with the place of its first bad byte.
    #[error("the CSV text is not UTF-8: {0}")]
    Encoding(#[from] std::string::FromUtf8Error),
    /// The pages could not be written, with what the writer of pages said.
    #[error("the pages could not be made: {0}")]
    Pages(#[from] paper::PaperError),
    /// The document could not be set as JSON.
    #[error("the JSON text could not be made: {0}")]
    Json(#[from] serde_json::Error),
}

/// A report in the format asked for: its views as blocks for people, as rows, or as a document.
fn report<V>(
    views: &[V],
    (format, paper): (Format, Paper),
    blocks: impl Fn(&V) -> Vec<Block>,
    rows: impl Fn(&[V]) -> Sheet,
    document: impl Fn(&[V]) -> Result<String, ReportError>,
) -> Result<String, ReportError> {
    match format {
        Format::Csv => csv_text::render(&rows(views)),
        Format::Json => document(views),
        Format::Table | Format::Markdown => Ok(people(views.iter().map(blocks), format, paper)),
    }
}

/// The manual of each job, carried over to the bench meters.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn translate_report(
    jobs: &[TranslateView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    let how = (format, paper);
    report(
        jobs,
        how,
        translate_table::blocks,
        translate_rows::csv,
        json::translate,
    )
}

/// What the value of one point of each job rests on, input by input.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn explain_report(
    jobs: &[ExplainView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    report(
        jobs,
        (format, paper),
        explain::blocks,
        explain::csv,
        json::explain,
    )
}

/// The bench readings of each job, compared.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn compare_report(
    jobs: &[CompareView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    report(
        jobs,
        (format, paper),
        compare::blocks,
        compare::csv,
        json::compare,
    )
}

/// What was read of each job, and the manual beside the circuit's own prediction. At a terminal
/// the faults are counted only, for the caller shows them with their places.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn check_report(
    jobs: &[CheckView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    let blocks = |view: &CheckView<'_>| {
        let mut blocks = check_table::blocks(view);
        if format == Format::Markdown {
            blocks.extend(check_table::fault_list(view.diagnostics));
        }
        blocks
    };
    report(jobs, (format, paper), blocks, check_rows::csv, json::check)
}

/// Whether a checked job has something to be looked at: a doubted value, or a manual that
/// disagrees with its drawing as a whole.
pub fn check_flagged(view: &CheckView<'_>) -> bool {
    check_table::flagged(view)
}

/// What may be wrong with each set, or what one suspect predicts.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn suspects_report(
    jobs: &[SuspectsView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    let blocks = |view: &SuspectsView<'_>| match view.explain {
        Some(asked) => suspects::explain_blocks(view, asked),
        None => suspects::blocks(view),
    };
    report(jobs, (format, paper), blocks, suspects::csv, json::suspects)
}

/// The sheet of each job to take to the bench.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn worksheet_report(
    jobs: &[WorksheetView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    let blocks = |view: &WorksheetView<'_>| worksheet::blocks(view, worksheet::Pictures::default());
    report(
        jobs,
        (format, paper),
        blocks,
        worksheet::csv,
        json::worksheet,
    )
}

/// The sheet of one job as a file with pages. The same job gives the same bytes.
///
/// # Errors
/// [`ReportError::Pages`] if the file cannot be made.
pub fn worksheet_page(job: &WorksheetView<'_>, page: Page) -> Result<Vec<u8>, ReportError> {
    let pictures = strip_pictures(&CompareView {
        asked: Asked::default(),
        job: job.job,
        comparison: job.comparison,
        manual: job.manual,
        diagnostics: job.diagnostics,
    });
    let probes = job
        .suspects
        .and_then(|found| probes_picture(job.job, found, &job.comparison.translation));
    let pictures = worksheet::Pictures {
        readings: pictures.into_iter().chain(probes).collect(),
        sockets: sockets::pictures(job),
    };
    page::file(&worksheet::document(job, pictures), page)
}

/// What each pin of a job's sockets should show and what was read there. There is no JSON document of it: that of
/// [`worksheet_report`] holds the same values.
///
/// # Errors
/// [`ReportError`] if the CSV text cannot be made.
pub fn sockets_report(
    job: &WorksheetView<'_>,
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    match format {
        Format::Csv => csv_text::render(&sockets::csv(job)),
        _ => Ok(people([sockets::blocks(job)].into_iter(), format, paper)),
    }
}

/// The same drawn, seen from below, as a file with pages.
///
/// # Errors
/// [`ReportError::Pages`] if the file cannot be made.
pub fn sockets_page(job: &WorksheetView<'_>, page: Page) -> Result<Vec<u8>, ReportError> {
    page::file(&sockets::document(job), page)
}

/// The same as one picture (Scalable Vector Graphics).
#[must_use]
pub fn sockets_picture(job: &WorksheetView<'_>) -> String {
    svg_text(sockets::picture(job))
}

/// The manual's table and socket chart, reissued for the bench meters. There is no JSON document
/// of it: that of [`translate_report`] holds the same values and more, and is given instead by
/// whoever wants one.
///
/// # Errors
/// [`ReportError`] if the CSV text cannot be made.
pub fn chart_report(
    view: &ChartView<'_>,
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    match format {
        Format::Csv => csv_text::render(&chart::csv(view)),
        _ => Ok(people([chart::blocks(view)].into_iter(), format, paper)),
    }
}

/// The same as a file with pages. The same job gives the same bytes.
///
/// # Errors
/// [`ReportError::Pages`] if the file cannot be made.
pub fn chart_page(view: &ChartView<'_>, page: Page) -> Result<Vec<u8>, ReportError> {
    page::file(&chart::document(view), page)
}

/// How many readings of each set pass, a line a set and date. There is no JSON document of it: that
/// of [`compare_report`] holds every reading.
///
/// # Errors
/// [`ReportError`] if the CSV text cannot be made.
pub fn compare_summary(
    jobs: &[CompareView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    match format {
        Format::Csv => csv_text::render(&compare::summary_csv(jobs)),
        _ => Ok(people(
            [compare::summary_blocks(jobs)].into_iter(),
            format,
            paper,
        )),
    }
}

/// The meters that can be named.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn meters_report(
    meters: &[MeterListing<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    let blocks = |all: &&[MeterListing<'_>]| meters_table::blocks(all);
    let rows = |all: &[&[MeterListing<'_>]]| meters_table::csv(all[0]);
    report(&[meters], (format, paper), blocks, rows, |all| {
        json::meters(all[0])
    })
}

/// Everything that is built in, a line each.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn devices_report(
    devices: &[DeviceView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    let blocks = |all: &&[DeviceView<'_>]| devices::list_blocks(all);
    let rows = |all: &[&[DeviceView<'_>]]| devices::list_csv(all[0]);
    report(&[devices], (format, paper), blocks, rows, |all| {
        json::devices(all[0])
    })
}

/// One device with its pins, parameters and sources.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn device_report(
    device: &DeviceView<'_>,
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    let one = std::slice::from_ref(device);
    let rows = |all: &[DeviceView<'_>]| devices::page_csv(&all[0]);
    report(
        one,
        (format, paper),
        devices::page_blocks,
        rows,
        json::devices,
    )
}

pub(crate) fn people(
    jobs: impl Iterator<Item = Vec<Block>>,
    format: Format,
    paper: Paper,
) -> String {
    joined(jobs.map(|blocks| match format {
        Format::Markdown => markdown::render(&blocks),
        _ => terminal::render(&blocks, paper),
    }))
}

/// One job after the other, an empty line between them.
fn joined(texts: impl Iterator<Item = String>) -> String {
    texts.collect::<Vec<_>>().join("\n")
}
