//! Why a report could not be made.

use thiserror::Error;

use crate::format::Format;

/// Why a text could not be made.
#[derive(Debug, Error)]
pub enum ReportError {
    /// The report does not have this format: the report, the format, and what to ask for instead. It
    /// is the only error that another request avoids.
    #[error("{what} is not written as {}", .format.name())]
    NoSuchFormat {
        /// The report in words, such as `a summary`.
        what: &'static str,
        /// What was asked for.
        format: Format,
        /// What holds the same, or what to leave away.
        help: &'static str,
    },
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

impl ReportError {
    /// What to do about it; none where only another disk or machine would help.
    #[must_use]
    pub fn help(&self) -> Option<&'static str> {
        match self {
            ReportError::NoSuchFormat { help, .. } => Some(help),
            ReportError::Pages(paper::PaperError::NotBuilt) => Some(
                "write it with `--format html` and print it from the browser, or run fairvolt built with its \
                 default features, without `--no-default-features`",
            ),
            _ => None,
        }
    }
}
