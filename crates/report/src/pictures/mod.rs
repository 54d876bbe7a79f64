//! Pictures of what was worked out: a reading over the meter, all points of a set, suspects.
//!
//! What it owns: which shapes, words and axes say what. What comes in: the views of the reports. What goes
//! out: a [`paper::Picture`] for a file or a page. What it refuses to know: files, pages, and how any value
//! came about. Shapes, dashes and words carry every meaning, never ink alone.

mod axes;
mod curve;
mod odds;
mod residuals;
mod strip;

pub(crate) use axes::{ohms_tick, volts_ticks};
pub use curve::curve_picture;
pub use odds::odds_picture;
use residuals::explained;
pub use residuals::residuals_picture;
pub use strip::strip_picture;
pub(crate) use strip::strip_pictures;

use paper::Picture;

use crate::views::{CompareView, SuspectsView};

/// A picture as the text of a file; an empty picture where there is nothing to show.
pub(crate) fn svg_text(picture: Option<Picture>) -> String {
    let mut text = paper::svg(&picture.unwrap_or_default());
    text.push('\n');
    text
}

/// The readings of a job against the manual as a picture (Scalable Vector Graphics).
#[must_use]
pub fn compare_picture(view: &CompareView<'_>) -> String {
    svg_text(strip_picture(view))
}

/// The suspects of a job as a picture (Scalable Vector Graphics): how likely each is, or how far the readings lie
/// from what one of them predicts.
#[must_use]
pub fn suspects_picture(view: &SuspectsView<'_>) -> String {
    match view.explain {
        Some(_) => svg_text(explained(view).and_then(|rank| residuals_picture(view, rank))),
        None => svg_text(odds_picture(view)),
    }
}

/// Width of a picture in points: it fits between the margins of a page.
const WIDTH: f64 = 500.0;
