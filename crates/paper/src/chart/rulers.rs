//! Rulers one below the other, each with named stops and a tinted range.
//!
//! What it owns: the layout, and the levels on which names stand so that none covers another. What comes in:
//! numbers and words. What goes out: a picture. Not known here: what a stop stands for.

use super::axis::Ruler;
use super::rows::{name_lines, scale, set, widest};
use super::spread::{levels, Segment};
use super::{Axis, LEAD, TYPE};
use crate::font::{text_width, Weight};
use crate::picture::{Fill, Ink, Label, Pen, Picture, TextAnchor};

/// Half of the length of a stop's stroke.
const STOP: f64 = 9.0;
/// Half of the height of the tinted range.
const RANGE: f64 = 7.0;
/// Share of the width that the names of the rulers get at most.
const NAMES: f64 = 0.26;
/// White between two names on one level.
const GAP: f64 = 8.0;

/// White below a ruler.
const BETWEEN: f64 = 8.0;

/// A marked value.
#[derive(Debug, Clone, PartialEq)]
pub struct RulerStop {
    /// Where.
    pub value: f64,
    /// The value in words, below the ruler.
    pub words: String,
    /// Names, above the ruler, one a line.
    pub names: Vec<String>,
}

/// One ruler.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RulerRow {
    /// Its name, bold; wrapped if long.
    pub label: String,
    /// What stands below the name.
    pub below: String,
    /// Both ends.
    pub scale: (f64, f64),
    /// Words for both ends.
    pub ends: [String; 2],
    /// The tinted range.
    pub range: Option<(f64, f64)>,
    /// The stops.
    pub stops: Vec<RulerStop>,
}

/// Rulers one below the other.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RulerChart {
    /// What the picture shows; set above it.
    pub title: String,
    /// What its signs mean; set below the title.
    pub subtitle: String,
    /// What the picture shows, for whoever cannot see it.
    pub description: String,
    /// Width of the whole picture in points.
    pub width: f64,
    /// The rulers, top to bottom.
    pub rows: Vec<RulerRow>,
}

impl RulerChart {
    /// The chart as a picture; its height follows from the names.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let mut picture =
            Picture::new(self.width, 0.0, self.title.clone()).described(self.description.clone());
        let columns = self.columns();
        let mut y = 0.0;
        for row in &self.rows {
            y += ruler(&mut picture, row, columns, y) + BETWEEN;
        }
        picture.height = y;
        picture.headed(&self.subtitle)
    }

    /// The same as a picture for each ruler, the title on the first, so that a page may end between two.
    #[must_use]
    pub fn pictures(&self) -> Vec<Picture> {
        let columns = self.columns();
        let rows = self.rows.iter().enumerate();
        rows.map(|(n, row)| {
            let title = if n == 0 { &self.title } else { &row.label };
            let mut picture = Picture::new(self.width, 0.0, title.clone());
            picture.height = ruler(&mut picture, row, columns, 0.0) + BETWEEN;
            match n {
                0 => picture.headed(&self.subtitle),
                _ => picture,
            }
        })
        .collect()
    }

    /// Width of the names, and where the rulers begin and end.
    fn columns(&self) -> (f64, (f64, f64)) {
        let rows = || self.rows.iter();
        let label = widest(rows().map(|row| &row.label), Weight::Bold)
            .max(widest(rows().map(|row| &row.below), Weight::Regular));
        let label = (label + 0.01).min(NAMES * self.width);
        let end = |n: usize| widest(rows().map(|row| &row.ends[n]), Weight::Regular) + 5.0;
        let from = label + 14.0 + end(0);
        (label, (from, (self.width - end(1)).max(from + 20.0)))
    }
}

/// Draws a ruler whose highest word stands below `top`; its height.
fn ruler(picture: &mut Picture, row: &RulerRow, (label, span): (f64, (f64, f64)), top: f64) -> f64 {
    let (from, to) = span;
    let axis = Axis::unlabelled(row.scale);
    let along = Ruler::new(&axis, from, to);
    let stops: Vec<(&RulerStop, f64)> = row
        .stops
        .iter()
        .filter_map(|stop| Some((stop, along.held(stop.value)?)))
        .collect();
    let room = (label + 12.0, picture.width);
    let names = blocks(&stops, room, &|stop| {
        (widest(&stop.names, Weight::Regular), stop.names.len())
    });
    let values = blocks(&stops, room, &|stop| {
        (text_width(&stop.words, TYPE, Weight::Bold), 1)
    });
    let named = depth(&names);
    let labels = name_lines(&row.label, Some(&row.below), label);
    let half = labels.len() as f64 * LEAD / 2.0;
    let y = top + (named + STOP + 4.0).max(half);
    set(picture, &labels, 0.0, y);
    let range = row.range.map(|(a, b)| [a.min(b), a.max(b)]);
    if let Some([Some(left), Some(right)]) = range.map(|ends| ends.map(|end| along.held(end))) {
        picture.rectangle(
            (left, y - RANGE),
            (right - left, 2.0 * RANGE),
            Fill::Flat(Ink::Light),
            Some(Pen::new(Ink::Dark, 0.6)),
        );
    }
    scale(picture, (from, to), &row.ends, y, 0.9);
    let below = STOP + TYPE + 2.0;
    for ((_, x), (name, value)) in stops.iter().zip(names.iter().zip(&values)) {
        // A fine line leads to words that were moved away.
        let ends = (y - STOP - name.lift, y + STOP + value.lift);
        picture.line((*x, ends.0), (*x, ends.1), Pen::new(Ink::Mid, 0.8));
        picture.line((*x, y - STOP), (*x, y + STOP), Pen::new(Ink::Black, 2.2));
    }
    for ((stop, _), (name, value)) in stops.iter().zip(names.iter().zip(&values)) {
        let foot = y - STOP - 3.0 - name.lift;
        for (n, words) in stop.names.iter().rev().enumerate() {
            let at = (name.centre, foot - n as f64 * LEAD);
            on_paper(picture, Label::new(at, words.clone(), TYPE));
        }
        let at = (value.centre, y + below + value.lift);
        on_paper(picture, Label::new(at, stop.words.clone(), TYPE).bold());
    }
    y - top + (below + depth(&values) - LEAD + 6.0).max(half)
}

/// Words about their point, with the paper behind them, so that no line crosses them.
fn on_paper(picture: &mut Picture, label: Label) {
    let label = label.anchored(TextAnchor::Middle);
    let start = label.start();
    picture.rectangle(
        (start.x - 1.0, start.y - 0.8 * TYPE),
        (label.width() + 2.0, 1.02 * TYPE),
        Fill::Flat(Ink::Paper),
        None,
    );
    picture.add(label);
}

/// Where the words of a stop stand.
struct Block {
    centre: f64,
    /// Points away from the ruler.
    lift: f64,
    /// Height.
    tall: f64,
}

/// Words for every stop, on levels away from the ruler so that none covers another.
fn blocks(
    stops: &[(&RulerStop, f64)],
    room: (f64, f64),
    measure: &dyn Fn(&RulerStop) -> (f64, usize),
) -> Vec<Block> {
    let measured: Vec<(f64, usize)> = stops.iter().map(|(stop, _)| measure(stop)).collect();
    let spans: Vec<Segment> = stops
        .iter()
        .zip(&measured)
        .map(|((_, x), (width, _))| {
            let half = width / 2.0;
            let (least, most) = (room.0 + half, room.1 - half);
            Segment {
                centre: if least < most {
                    x.clamp(least, most)
                } else {
                    least
                },
                length: *width,
            }
        })
        .collect();
    let chosen = levels(&spans, GAP);
    let tall = |level: usize| {
        let lines = chosen
            .iter()
            .zip(&measured)
            .filter(|(own, _)| **own == level);
        lines.map(|(_, (_, lines))| *lines).max().unwrap_or(0) as f64 * LEAD
    };
    spans
        .iter()
        .zip(&chosen)
        .zip(&measured)
        .map(|((span, level), (_, lines))| Block {
            centre: span.centre,
            lift: (0..*level).map(tall).sum(),
            tall: *lines as f64 * LEAD,
        })
        .collect()
}

fn depth(blocks: &[Block]) -> f64 {
    blocks
        .iter()
        .map(|block| block.lift + block.tall)
        .fold(0.0, f64::max)
}

#[cfg(test)]
#[path = "rulers_tests.rs"]
mod tests;
