//! The document of a sheet: the sheet's own model, rounded as on paper.

use super::{text, Document, JobName};
use crate::reports::ReportError;
use crate::views::WorksheetView;
use crate::worksheet::{model, Worksheet};

/// The documents of some jobs.
pub(crate) fn worksheet(views: &[WorksheetView<'_>]) -> Result<String, ReportError> {
    let documents: Vec<Document<'_, Worksheet>> = views
        .iter()
        .map(|view| Document {
            schema: "fairvolt/worksheet/4",
            job: Some(JobName::of(view.job)),
            diagnostics: view.diagnostics,
            body: model(view),
        })
        .collect();
    text(&documents)
}
