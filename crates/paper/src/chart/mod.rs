//! Charts: from numbers and words to a [`Picture`](crate::Picture).
//!
//! What it owns: axes and their ticks, where labels go so that none covers another, and the kinds of chart.
//! What comes in: numbers that are already worked out, words, and a closure that formats the ticks. What
//! goes out: a picture. Not known here: what the numbers mean.
//!
//! Style: thin rules, no grid, no frame, labels beside what they name. Shapes and dashes carry every
//! meaning, not the ink alone.

#[cfg(test)]
mod apart;
mod axis;
mod band;
mod bars;
mod clip;
mod curve;
mod ends;
#[cfg(test)]
mod inks;
mod interval;
mod key;
mod marks;
mod rows;
mod rulers;
mod shade;
mod socket;
mod spread;
mod strip;
mod ticks;

pub use axis::{Axis, Scale};
pub use band::TintedBand;
pub use bars::{Bar, BarChart};
pub use curve::{Curve, CurveChart, Dot};
pub use interval::{IntervalChart, IntervalRow};
pub use key::{Key, Sign};
pub use marks::{Feet, Mark};
pub use rulers::{RulerChart, RulerRow, RulerStop};
pub use shade::Shade;
pub use socket::{Locator, Socket, SocketContact, State};
pub use strip::{StripChart, StripRow};
pub use ticks::ticks;

/// Type size of labels in a chart, in points.
pub(crate) const TYPE: f64 = 11.0;
/// Distance of two base lines of labels, in points.
pub(crate) const LEAD: f64 = 14.0;
/// From the middle of a label to its base line.
pub(crate) const DROP: f64 = TYPE * crate::font::CAPITAL / 2.0;
