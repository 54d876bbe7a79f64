//! The document of a sheet: the sheet's own model, rounded as on paper.

use super::kind::Kind;
use super::of_jobs;
use crate::error::ReportError;
use crate::views::WorksheetView;
use crate::worksheet::model;

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/worksheet/5",
    commands: "fairvolt worksheet",
    about: "The sheet to take to the bench, rounded as on paper.",
};

/// The documents of some jobs.
pub(crate) fn worksheet(views: &[WorksheetView<'_>]) -> Result<String, ReportError> {
    of_jobs(
        &KIND,
        views,
        |view| (Some(view.job), view.diagnostics),
        model,
    )
}
