//! A chart of rows: a label, an interval, a mark, and the limits it should keep.
//!
//! What it owns: the layout of the rows. What comes in: numbers on one axis and words. What goes out: a
//! picture. Not known here: what an interval or a limit means.

use super::axis::{foot, Axis, Ruler, FOOT};
use super::key::{draw, interval, limit, Key};
use super::rows::{set_plain, widest};
use super::{LEAD, TYPE};
use crate::font::Weight;
use crate::picture::{Dash, Ink, MarkerKind, Pen, Picture, Shape, TextAnchor};
use crate::text::Text;
use crate::wrap::wrap;

/// One row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct IntervalRow {
    /// Words at the left; wrapped if long.
    pub label: String,
    /// Both ends of the bar.
    pub interval: Option<(f64, f64)>,
    /// The mark and its shape.
    pub mark: Option<(f64, MarkerKind)>,
    /// The limits.
    pub limits: Option<(f64, f64)>,
    /// A few words at the right, such as the value in figures.
    pub note: String,
}

/// A chart of rows on one horizontal axis.
#[derive(Debug, Clone)]
pub struct IntervalChart<'a> {
    /// Accessible title.
    pub title: String,
    /// Accessible description.
    pub description: String,
    /// Width of the whole picture in points.
    pub width: f64,
    /// The axis along the foot.
    pub axis: Axis<'a>,
    /// A value with a line through all rows, such as zero.
    pub reference: Option<f64>,
    /// The rows, top to bottom.
    pub rows: Vec<IntervalRow>,
    /// What the signs mean.
    pub keys: Vec<Key>,
}

impl IntervalChart<'_> {
    /// The chart as a picture; its height follows from the rows. What lies beyond the axis is drawn at its
    /// edge with an arrow head.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let mut picture =
            Picture::new(self.width, 0.0, self.title.clone()).described(self.description.clone());
        let rows = || self.rows.iter();
        let label_width =
            widest(rows().map(|row| &row.label), Weight::Regular).min(self.width * 0.34);
        let note_width = widest(rows().map(|row| &row.note), Weight::Regular).min(self.width * 0.3);
        let note_room = if note_width > 0.0 {
            note_width + 12.0
        } else {
            10.0
        };
        let ruler = Ruler::new(&self.axis, label_width + 14.0, self.width - note_room);
        let mut y = 2.0;
        let mut lines = Vec::new();
        for (n, row) in self.rows.iter().enumerate() {
            let labels = wrap(&row.label.as_str().into(), TYPE, label_width.max(1.0));
            let notes = wrap(&Text::from(row.note.as_str()), TYPE, note_width.max(1.0));
            let height = labels.len().max(notes.len()) as f64 * LEAD + 7.0;
            let middle = y + height / 2.0;
            if n > 0 {
                picture.line((0.0, y), (self.width, y), Pen::hairline());
            }
            for (lines, x) in [(&labels, 0.0), (&notes, self.width - note_width)] {
                set_plain(&mut picture, lines, (x, TextAnchor::Start), middle);
            }
            lines.push((row, middle, height));
            y += height;
        }
        if let Some(x) = self.reference.and_then(|value| ruler.inside(value)) {
            let pen = Pen::new(Ink::Mid, 0.6).dashed(Dash::Dashed);
            picture.line((x, 0.0), (x, y), pen);
        }
        for (row, middle, height) in lines {
            data(&mut picture, row, ruler, (middle, height));
        }
        foot(&mut picture, &self.axis, ruler, y + 2.0);
        y += 2.0 + FOOT;
        if !self.keys.is_empty() {
            y += 4.0 + draw(&mut picture, &self.keys, 0.0, y + 4.0);
        }
        picture.height = y;
        picture.headed("")
    }
}

fn data(picture: &mut Picture, row: &IntervalRow, ruler: Ruler, (y, height): (f64, f64)) {
    let mut beyond = Vec::new();
    if let Some((from, to)) = row.interval {
        let (from, to) = (from.min(to), from.max(to));
        if let (Some(left), Some(right)) = (ruler.held(from), ruler.held(to)) {
            interval(picture, left, right, y);
            beyond.extend([from, to]);
        }
    }
    if let Some((low, high)) = row.limits {
        for value in [low, high].into_iter().filter(|value| ruler.holds(*value)) {
            limit(picture, ruler.at(value), y, height / 2.0 - 1.0);
        }
    }
    if let Some((value, kind)) = row.mark {
        match ruler.holds(value) {
            true => picture.marker((ruler.at(value), y), kind, 6.5),
            false => beyond.push(value),
        }
    }
    // One arrow head at each edge, however much lies beyond it.
    for side in [TextAnchor::Start, TextAnchor::End] {
        arrow(picture, &beyond, ruler, (y, side));
    }
}

/// An arrow head at one edge of the axis, if a value lies beyond that edge.
fn arrow(picture: &mut Picture, values: &[f64], ruler: Ruler, (y, side): (f64, TextAnchor)) {
    let outward = match side {
        TextAnchor::Start => -1.0,
        TextAnchor::Middle | TextAnchor::End => 1.0,
    };
    let out = values.iter().find(|value| {
        !ruler.holds(**value) && (ruler.at(**value) - ruler.middle()) * outward > 0.0
    });
    let Some(edge) = out.and_then(|value| ruler.held(*value)) else {
        return;
    };
    let points = vec![
        (edge, y - 4.0).into(),
        (edge + outward * 6.0, y).into(),
        (edge, y + 4.0).into(),
    ];
    picture.add(Shape::Polygon {
        points,
        ink: Ink::Black,
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::Scale;

    fn percent(value: f64) -> String {
        format!("{value:.0} %")
    }

    fn chart(rows: Vec<IntervalRow>) -> Picture {
        let axis = Axis::new("deviation, %", Scale::Linear, (-20.0, 20.0), &percent);
        let (title, description) = ("Deviations".to_string(), String::new());
        IntervalChart {
            title,
            description,
            width: 400.0,
            axis,
            reference: Some(0.0),
            rows,
            keys: Vec::new(),
        }
        .picture()
    }

    fn row(mark: f64) -> IntervalRow {
        IntervalRow {
            label: "handset".into(),
            interval: Some((mark - 3.0, mark + 3.0)),
            mark: Some((mark, MarkerKind::Square)),
            ..IntervalRow::default()
        }
    }

    fn count(picture: &Picture, wanted: fn(&Shape) -> bool) -> usize {
        picture.shapes.iter().filter(|shape| wanted(shape)).count()
    }

    #[test]
    fn a_mark_beyond_the_axis_becomes_an_arrow_head() {
        let inside = chart(vec![row(5.0)]);
        assert_eq!(count(&inside, |s| matches!(s, Shape::Marker { .. })), 1);
        assert_eq!(count(&inside, |s| matches!(s, Shape::Polygon { .. })), 0);
        let beyond = chart(vec![row(500.0), row(-500.0)]);
        assert_eq!(count(&beyond, |s| matches!(s, Shape::Marker { .. })), 0);
        assert_eq!(count(&beyond, |s| matches!(s, Shape::Polygon { .. })), 2);
    }

    #[test]
    fn everything_stays_inside_the_picture() {
        let long = IntervalRow {
            label: "a very long label ".repeat(9),
            note: "+12.5 % ± 3 %".into(),
            ..row(19.0)
        };
        let picture = chart(vec![row(0.0), long, IntervalRow::default(), row(f64::NAN)]);
        for shape in &picture.shapes {
            if let Shape::Text(label) = shape {
                let from = label.start();
                assert!(
                    from.x >= -1e-6 && from.x + label.width() <= picture.width + 1e-6,
                    "{label:?}"
                );
                assert!(from.y > 0.0 && from.y <= picture.height, "{label:?}");
            }
        }
    }

    #[test]
    fn more_rows_make_a_higher_picture() {
        assert!(chart(vec![row(0.0), row(1.0)]).height > chart(vec![row(0.0)]).height);
        assert!(chart(Vec::new()).height > 0.0);
    }
}
