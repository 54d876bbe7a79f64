//! A chart of horizontal bars on one scale, each with its label and its value in words.
//!
//! What it owns: the layout of the bars. What comes in: numbers, an axis and words. What goes out: a picture. Not
//! known here: units and number formats.

use super::axis::{foot, Axis, Ruler, FOOT};
use super::rows::{set_plain, widest};
use super::{DROP, LEAD, TYPE};
use crate::font::{text_width, Weight};
use crate::picture::{Fill, Ink, Label, Pen, Picture, TextAnchor};
use crate::wrap::wrap;

/// One bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Bar {
    /// Words at the left; wrapped if long.
    pub label: String,
    /// Its length; negative values run to the left of the zero line, others that are not finite have no bar.
    pub value: f64,
    /// The value in words, at the end of the bar.
    pub words: String,
    /// The filling: hatching tells a kind of bar apart without colour.
    pub fill: Fill,
}

/// Height of a bar.
const BAR: f64 = 11.0;

/// A chart of horizontal bars.
#[derive(Debug, Clone)]
pub struct BarChart<'a> {
    /// What the picture shows; set above it.
    pub title: String,
    /// What its signs mean; set below the title.
    pub subtitle: String,
    /// What the picture shows, for whoever cannot see it.
    pub description: String,
    /// Width of the whole picture in points.
    pub width: f64,
    /// The scale along the foot, the same for all bars; they begin at its zero, or at the end next to it.
    pub axis: Axis<'a>,
    /// The bars, top to bottom.
    pub bars: Vec<Bar>,
}

impl BarChart<'_> {
    /// The chart as a picture; its height follows from the bars.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let mut picture =
            Picture::new(self.width, 0.0, self.title.clone()).described(self.description.clone());
        let widest =
            |words: fn(&Bar) -> &String| widest(self.bars.iter().map(words), Weight::Regular);
        // Slightly more than the widest, so that rounding never wraps it.
        let label_width = (widest(|bar| &bar.label) + 0.01).min(self.width * 0.45);
        let words_width = widest(|bar| &bar.words).min(self.width * 0.3);
        let before = match self.axis.low < 0.0 {
            true => words_width + 5.0,
            false => 0.0,
        };
        let left = label_width + 10.0 + before;
        // The last tick's words stand half beyond the end.
        let last = text_width(&(self.axis.label)(self.axis.high), TYPE, Weight::Regular) / 2.0;
        let right = (self.width - (words_width + 5.0).max(last)).max(left + 1.0);
        let ruler = Ruler::new(&self.axis, left, right);
        let zero = ruler.held(0.0).unwrap_or(left);
        let mut y = 0.0;
        for bar in &self.bars {
            let labels = wrap(&bar.label.as_str().into(), TYPE, label_width.max(1.0));
            let height = labels.len() as f64 * LEAD + 6.0;
            let middle = y + height / 2.0;
            set_plain(
                &mut picture,
                &labels,
                (label_width, TextAnchor::End),
                middle,
            );
            let end = match bar.value.is_finite() {
                true => ruler.held(bar.value).unwrap_or(zero),
                false => zero,
            };
            let width = (end - zero).abs();
            if width > 0.0 {
                picture.rectangle(
                    (zero.min(end), middle - BAR / 2.0),
                    (width, BAR),
                    bar.fill,
                    Some(Pen::new(Ink::Dark, 0.6)),
                );
            }
            let (at, anchor) = match end < zero {
                true => (end - 5.0, TextAnchor::End),
                false => (end + 5.0, TextAnchor::Start),
            };
            picture.add(Label::new((at, middle + DROP), bar.words.clone(), TYPE).anchored(anchor));
            y += height;
        }
        picture.line((zero, 0.0), (zero, y), Pen::new(Ink::Dark, 0.8));
        foot(&mut picture, &self.axis, ruler, y + 2.0);
        picture.height = y + 2.0 + FOOT;
        picture.headed(&self.subtitle)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::Scale;
    use crate::picture::Shape;

    fn chart(values: &[f64]) -> Picture {
        let bar = |value: &f64| Bar {
            label: "battery of the upper hut".into(),
            value: *value,
            words: format!("{value} mA"),
            fill: Fill::Flat(Ink::Light),
        };
        let plain = |value: f64| format!("{value}");
        let all = || values.iter().copied().filter(|value| value.is_finite());
        BarChart {
            title: "Load".into(),
            subtitle: String::new(),
            description: String::new(),
            width: 300.0,
            axis: Axis::new(
                "load, mA",
                Scale::Linear,
                (all().fold(0.0, f64::min), all().fold(0.0, f64::max)),
                &plain,
            ),
            bars: values.iter().map(bar).collect(),
        }
        .picture()
    }

    fn lengths(picture: &Picture) -> Vec<f64> {
        let width = |s: &Shape| {
            if let Shape::Rectangle { width, .. } = s {
                Some(*width)
            } else {
                None
            }
        };
        picture.shapes.iter().filter_map(width).collect()
    }

    #[test]
    fn lengths_are_in_proportion() {
        let got = lengths(&chart(&[10.0, 5.0, -2.5]));
        assert_eq!(got.len(), 3);
        // A few float operations on lengths below 300 points.
        assert!(
            (got[0] - 2.0 * got[1]).abs() <= 1e-9 && (got[0] - 4.0 * got[2]).abs() <= 1e-9,
            "{got:?}"
        );
    }

    #[test]
    fn words_stay_inside_whatever_the_numbers() {
        for values in [
            &[1.0, 2.0, 3.0][..],
            &[-5.0, -1.0],
            &[0.0],
            &[f64::NAN, 1.0],
            &[-1e308, 1e308],
            &[],
        ] {
            let picture = chart(values);
            for shape in &picture.shapes {
                if let Shape::Text(label) = shape.clone() {
                    let from = label.start().x;
                    // A word may be wider than its share only where numbers are absurdly long.
                    assert!(from.is_finite(), "{label:?}");
                    if label.text.len() < 20 {
                        assert!(
                            from >= -1e-6 && from + label.width() <= 300.0 + 1e-6,
                            "{label:?}"
                        );
                    }
                }
            }
        }
    }
}
