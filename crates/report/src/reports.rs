//! One function a report: the views of its jobs in, the finished text out.

use thiserror::Error;

use crate::devices::{self, DeviceView};
use crate::document::Block;
use crate::pictures::strip_pictures;
use crate::views::{
    ChartView, CheckView, CompareView, ExplainView, Format, MeterListing, Page, Paper,
    SuspectsView, TranslateView, WorksheetView,
};
use crate::{
    chart, check_table, compare_rows, compare_table, csv_text, explain, json, markdown,
    meters_table, page, summary, suspects, terminal, translate_rows, translate_table, worksheet,
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

/// The manual of each job, carried over to the bench meters.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn translate_report(
    jobs: &[TranslateView<'_>],
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    match format {
        Format::Csv => csv_text::render(&translate_rows::csv(jobs)),
        Format::Json => json::translate(jobs),
        _ => Ok(people(
            jobs.iter().map(translate_table::blocks),
            format,
            paper,
        )),
    }
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
    match format {
        Format::Csv => csv_text::render(&explain::csv(jobs)),
        Format::Json => json::explain(jobs),
        _ => Ok(people(jobs.iter().map(explain::blocks), format, paper)),
    }
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
    match format {
        Format::Csv => csv_text::render(&compare_rows::csv(jobs)),
        Format::Json => json::compare(jobs),
        _ => Ok(people(
            jobs.iter().map(compare_table::blocks),
            format,
            paper,
        )),
    }
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
    match format {
        Format::Csv => csv_text::render(&check_table::csv(jobs)),
        Format::Json => json::check(jobs),
        _ => {
            let blocks = jobs.iter().map(|view| {
                let mut blocks = check_table::blocks(view);
                if format == Format::Markdown {
                    blocks.extend(check_table::fault_list(view.diagnostics));
                }
                blocks
            });
            Ok(people(blocks, format, paper))
        }
    }
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
    match format {
        Format::Csv => csv_text::render(&suspects::csv(jobs)),
        Format::Json => json::suspects(jobs),
        _ => {
            let blocks = jobs.iter().map(|view| match view.explain {
                Some(asked) => suspects::explain_blocks(view, asked),
                None => suspects::blocks(view),
            });
            Ok(people(blocks, format, paper))
        }
    }
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
    let sheets = || jobs.iter().map(worksheet::model);
    match format {
        Format::Csv => csv_text::render(&worksheet::csv(jobs)),
        Format::Json => json::worksheet(jobs),
        Format::Table => Ok(joined(sheets().map(|sheet| worksheet::text(&sheet, paper)))),
        Format::Markdown => Ok(joined(sheets().map(|sheet| worksheet::markdown(&sheet)))),
    }
}

/// The sheet of one job as a file with pages. The same job gives the same bytes.
///
/// # Errors
/// [`ReportError::Pages`] if the file cannot be made.
pub fn worksheet_page(job: &WorksheetView<'_>, page: Page) -> Result<Vec<u8>, ReportError> {
    let pictures = strip_pictures(&CompareView {
        job: job.job,
        comparison: job.comparison,
        manual: job.manual,
        diagnostics: job.diagnostics,
    });
    let document = worksheet::document(&worksheet::model(job), pictures);
    page::file(&document, page)
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
        Format::Csv => csv_text::render(&summary::csv(jobs)),
        _ => Ok(people([summary::blocks(jobs)].into_iter(), format, paper)),
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
    match format {
        Format::Csv => csv_text::render(&meters_table::csv(meters)),
        Format::Json => json::meters(meters),
        _ => Ok(people(
            [meters_table::blocks(meters)].into_iter(),
            format,
            paper,
        )),
    }
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
    match format {
        Format::Csv => csv_text::render(&devices::list_csv(devices)),
        Format::Json => json::devices(devices),
        _ => Ok(people(
            [devices::list_blocks(devices)].into_iter(),
            format,
            paper,
        )),
    }
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
    match format {
        Format::Csv => csv_text::render(&devices::page_csv(device)),
        Format::Json => json::devices(std::slice::from_ref(device)),
        _ => Ok(people(
            [devices::page_blocks(device)].into_iter(),
            format,
            paper,
        )),
    }
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
