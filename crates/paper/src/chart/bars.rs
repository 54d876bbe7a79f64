//! A chart of horizontal bars, each with its label and its value in words.
//!
//! What it owns: the layout of the bars. What comes in: numbers and words. What goes out: a picture. What it
//! refuses to know: units and number formats. There is no axis: each bar says its value itself.

use super::{DROP, LEAD, TYPE};
use crate::font::{text_width, Weight};
use crate::picture::{Anchor, Fill, Ink, Label, Pen, Picture, Shape};
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

/// A chart of horizontal bars.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BarChart {
    /// Accessible title.
    pub title: String,
    /// Accessible description.
    pub description: String,
    /// Width of the whole picture in points.
    pub width: f64,
    /// The bars, top to bottom.
    pub bars: Vec<Bar>,
}

impl BarChart {
    /// The chart as a picture; its height follows from the bars.
    #[must_use]
    pub fn picture(&self) -> Picture {
        let mut picture =
            Picture::new(self.width, 0.0, self.title.clone()).described(self.description.clone());
        let widest = |words: &dyn Fn(&Bar) -> &str| {
            self.bars
                .iter()
                .map(|bar| text_width(words(bar), TYPE, Weight::Regular))
                .fold(0.0, f64::max)
        };
        let label_width = widest(&|bar| &bar.label).min(self.width * 0.38);
        let words_width = widest(&|bar| &bar.words).min(self.width * 0.3);
        let values = || {
            self.bars
                .iter()
                .map(|bar| bar.value)
                .filter(|value| value.is_finite())
        };
        // Scaled by the largest value first, so that the sums below stay finite.
        let largest = values().map(f64::abs).fold(0.0, f64::max);
        let part = |value: f64| {
            if largest > 0.0 && value.is_finite() {
                value / largest
            } else {
                0.0
            }
        };
        let low = values().map(part).fold(0.0, f64::min);
        let high = values().map(part).fold(0.0, f64::max);
        let left = label_width + 10.0 + if low < 0.0 { words_width + 5.0 } else { 0.0 };
        let right = (self.width - words_width - 5.0).max(left + 1.0);
        let unit = if high > low {
            (right - left) / (high - low)
        } else {
            0.0
        };
        let zero = left - low * unit;
        let mut y = 1.0;
        for bar in &self.bars {
            let labels = wrap(&bar.label.as_str().into(), TYPE, label_width.max(1.0));
            let height = labels.len() as f64 * LEAD + 5.0;
            let middle = y + height / 2.0;
            for (n, line) in labels.iter().enumerate() {
                let words: String = line
                    .pieces
                    .iter()
                    .map(|piece| piece.text.as_str())
                    .collect();
                let base =
                    middle - labels.len() as f64 * LEAD / 2.0 + (n as f64 + 0.5) * LEAD + DROP;
                picture.add(Label::new((label_width, base), words, TYPE).anchored(Anchor::End));
            }
            let end = zero + part(bar.value) * unit;
            let (corner, width) = ((zero.min(end), middle - 4.5).into(), (end - zero).abs());
            if width > 0.0 {
                let pen = Some(Pen::new(Ink::Dark, 0.4));
                picture.add(Shape::Rectangle {
                    corner,
                    width,
                    height: 9.0,
                    fill: bar.fill,
                    pen,
                });
            }
            let (at, anchor) = if end < zero {
                (end - 5.0, Anchor::End)
            } else {
                (end + 5.0, Anchor::Start)
            };
            picture.add(Label::new((at, middle + DROP), bar.words.clone(), TYPE).anchored(anchor));
            y += height;
        }
        picture.line((zero, 0.0), (zero, y), Pen::new(Ink::Dark, 0.6));
        picture.height = y + 1.0;
        picture
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chart(values: &[f64]) -> Picture {
        let bar = |value: &f64| Bar {
            label: "battery of the upper hut".into(),
            value: *value,
            words: format!("{value} mA"),
            fill: Fill::Flat(Ink::Light),
        };
        BarChart {
            title: "Load".into(),
            width: 300.0,
            bars: values.iter().map(bar).collect(),
            ..BarChart::default()
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
