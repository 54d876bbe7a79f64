//! Turns results into finished text: terminal, Markdown, CSV and JSON.
//!
//! A [`circuit::Job`] and what `translate` made of it come in, as a view for each report; one text
//! goes out. Every figure is rounded in one place for all renderers. This
//! crate computes no voltage, prints nothing and opens no file.

mod alike;
mod check_rows;
mod check_table;
mod clean;
mod columns;
mod compare;
mod csv_text;
mod curve;
mod devices;
mod document;
mod error;
mod explain;
mod figures;
mod format;
mod heading;
mod imitate;
mod inputs;
mod json;
mod labels;
mod live_chassis;
mod low_volts;
mod manual;
mod markdown;
mod meters_table;
mod missing;
mod page;
mod page_table;
mod pictures;
mod places;
mod power_off;
mod quantity;
mod ratings;
mod readings;
mod reissued_manual;
mod remarks;
mod reports;
mod setting_cell;
mod sockets;
mod suspects;
mod switches;
mod table;
mod terminal;
mod tone;
mod translate_rows;
mod translate_table;
mod trials_table;
mod unload;
mod views;
mod worksheet;
mod wrap;

pub use clean::is_unprintable;
pub use devices::{DeviceView, PointFigure, PointQuantity, TubeView};
pub use error::ReportError;
pub use format::{Format, PaperSize, Terminal};
pub use imitate::ImitateView;
#[cfg(feature = "schema")]
pub use json::{document_schemas, json_page, DocumentSchema};
pub use pictures::{curve_picture, odds_picture, residuals_picture, strip_picture};
pub use remarks::{hint, reason_words};
pub use reports::{check_flagged, Rendered, Report};
pub use unload::UnloadView;
pub use views::{
    Asked, ChartView, CheckView, CompareView, CurveView, DiagnosticRecord, ExplainView, Explained,
    ManualView, MeterListing, MeterOrigin, Otherwise, SuspectsView, TranslateView, TrialsView,
    WorksheetView,
};

pub use wrap::{hanging_message, message_lines};
