//! The curve in the format asked for.

use crate::csv_text;
use crate::json;
use crate::pictures::{curve_picture, svg_text};
use crate::reports::ReportError;
use crate::terminal;
use crate::views::{CurveView, Paper};

use super::{page, rows, table};

/// How a curve is wanted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CurveFormat {
    /// A table and a plot of letters.
    #[default]
    Table,
    /// A picture (Scalable Vector Graphics).
    Svg,
    /// A page for a browser: picture and table.
    Html,
    /// Rows for a spreadsheet.
    Csv,
    /// A document for programs.
    Json,
}

/// One point's reading over the resistance of the meter. The picture is an empty one where nothing could be
/// computed.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn curve_report(
    view: &CurveView<'_>,
    format: CurveFormat,
    paper: Paper,
) -> Result<String, ReportError> {
    match format {
        CurveFormat::Table => Ok(terminal::render(&table::blocks(view), paper)),
        CurveFormat::Svg => Ok(svg_text(curve_picture(view))),
        CurveFormat::Html => Ok(paper::html(&page::document(view))),
        CurveFormat::Csv => csv_text::render(&rows::csv(view)),
        CurveFormat::Json => json::curve(view),
    }
}
