//! Axes: where a value stands.
//!
//! What it owns: linear and logarithmic scales. What comes in: the ends of the axis and a
//! closure that formats a value. What goes out: places in points, and the axis drawn into a picture. Not
//! known here: units and number formats, which are the closure's business.

use super::ticks::ticks;
use super::{DROP, LEAD, TYPE};
use crate::font::{text_width, Weight};
use crate::picture::{Ink, Label, Pen, Picture, TextAnchor};

/// How values are spread along an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Scale {
    /// Equal steps, equal lengths.
    #[default]
    Linear,
    /// Equal ratios, equal lengths. Both ends must be above zero.
    Logarithmic,
}

/// One axis of a chart.
#[derive(Clone)]
pub struct Axis<'a> {
    /// What is plotted, with its unit.
    pub title: String,
    /// Linear or logarithmic.
    pub scale: Scale,
    /// Value at the left or lower end.
    pub low: f64,
    /// Value at the right or upper end.
    pub high: f64,
    /// Words for a tick.
    pub label: &'a dyn Fn(f64) -> String,
}

impl<'a> Axis<'a> {
    /// An axis between these values, `label` giving the words for a tick.
    pub fn new(
        title: impl Into<String>,
        scale: Scale,
        (low, high): (f64, f64),
        label: &'a dyn Fn(f64) -> String,
    ) -> Self {
        Axis {
            title: title.into(),
            scale,
            low,
            high,
            label,
        }
    }

    /// A linear axis without words, between these values.
    pub(super) fn unlabelled(ends: (f64, f64)) -> Self {
        Axis::new("", Scale::Linear, ends, &|_| String::new())
    }
}

impl std::fmt::Debug for Axis<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // The closure has nothing to show.
        let Axis {
            title,
            scale,
            low,
            high,
            ..
        } = self;
        write!(f, "Axis({title:?}, {scale:?}, {low} to {high})")
    }
}

/// A scale laid along a line of the picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ruler {
    scale: Scale,
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Ruler {
    /// Lays an axis from one place to another, both in points. Ends that make no scale (equal, reversed, not
    /// finite, not above zero on a logarithmic axis) are replaced by ones that do.
    pub fn new(axis: &Axis<'_>, from: f64, to: f64) -> Self {
        let (low, high) = match axis.scale {
            Scale::Linear if axis.low < axis.high && (axis.high - axis.low).is_finite() => {
                (axis.low, axis.high)
            }
            Scale::Linear if axis.low.is_finite() && axis.low.abs() < 1e300 => {
                (axis.low, axis.low + axis.low.abs().max(1.0))
            }
            Scale::Linear => (0.0, 1.0),
            Scale::Logarithmic
                if axis.low > 0.0 && axis.low < axis.high && axis.high.is_finite() =>
            {
                (axis.low, axis.high)
            }
            Scale::Logarithmic => (1.0, 10.0),
        };
        Ruler {
            scale: axis.scale,
            low,
            high,
            from,
            to,
        }
    }

    /// Place of a value in points, which may lie beyond the ends; not a number where the scale has no place.
    pub fn at(&self, value: f64) -> f64 {
        let part = match self.scale {
            Scale::Linear => (value - self.low) / (self.high - self.low),
            Scale::Logarithmic => (value / self.low).ln() / (self.high / self.low).ln(),
        };
        self.from + part * (self.to - self.from)
    }

    /// Place of a value, held between the ends; `None` where the scale has no place for it.
    pub fn held(&self, value: f64) -> Option<f64> {
        let at = self.at(value);
        let (least, most) = (self.from.min(self.to), self.from.max(self.to));
        (!at.is_nan()).then(|| at.clamp(least, most))
    }

    /// Place of a value that lies between the ends.
    pub fn inside(&self, value: f64) -> Option<f64> {
        self.held(value).filter(|_| self.holds(value))
    }

    /// The place halfway between the ends.
    pub fn middle(&self) -> f64 {
        (self.from + self.to) / 2.0
    }

    /// Whether the value lies between the ends, or on one of them.
    pub fn holds(&self, value: f64) -> bool {
        value >= self.low && value <= self.high
    }

    /// Values that get a tick.
    pub fn ticks(&self, at_most: usize) -> Vec<f64> {
        ticks(self.scale, self.low, self.high, at_most)
    }
}

/// Draws an axis along the foot of a chart, its labels and its title; ticks whose words would touch the ones
/// before them keep their stroke but lose the words. Takes [`FOOT`] points below `y`.
pub(crate) fn foot(picture: &mut Picture, axis: &Axis<'_>, ruler: Ruler, y: f64) {
    let pen = Pen::new(Ink::Dark, 0.6);
    let (from, to) = (ruler.from, ruler.to);
    picture.line((from, y), (to, y), pen);
    // Short labels stand closer than long ones, but no closer than they can be told apart.
    let widest = [axis.low, axis.high]
        .map(|end| text_width(&(axis.label)(end), TYPE, Weight::Regular))
        .into_iter()
        .fold(0.0, f64::max);
    let most = ((to - from).abs() / (widest + 16.0).clamp(26.0, 54.0)) as usize;
    let mut taken = f64::NEG_INFINITY;
    for value in ruler.ticks(most.max(3)) {
        let x = ruler.at(value);
        picture.line((x, y), (x, y + 3.0), pen);
        let words = (axis.label)(value);
        let half = text_width(&words, TYPE, Weight::Regular) / 2.0;
        if x - half > taken {
            taken = x + half + 5.0;
            let label = Label::new((x, y + 5.0 + TYPE), words, TYPE);
            picture.add(label.anchored(TextAnchor::Middle).inked(Ink::Dark));
        }
    }
    let at = (ruler.middle(), y + 7.0 + TYPE + LEAD);
    picture.add(Label::new(at, axis.title.clone(), TYPE).anchored(TextAnchor::Middle));
}

/// Height that [`foot`] takes below its line.
pub(crate) const FOOT: f64 = 11.0 + TYPE + LEAD;

/// Draws an axis up the left side; the words stand to the left of `x`.
pub(crate) fn side(picture: &mut Picture, axis: &Axis<'_>, ruler: Ruler, x: f64) {
    let pen = Pen::new(Ink::Dark, 0.6);
    picture.line((x, ruler.from), (x, ruler.to), pen);
    for value in side_ticks(ruler) {
        let y = ruler.at(value);
        picture.line((x - 3.0, y), (x, y), pen);
        let words = Label::new((x - 5.5, y + DROP), (axis.label)(value), TYPE);
        picture.add(words.anchored(TextAnchor::End).inked(Ink::Dark));
    }
}

/// Width that [`side`] takes to the left of its line.
pub(crate) fn side_width(axis: &Axis<'_>, ruler: Ruler) -> f64 {
    let widths = side_ticks(ruler)
        .into_iter()
        .map(|v| text_width(&(axis.label)(v), TYPE, Weight::Regular));
    widths.fold(0.0, f64::max) + 6.5
}

fn side_ticks(ruler: Ruler) -> Vec<f64> {
    ruler.ticks(((ruler.to - ruler.from).abs() / (2.0 * LEAD)) as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_that_make_no_scale_are_replaced() {
        let label = |v: f64| v.to_string();
        let axis = Axis::new("", Scale::Logarithmic, (-1.0, f64::NAN), &label);
        let ruler = Ruler::new(&axis, 0.0, 100.0);
        assert!((ruler.at(10.0) - 100.0).abs() <= 1e-9);
        assert_eq!(ruler.held(-5.0), None);
        assert_eq!(ruler.held(f64::INFINITY), Some(100.0));
    }

    #[test]
    fn equal_ratios_have_equal_lengths() {
        let label = |v: f64| v.to_string();
        let axis = Axis::new("", Scale::Logarithmic, (1e3, 1e7), &label);
        let ruler = Ruler::new(&axis, 0.0, 400.0);
        // 1 decade of 4 is a quarter; the tolerance is the rounding of logarithms.
        assert!((ruler.at(1e4) - 100.0).abs() <= 1e-9);
        assert!(ruler.holds(1e7) && !ruler.holds(1e8));
    }
}
