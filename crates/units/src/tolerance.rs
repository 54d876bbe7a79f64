//! How far a value may deviate.
//!
//! A tolerance and a nominal value come in; limits go out. Whether a reading passes is decided elsewhere.

/// How far a value may deviate, in the forms that manuals print.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tolerance {
    /// Plus or minus a percentage of the nominal value's size: `Percent(20.0)` is 20 %.
    Percent(f64),
    /// Plus or minus an amount in the SI base unit.
    Absolute(f64),
    /// Between two values in the SI base unit, whatever the nominal value.
    Limits {
        /// The lower limit.
        low: f64,
        /// The upper limit.
        high: f64,
    },
    /// Not above a value in the SI base unit.
    AtMost(f64),
    /// Not below a value in the SI base unit.
    AtLeast(f64),
}

impl Tolerance {
    /// Lower and upper limit around a nominal value, in the SI base unit; `None` where there is none.
    ///
    /// The lower limit is never above the upper one, for negative nominal values too: 10 % of -20 V is
    /// -22 V to -18 V.
    pub fn limits(&self, nominal: f64) -> (Option<f64>, Option<f64>) {
        match *self {
            Tolerance::Percent(percent) => {
                // half-width = |nominal| p / 100
                around(nominal, nominal.abs() * percent / 100.0)
            }
            Tolerance::Absolute(amount) => around(nominal, amount),
            Tolerance::Limits { low, high } => (Some(low.min(high)), Some(low.max(high))),
            Tolerance::AtMost(high) => (None, Some(high)),
            Tolerance::AtLeast(low) => (Some(low), None),
        }
    }
}

fn around(nominal: f64, half_width: f64) -> (Option<f64>, Option<f64>) {
    let half_width = half_width.abs();
    (Some(nominal - half_width), Some(nominal + half_width))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: Option<f64>, want: f64) -> bool {
        // Two operations on numbers of some tens: their rounding is below 1e-14 each.
        got.is_some_and(|got| (got - want).abs() <= 1e-12)
    }

    #[test]
    fn limits_are_in_order_for_negative_values_too() {
        let (low, high) = Tolerance::Percent(10.0).limits(-20.0);
        assert!(near(low, -22.0) && near(high, -18.0), "{low:?} {high:?}");
        let (low, high) = Tolerance::Absolute(0.5).limits(-1.0);
        assert!(near(low, -1.5) && near(high, -0.5), "{low:?} {high:?}");
    }

    #[test]
    fn limits_of_the_other_kinds() {
        let between = Tolerance::Limits {
            low: 130.0,
            high: 160.0,
        };
        assert_eq!(between.limits(1.0), (Some(130.0), Some(160.0)));
        assert_eq!(Tolerance::AtMost(0.5).limits(9.0), (None, Some(0.5)));
        assert_eq!(Tolerance::AtLeast(3.0).limits(9.0), (Some(3.0), None));
    }
}
