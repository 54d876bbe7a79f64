//! What a line of the table of fault modes says.
//!
//! A kind of part and a fault of it come in, with a rate, a share, a growth and two ends of a size; how likely the
//! fault is at an age goes out. Which faults there are is not known here ([`crate::suspects::modes`]).

use crate::suspects::fault::Fault;
use crate::suspects::part_class::PartClass;

/// One line of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaultMode {
    /// The kind of part.
    pub class: PartClass,
    /// The fault.
    pub fault: Fault,
    /// Rate of failure of the kind, relative to a composition resistor.
    pub rate: f64,
    /// Share of this fault among its failures.
    pub share: f64,
    /// How many times likelier the fault is at [`GROWN_AT`] years than in a new part.
    pub growth: f64,
    /// How large it may be; none for a fault without a size.
    pub size: Option<SizeRule>,
    /// Where rate and share come from.
    pub source: &'static str,
}

/// How large a fault may be: two ends, and how likely each size between them is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SizeRule {
    /// What the ends are counted in.
    pub of: SizeOf,
    /// The least.
    pub least: f64,
    /// The most.
    pub most: f64,
    /// Natural logarithms off the sound end about which most faults lie; none where all sizes are
    /// equally likely in their logarithm.
    pub near: Option<f64>,
}

/// In what the ends of a fault's size are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizeOf {
    /// Ohms.
    Ohms,
    /// Amperes.
    Amperes,
    /// Times what the part should have, from its upper limit up.
    TimesAbove,
    /// Times what the part should have, from its lower limit down.
    TimesBelow,
    /// Times what the part should have.
    Times,
    /// A share of what a part in order gives.
    Share,
    /// A share of the travel of a wiper between the ends or taps next to it, from where it is said to be upwards.
    TravelAbove,
    /// The same, downwards.
    TravelBelow,
}

/// Years at which the growth of the table holds; before and after it goes as the square of the age.
pub const GROWN_AT: f64 = 50.0;

/// Years of a job that states none.
pub const USUAL_AGE: f64 = 50.0;

impl FaultMode {
    /// How many times likelier the fault is at so many years than in a new part.
    pub fn grown(&self, years: f64) -> f64 {
        let share = (years / GROWN_AT).powi(2).clamp(0.0, 4.0);
        (1.0 + (self.growth - 1.0) * share).max(0.1)
    }
}

/// A line of the table: a kind of part with its rate, a fault with its share and growth, its size and the source.
pub(crate) const fn mode(
    (class, rate): (PartClass, f64),
    fault: Fault,
    (share, growth): (f64, f64),
    size: Option<SizeRule>,
    source: &'static str,
) -> FaultMode {
    FaultMode {
        class,
        fault,
        rate,
        share,
        growth,
        size,
        source,
    }
}

/// A size between two ends, all equally likely in their logarithm.
pub(crate) const fn even(of: SizeOf, least: f64, most: f64) -> Option<SizeRule> {
    Some(SizeRule {
        of,
        least,
        most,
        near: None,
    })
}

/// A size between two ends, most so many natural logarithms off the sound end.
pub(crate) const fn near(of: SizeOf, least: f64, most: f64, near: f64) -> Option<SizeRule> {
    Some(SizeRule {
        of,
        least,
        most,
        near: Some(near),
    })
}
