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
mod tests {
    use super::*;
    use crate::chart::apart::assert_apart;
    use crate::picture::Shape;

    #[test]
    fn a_picture_for_each_ruler_has_the_strokes_of_the_whole_and_the_title_once() {
        let row = |label: &str, value: f64| RulerRow {
            label: label.to_owned(),
            scale: (0.0, 10.0),
            ends: ["0".to_owned(), "10 V".to_owned()],
            stops: vec![RulerStop {
                value,
                words: format!("{value} V"),
                names: vec!["R1 open".to_owned()],
            }],
            ..RulerRow::default()
        };
        let chart = RulerChart {
            title: "Next".to_owned(),
            width: 500.0,
            rows: vec![row("a long name of a place", 2.0), row("b", 7.0)],
            ..RulerChart::default()
        };
        let across = |picture: &Picture| -> Vec<(f64, f64)> {
            let ends = |shape: &Shape| match shape {
                Shape::Line { from, to, .. } => Some((from.x, to.x)),
                _ => None,
            };
            picture.shapes.iter().filter_map(ends).collect()
        };
        let (whole, each) = (chart.picture(), chart.pictures());
        assert_eq!(each.len(), 2);
        let apart: Vec<(f64, f64)> = each.iter().flat_map(across).collect();
        assert_eq!(apart, across(&whole));
        let heights: f64 = each.iter().map(|picture| picture.height).sum();
        // Float sums of a few heights.
        assert!((heights - whole.height).abs() <= 1e-9);
        let said = |picture: &Picture, words: &str| {
            let labels = picture.shapes.iter().filter_map(Shape::label);
            labels.filter(|label| label.text == words).count()
        };
        assert_eq!((said(&each[0], "Next"), said(&each[1], "Next")), (1, 0));
    }

    fn stop(value: f64, names: &[&str]) -> RulerStop {
        RulerStop {
            value,
            words: format!("{value} V"),
            names: names.iter().map(|name| (*name).to_owned()).collect(),
        }
    }

    #[test]
    fn names_of_close_stops_stand_on_levels_and_inside() {
        let values = [-46.0, -40.0, -39.5, -39.0, 0.0, 0.2, 4.9];
        let names = ["R13 track open", "R13 wiper open, C6 leaky", "PS2 dead"];
        let row = RulerRow {
            label: "1. TP4, the wiper of the bias control".into(),
            below: "point 13".into(),
            scale: (-50.0, 5.0),
            ends: ["−50".into(), "5 V".into()],
            range: Some((-42.0, -36.0)),
            stops: values.iter().map(|v| stop(*v, &names)).collect(),
        };
        let chart = RulerChart {
            title: "Where to probe next".into(),
            subtitle: "grey: set in order".into(),
            width: 500.0,
            rows: vec![row.clone(), row],
            ..RulerChart::default()
        };
        assert_apart(&chart.picture(), "rulers");
    }
}
