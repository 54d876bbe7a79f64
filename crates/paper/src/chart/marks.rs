//! Marked places on the horizontal axis, with words above the plot or in a strip below it.
//!
//! What it owns: on which level each label stands so that none covers another, and the fine lines to what they
//! name. What comes in: places and words. What goes out: labels and lines in a picture. Not known here: curves.

use super::axis::{Axis, Ruler};
use super::clip::Window;
use super::spread::{levels, Segment};
use super::{LEAD, TYPE};
use crate::font::{text_width, Weight};
use crate::picture::{Dash, Fill, Ink, Label, Pen, Picture, TextAnchor};

/// A marked place on the horizontal axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Where.
    pub x: f64,
    /// Words above or below the plot.
    pub label: String,
}

/// Marked places that are named in a strip between the plot and its axis.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Feet {
    /// Words at the left of the strip: what the marks are.
    pub title: String,
    /// The marked places.
    pub marks: Vec<Mark>,
}

/// Marks that lie on the axis, each with the level of its words.
pub(crate) type Levelled<'a> = Vec<(&'a Mark, usize)>;

/// The marks that lie on the axis, each with the level of its words. The left end of the plot is not known yet at
/// this point; it is taken as 12 % of the width, which is wrong by a few points only, so a generous gap is
/// asked for.
pub(crate) fn levelled<'a>(
    marks: &'a [Mark],
    axis: &Axis<'_>,
    (width, right): (f64, f64),
) -> Levelled<'a> {
    let rough = Ruler::new(axis, (width * 0.12).min(right), right);
    let shown: Vec<&Mark> = marks.iter().filter(|mark| rough.holds(mark.x)).collect();
    let spans: Vec<Segment> = shown
        .iter()
        .map(|mark| {
            let length = text_width(&mark.label, TYPE, Weight::Regular);
            let centre = inside(rough.at(mark.x), length, width);
            Segment { centre, length }
        })
        .collect();
    shown.into_iter().zip(levels(&spans, 8.0)).collect()
}

/// Height in points that so many levels take.
pub(crate) fn height(marks: &Levelled<'_>) -> f64 {
    let count = marks.iter().map(|(_, level)| level + 1).max().unwrap_or(0);
    count as f64 * LEAD
}

/// Near an edge the words move inwards and the line stays.
fn inside(x: f64, length: f64, width: f64) -> f64 {
    let half = length / 2.0;
    x.clamp(half.min(width / 2.0), (width - half).max(width / 2.0))
}

/// Draws marks above the plot: their lines run through it to its foot.
pub(crate) fn above(picture: &mut Picture, marks: &Levelled<'_>, along: Ruler, window: Window) {
    let base = |level: usize| window.top - 5.0 - level as f64 * LEAD;
    draw(picture, marks, along, |level| {
        (base(level), base(level) + 2.0, window.bottom)
    });
}

/// Draws marks in the strip below the plot: their lines run up to the upper end of the plot.
pub(crate) fn below(picture: &mut Picture, marks: &Levelled<'_>, along: Ruler, window: Window) {
    let base = |level: usize| window.bottom + TYPE + 2.0 + level as f64 * LEAD;
    draw(picture, marks, along, |level| {
        (base(level), base(level) - TYPE + 1.0, window.top)
    });
}

/// For each level: the base line of its words, and both ends of the line.
fn draw(
    picture: &mut Picture,
    marks: &Levelled<'_>,
    along: Ruler,
    heights: impl Fn(usize) -> (f64, f64, f64),
) {
    let pen = Pen::new(Ink::Mid, 0.5).dashed(Dash::Dotted);
    for (mark, level) in marks {
        let (_, from, to) = heights(*level);
        picture.line((along.at(mark.x), from), (along.at(mark.x), to), pen);
    }
    // The words come after all lines, with the paper behind them, so that no line crosses them.
    for (mark, level) in marks {
        let (base, _, _) = heights(*level);
        let length = text_width(&mark.label, TYPE, Weight::Regular);
        let at = inside(along.at(mark.x), length, picture.width);
        let width = length + 2.0;
        picture.rectangle(
            (at - width / 2.0, base - TYPE + 1.0),
            (width, TYPE + 1.0),
            Fill::Flat(Ink::Paper),
            None,
        );
        let label = Label::new((at, base), mark.label.clone(), TYPE);
        picture.add(label.anchored(TextAnchor::Middle).inked(Ink::Dark));
    }
}
