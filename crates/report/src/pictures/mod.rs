//! Pictures of what was worked out: a reading over the meter, all points of a set, suspects.
//!
//! What it owns: which shapes, words and axes say what. What comes in: the views of the reports. What goes
//! out: a [`paper::Picture`] for a file or a page. Not known here: files, pages, and how any value
//! came about. Shapes, dashes and words carry every meaning, never ink alone.

mod axes;
mod curve;
mod odds;
mod probes;
mod reconciled;
mod residuals;
mod scale;
mod strip;

pub(crate) use axes::{ohms_tick, volts_ticks};
pub use curve::curve_picture;
pub use odds::odds_picture;
pub(crate) use probes::{probes_picture, probes_pictures};
pub(crate) use reconciled::reconciled_picture;
use residuals::explained;
pub use residuals::residuals_picture;
pub use strip::strip_picture;
pub(crate) use strip::strip_pictures;

use paper::Picture;
use translate::Translation;

use crate::views::SuspectsView;

/// A picture as the text of a file; an empty picture where there is nothing to show.
pub(crate) fn svg_text(picture: Option<Picture>) -> String {
    let mut text = paper::svg(&picture.unwrap_or_default());
    text.push('\n');
    text
}

/// The suspects of a job: how likely each is and where to probe next, or how far the readings lie from what
/// one of them predicts.
pub(crate) fn suspects_picture(
    view: &SuspectsView<'_>,
    translation: &Translation,
) -> Option<Picture> {
    if view.explain.is_some() {
        return explained(view).and_then(|rank| residuals_picture(view, rank));
    }
    let odds = odds_picture(view)?;
    Some(match probes_picture(view.job, view.suspects, translation) {
        Some(probes) => odds.above(&probes, APART),
        None => odds,
    })
}

/// White between two pictures in one file, in points.
const APART: f64 = 24.0;

/// Units and signs that a number is not parted from.
const UNITS: [&str; 16] = [
    "V", "Ω", "kΩ", "MΩ", "GΩ", "A", "mA", "µA", "F", "µF", "nF", "pF", "H", "%", "…", "×",
];

/// The words with numbers and their units held together.
fn unbroken(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for word in words.split(' ') {
        let bare = word.trim_end_matches([',', '.', ';', ':', ')']);
        let number = out.ends_with(|c: char| c.is_ascii_digit()) && UNITS.contains(&bare);
        let after_sign = out.ends_with(['…', '×', '±']);
        if !out.is_empty() {
            out.push(if number || after_sign { '\u{a0}' } else { ' ' });
        }
        out.push_str(word);
    }
    out
}

/// Width of a picture in points: it fits between the margins of a page.
const WIDTH: f64 = 500.0;

/// Width of a picture of rows with scales of their own, in points.
const WIDE: f64 = 620.0;
