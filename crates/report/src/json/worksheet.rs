//! The document of a sheet: the sheet's own model, rounded as on paper.

use super::schema::{DocumentSchema, Kind};
use super::{text, Document, JobName};
use crate::reports::ReportError;
use crate::views::WorksheetView;
use crate::worksheet::{model, Worksheet};

/// The kind of document.
const KIND: Kind = Kind {
    schema: "fairvolt/worksheet/4",
    commands: "fairvolt worksheet",
    about: "The sheet to take to the bench, rounded as on paper.",
};

/// What the document holds, field by field.
pub(super) fn schema() -> DocumentSchema {
    DocumentSchema::of::<Worksheet>(KIND)
}

/// The documents of some jobs.
pub(crate) fn worksheet(views: &[WorksheetView<'_>]) -> Result<String, ReportError> {
    let documents: Vec<Document<'_, Worksheet>> = views
        .iter()
        .map(|view| Document {
            schema: KIND.schema,
            job: Some(JobName::of(view.job)),
            diagnostics: view.diagnostics,
            body: model(view),
        })
        .collect();
    text(&documents)
}
