//! A chart of readings, each on a scale of its own: what is allowed, what was expected, what was read.
//!
//! What it owns: the layout of the rows. What comes in: numbers in one unit a row, and words. What goes out: a
//! picture. Not known here: the unit, and what a verdict means.

use super::axis::Ruler;
use super::rows::{name_lines, scale, set, widest};
use super::{Axis, LEAD, TYPE};
use crate::font::Weight;
use crate::picture::{Fill, Ink, Label, MarkerKind, Pen, Picture, TextAnchor};
use crate::text::Text;
use crate::wrap::wrap;

/// Half of the height of the box, and of the tick that stands out of it.
const BOX: f64 = 7.5;
const TICK: f64 = 10.5;
/// From the middle of a row up to the foot of the words over the dot.
const OVER: f64 = 13.0;
/// Shares of the width that names, verdicts and words get at most.
const NAMES: f64 = 0.24;
const VERDICTS: f64 = 0.18;
const WORDS: f64 = 0.24;

/// One row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StripRow {
    /// Words at the left, bold; wrapped if long.
    pub label: String,
    /// What stands below those words.
    pub below: String,
    /// Both ends of the scale.
    pub scale: (f64, f64),
    /// Words for both ends.
    pub ends: [String; 2],
    /// What is allowed; an open side runs to the end of the scale and is not closed.
    pub allowed: [Option<f64>; 2],
    /// The tick.
    pub printed: Option<f64>,
    /// What was read.
    pub read: Option<f64>,
    /// How far off that may be, to either side.
    pub within: f64,
    /// What was read, in words over the dot.
    pub read_words: String,
    /// A word or two.
    pub verdict: String,
    /// Whether the verdict stands out.
    pub strong: bool,
    /// Words at the right.
    pub words: String,
    /// Whether it belongs to the row above it: no line parts the two.
    pub joined: bool,
}

/// A chart of such rows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StripChart {
    /// What the picture shows; set above it.
    pub title: String,
    /// What its signs mean; set below the title.
    pub subtitle: String,
    /// What the picture shows, for whoever cannot see it.
    pub description: String,
    /// Width of the whole picture in points.
    pub width: f64,
    /// The rows, top to bottom.
    pub rows: Vec<StripRow>,
}

/// Where the columns stand.
struct Columns {
    label: f64,
    axis: (f64, f64),
    verdict: (f64, f64),
    words: (f64, f64),
}

impl StripChart {
    /// The chart as a picture; its height follows from the rows.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let mut picture =
            Picture::new(self.width, 0.0, self.title.clone()).described(self.description.clone());
        let columns = self.columns();
        let mut y = 0.0;
        for (n, row) in self.rows.iter().enumerate() {
            if n > 0 && !row.joined {
                picture.line((0.0, y), (self.width, y), Pen::hairline());
            }
            y += self.row(&mut picture, row, &columns, y);
        }
        picture.height = y;
        picture.headed(&self.subtitle)
    }

    fn columns(&self) -> Columns {
        // Slightly more than the widest, so that rounding never wraps it.
        let column = |words: fn(&StripRow) -> &String, weight, most: f64| {
            (widest(self.rows.iter().map(words), weight) + 0.01).min(most * self.width)
        };
        let below = column(|row| &row.below, Weight::Regular, NAMES);
        let label = column(|row| &row.label, Weight::Bold, NAMES).max(below);
        let words = column(|row| &row.words, Weight::Regular, WORDS);
        let verdict = column(|row| &row.verdict, Weight::Bold, VERDICTS);
        let ends =
            [0, 1].map(|n| widest(self.rows.iter().map(|row| &row.ends[n]), Weight::Regular));
        let words_at = self.width - words;
        let verdict_at = words_at - verdict - if words > 0.0 { 10.0 } else { 0.0 };
        let from = label + 12.0 + ends[0] + 5.0;
        Columns {
            label,
            axis: (from, (verdict_at - 12.0 - ends[1] - 5.0).max(from + 20.0)),
            verdict: (verdict_at, verdict),
            words: (words_at, words),
        }
    }

    /// Draws a row whose upper edge stands at `top`; its height.
    fn row(&self, picture: &mut Picture, row: &StripRow, columns: &Columns, top: f64) -> f64 {
        let below = Some(row.below.as_str()).filter(|below| !below.is_empty());
        let labels = name_lines(&row.label, below, columns.label);
        let verdict = match row.strong {
            true => Text::default().bold(row.verdict.clone()),
            false => Text::from(row.verdict.as_str()),
        };
        let verdicts = wrap(&verdict, TYPE, columns.verdict.1.max(1.0));
        let words = wrap(&row.words.as_str().into(), TYPE, columns.words.1.max(1.0));
        let most = labels.len().max(verdicts.len()).max(words.len()) as f64;
        let over = match row.read_words.is_empty() {
            true => TICK + 4.0,
            false => OVER + TYPE + 1.0,
        };
        let above = (most * LEAD / 2.0 + 3.0).max(over);
        let below = (most * LEAD / 2.0 + 3.0).max(TICK + 4.0);
        let middle = top + above;
        for (lines, x) in [
            (&labels, 0.0),
            (&verdicts, columns.verdict.0),
            (&words, columns.words.0),
        ] {
            set(picture, lines, x, middle);
        }
        if row.scale.0 < row.scale.1 {
            self.scale(picture, row, columns.axis, middle);
        }
        above + below
    }

    fn scale(&self, picture: &mut Picture, row: &StripRow, (from, to): (f64, f64), y: f64) {
        let axis = Axis::unlabelled(row.scale);
        let ruler = Ruler::new(&axis, from, to);
        scale(picture, (from, to), &row.ends, y, 0.8);
        let [low, high] = row.allowed;
        if low.is_some() || high.is_some() {
            let ends = [
                low.map_or(Some(from), |v| ruler.held(v)),
                high.map_or(Some(to), |v| ruler.held(v)),
            ];
            if let [Some(left), Some(right)] = ends {
                allowed(picture, (left, right), (low.is_some(), high.is_some()), y);
            }
        }
        if let Some(x) = row.printed.and_then(|value| ruler.inside(value)) {
            picture.line((x, y - TICK), (x, y + TICK), Pen::new(Ink::Black, 2.0));
        }
        let Some((value, x)) = row.read.and_then(|v| Some((v, ruler.held(v)?))) else {
            return;
        };
        if row.within.is_finite() && row.within > 0.0 {
            let ends = [value - row.within, value + row.within].map(|v| ruler.held(v));
            if let [Some(left), Some(right)] = ends {
                picture.line((left, y), (right, y), Pen::new(Ink::Black, 2.2));
            }
        }
        picture.marker((x, y), MarkerKind::Circle, 9.0);
        let label = Label::new((0.0, y - OVER), row.read_words.clone(), TYPE).bold();
        let half = label.width() / 2.0;
        // Over the dot, but within the scale and its two end labels.
        let at = x.clamp((from - 10.0 + half).min(x), (to + 10.0 - half).max(x));
        picture.add(Label {
            at: (at, y - OVER).into(),
            anchor: TextAnchor::Middle,
            ..label
        });
    }
}

/// The box of what is allowed; a side that is open has no stroke.
fn allowed(picture: &mut Picture, (left, right): (f64, f64), closed: (bool, bool), y: f64) {
    picture.rectangle(
        (left, y - BOX),
        ((right - left).max(0.0), 2.0 * BOX),
        Fill::Flat(Ink::Tint),
        None,
    );
    let pen = Pen::new(Ink::Dark, 0.9);
    for side in [y - BOX, y + BOX] {
        picture.line((left, side), (right, side), pen);
    }
    for (x, is_closed) in [(left, closed.0), (right, closed.1)] {
        if is_closed {
            picture.line((x, y - BOX), (x, y + BOX), pen);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::apart::assert_apart;
    use crate::picture::Shape;

    fn row(n: usize) -> StripRow {
        let read = 100.0 + n as f64;
        StripRow {
            label: format!("{n} V{n} plate of the line stage"),
            below: if n.is_multiple_of(2) { "S1 closed" } else { "" }.to_owned(),
            scale: (80.0, 190.0),
            ends: ["80".into(), "190 V".into()],
            allowed: [Some(110.0), (!n.is_multiple_of(3)).then_some(150.0)],
            printed: Some(130.0),
            read: Some(read),
            within: 2.0,
            read_words: format!("{read}.25"),
            verdict: "FAIL".into(),
            strong: true,
            words: format!("{n} V below the lower limit"),
            joined: false,
        }
    }

    fn chart(rows: usize) -> Picture {
        StripChart {
            title: "Set 4: what was read against what is allowed".into(),
            subtitle: "box: allowed; tick: printed; dot: read".into(),
            description: String::new(),
            width: 500.0,
            rows: (0..rows).map(row).collect(),
        }
        .picture()
    }

    #[test]
    fn sixty_rows_stay_apart_and_inside() {
        let picture = chart(60);
        let labels: Vec<&Label> = picture.shapes.iter().filter_map(Shape::label).collect();
        assert_apart(&picture, "strips");
        // No text is smaller than what is read at the bench.
        assert!(labels.iter().all(|label| label.size >= 11.0));
    }

    #[test]
    fn an_open_side_has_no_stroke() {
        let upright = |picture: &Picture| {
            let is = |shape: &&Shape| matches!(shape, Shape::Line { from, to, .. } if (from.x - to.x).abs() < 1e-9 && (to.y - from.y - 2.0 * BOX).abs() < 1e-9);
            picture.shapes.iter().filter(is).count()
        };
        assert_eq!(upright(&chart(1)), 1);
        assert_eq!(upright(&chart(2)), 3);
    }

    #[test]
    fn a_row_without_numbers_keeps_its_words() {
        let picture = StripChart {
            width: 400.0,
            rows: vec![StripRow {
                label: "7".into(),
                verdict: "not judged".into(),
                words: "overrange".into(),
                ..StripRow::default()
            }],
            ..StripChart::default()
        }
        .picture();
        let texts: Vec<&str> = picture
            .shapes
            .iter()
            .filter_map(Shape::label)
            .map(|l| l.text.as_str())
            .collect();
        assert_eq!(texts, ["7", "not judged", "overrange"]);
    }
}
