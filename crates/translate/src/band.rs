//! What the manual allows: a tolerance as limits, and limits carried to another meter.
//!
//! The band says what a healthy set may show. How well that is known is another matter, the
//! uncertainty; the two are kept apart (JCGM 100:2008, 4.3.10: do not count one effect twice).

use circuit::ManualRow;
use reconcile::Prediction;
use units::{Figure, Tolerance};

use crate::uncertainty::quantile;

/// Limits in the unit of the value; none where that side is open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Band {
    /// The lower limit.
    pub low: Option<f64>,
    /// The upper limit.
    pub high: Option<f64>,
}

/// What set the limits of a band.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BandBasis {
    /// The manual's tolerance.
    #[default]
    Manual,
    /// What healthy sets of the drawing show.
    Drawing,
}

/// Where the manual's limits of a row come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitsFrom {
    /// A tolerance of the row, or none at all.
    Row,
    /// The tolerance of every row that states none.
    Default,
    /// Two limits that are printed in place of a value.
    Printed,
}

impl LimitsFrom {
    /// Where those of a row come from, by its own tolerance and that of the job.
    pub(crate) fn of(row: &ManualRow<'_>, of_all: Option<&Tolerance>) -> Self {
        match row.tolerance == of_all {
            _ if row.two_limits => LimitsFrom::Printed,
            true => LimitsFrom::Default,
            false => LimitsFrom::Row,
        }
    }
}

/// What healthy sets show at a point through a bench meter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Healthy {
    /// Volts and their scatter from set to set.
    pub(crate) set: Prediction,
    /// Volts of the bench meter for one of the manual's.
    pub(crate) ratio: f64,
    /// Most volts of either sign that the drawn sources can produce.
    pub(crate) worst_case_volts: f64,
}

impl Healthy {
    /// Limits within which so large a share of them lies.
    fn within(&self, share: f64) -> Band {
        let half = quantile((1.0 + share) / 2.0) * self.set.standard;
        Band {
            low: Some(self.set.volts - half),
            high: Some(self.set.volts + half),
        }
    }
}

impl Band {
    /// The limits of a tolerance round a printed value; open on both sides without a tolerance.
    ///
    /// A percentage of zero is zero: for a printed zero the band is half a unit of the last printed digit
    /// instead, which is the information in that digit.
    pub fn of(tolerance: Option<&Tolerance>, printed: &Figure) -> Self {
        let half_digit = Tolerance::Absolute(printed.resolution / 2.0);
        let tolerance = match tolerance {
            None => return Band::default(),
            Some(Tolerance::Percent(_)) if printed.value == 0.0 => &half_digit,
            Some(tolerance) => tolerance,
        };
        let (low, high) = tolerance.limits(printed.value);
        Band { low, high }
    }

    /// The limits in terms of a bench meter that should show `expected` volts where the manual
    /// prints `printed`.
    ///
    /// A limit that is printed in place of a value says nothing of what a healthy set shows: it is what
    /// the manual's meter may read at most or at least, and is carried by the ratio of the two meters. So are
    /// two: their middle is no value, and where the drawing says otherwise they stay where they are printed.
    ///
    /// A limit keeps its ratio to the printed value. In a linear circuit that is the limit carried
    /// over like the value, exactly; at a nonlinear point the limit carried over would be a state that no
    /// healthy set has. A printed zero, or limits that embrace zero, have no ratio: both are carried by
    /// the tangent, and what a healthy set of the drawing shows narrows them where it is narrower. A
    /// default tolerance is never narrower than what healthy sets show, and no limit lies beyond what
    /// the drawn sources can produce.
    pub(crate) fn carried(
        self,
        (printed, expected): (f64, f64),
        from: LimitsFrom,
        healthy: Option<&Healthy>,
    ) -> (Self, BandBasis) {
        if self.is_open() {
            return (self, BandBasis::Manual);
        }
        let ratio = expected / printed;
        let same_side = |limit: Option<f64>| limit.is_none_or(|limit| limit * printed > 0.0);
        let scales =
            ratio.is_finite() && ratio > 0.0 && same_side(self.low) && same_side(self.high);
        let tangent = healthy.map_or(1.0, |healthy| healthy.ratio);
        let is_printed = |limit: Option<f64>| {
            limit.is_none_or(|limit| (limit - printed).abs() <= f64::EPSILON * printed.abs())
        };
        let one = self.low.is_none() != self.high.is_none()
            && is_printed(self.low)
            && is_printed(self.high);
        let two = scales && from == LimitsFrom::Printed;
        let carry = |limit: f64| match scales {
            _ if (one || two) && healthy.is_some() => limit * tangent,
            true => limit * ratio,
            false => expected + (limit - printed) * tangent,
        };
        let mut band = Band {
            low: self.low.map(carry),
            high: self.high.map(carry),
        };
        let mut basis = BandBasis::Manual;
        let Some(healthy) = healthy else {
            return (band, basis);
        };
        let own = healthy.within(0.99);
        if let (false, Some(width)) = (scales, band.width()) {
            if own.width().is_some_and(|own| own < width) {
                (band, basis) = (own, BandBasis::Drawing);
            }
        }
        if two {
            band = band.with(Band {
                low: Some(expected),
                high: Some(expected),
            });
        }
        if from == LimitsFrom::Default {
            let least = healthy.within(0.95);
            let wider = band.with(least);
            if wider != band {
                (band, basis) = (wider, BandBasis::Drawing);
            }
        }
        // The limit never excludes the expected value, even if the drawn sources cannot produce it.
        let most = healthy.worst_case_volts.max(expected.abs());
        let worst_case_volts = |limit: f64| limit.clamp(-most, most);
        let within = Band {
            low: band.low.map(worst_case_volts),
            high: band.high.map(worst_case_volts),
        };
        (within, basis)
    }

    /// Distance between the limits; none where a side is open.
    fn width(self) -> Option<f64> {
        Some(self.high? - self.low?)
    }

    /// As wide as both, on the sides that have a limit.
    fn with(self, other: Band) -> Band {
        let both = |a: Option<f64>, b: Option<f64>, wider: fn(f64, f64) -> f64| {
            a.map(|a| b.map_or(a, |b| wider(a, b)))
        };
        Band {
            low: both(self.low, other.low, f64::min),
            high: both(self.high, other.high, f64::max),
        }
    }

    /// Whether there is any limit.
    pub fn is_open(self) -> bool {
        self.low.is_none() && self.high.is_none()
    }

    /// Whether a value lies inside, the limits included.
    pub fn holds(self, value: f64) -> bool {
        self.low.is_none_or(|low| value >= low) && self.high.is_none_or(|high| value <= high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Unit;

    fn printed(text: &str) -> Figure {
        Figure::parse(text, Unit::Volt).unwrap()
    }

    #[test]
    fn a_percentage_of_a_negative_value_keeps_its_order() {
        // Grid bias −10 V ± 20 %: −12 to −8 V, by hand.
        let band = Band::of(Some(&Tolerance::Percent(20.0)), &printed("-10"));
        assert!((band.low.unwrap() + 12.0).abs() < 1e-12);
        assert!((band.high.unwrap() + 8.0).abs() < 1e-12);
        assert!(band.holds(-12.0) && band.holds(-8.0));
        assert!(!band.holds(-7.99) && !band.holds(-12.01));
    }

    #[test]
    fn one_sided_limits_stay_open_on_the_other_side() {
        let band = Band::of(Some(&Tolerance::AtMost(0.5)), &printed("0.2"));
        assert!(band.holds(-100.0) && band.holds(0.5) && !band.holds(0.51));
        assert!(!band.is_open() && Band::of(None, &printed("1")).is_open());
    }

    #[test]
    fn a_printed_zero_allows_what_its_digit_leaves_open() {
        let band = Band::of(Some(&Tolerance::Percent(20.0)), &printed("0"));
        assert!(band.holds(0.5) && band.holds(-0.5) && !band.holds(0.51));
        let band = Band::of(Some(&Tolerance::Percent(20.0)), &printed("0.0"));
        assert!(band.holds(0.05) && !band.holds(0.051));
    }
}
