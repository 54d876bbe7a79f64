//! Results into finished text: terminal, Markdown, CSV and JSON.
//!
//! A [`circuit::Job`] and what `translate` made of it come in, as a view for each report; one text
//! goes out. Every figure is rounded in one place for all renderers. This
//! crate computes no voltage, prints nothing and opens no file.

mod check_table;
mod clean;
mod compare_notes;
mod compare_rows;
mod compare_table;
mod csv_text;
mod devices;
mod document;
mod explain;
mod figures;
mod heading;
mod inputs;
mod json;
mod manual;
mod markdown;
mod meters_table;
mod places;
mod remarks;
mod reports;
mod table;
mod terminal;
mod tone;
mod translate_rows;
mod translate_table;
mod trials_table;
mod views;
mod worksheet;
mod wrap;

pub use devices::{DeviceView, PointFigure, PointQuantity, TubeView};
pub use reports::{
    check_flagged, check_report, compare_report, device_report, devices_report, explain_report,
    meters_report, translate_report, worksheet_report, ReportError,
};
pub use views::{
    CheckView, CompareView, DiagnosticRecord, ExplainView, Format, ManualView, MeterListing,
    MeterOrigin, Otherwise, Paper, TranslateView, TrialsView, WorksheetView,
};
