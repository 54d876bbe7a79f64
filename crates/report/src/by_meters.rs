//! Reports that need no job: source resistance from readings, and a meter that loads like another.

use crate::csv_text;
use crate::imitate::{self, ImitateView};
use crate::json;
use crate::reports::{people, ReportError};
use crate::unload::{self, UnloadView};
use crate::views::{Format, Paper};

/// Source resistance and true volts of one point.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn unload_report(
    view: &UnloadView<'_>,
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    match format {
        Format::Csv => csv_text::render(&unload::csv(view)),
        Format::Json => json::unload(view),
        _ => Ok(people([unload::blocks(view)].into_iter(), format, paper)),
    }
}

/// The resistor that makes one meter load like another, range by range.
///
/// # Errors
/// [`ReportError`] if the CSV or JSON text cannot be made.
pub fn imitate_report(
    view: &ImitateView<'_>,
    format: Format,
    paper: Paper,
) -> Result<String, ReportError> {
    match format {
        Format::Csv => csv_text::render(&imitate::csv(view)),
        Format::Json => json::imitate(view),
        _ => Ok(people([imitate::blocks(view)].into_iter(), format, paper)),
    }
}
