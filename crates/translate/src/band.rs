//! What the manual allows: a tolerance as limits, and limits carried to another meter.
//!
//! The band says what a healthy set may show. How well that is known is another matter, the
//! uncertainty; the two are kept apart (JCGM 100:2008, 4.3.10: do not count one effect twice).

use units::{Figure, Tolerance};

/// Limits in the unit of the value; none where that side is open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Band {
    /// The lower limit.
    pub low: Option<f64>,
    /// The upper limit.
    pub high: Option<f64>,
}

impl Band {
    /// The limits of a tolerance round a printed value; open on both sides without a tolerance.
    ///
    /// A percentage of nothing is nothing: round a printed zero it stands for half a unit of the
    /// last printed digit instead, which is all that the digit says.
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

    /// Both limits carried by the same rule, kept in rising order.
    ///
    /// # Errors
    /// Whatever the rule says.
    pub fn carried<E>(self, carry: impl Fn(f64) -> Result<f64, E>) -> Result<Self, E> {
        let low = self.low.map(&carry).transpose()?;
        let high = self.high.map(&carry).transpose()?;
        Ok(match (low, high) {
            (Some(a), Some(b)) if a > b => Band {
                low: Some(b),
                high: Some(a),
            },
            _ => Band { low, high },
        })
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
