//! Whether believed values and drawn circuit agree as a whole.
//!
//! Where every value agrees with the others but all disagree with the drawing, no single value
//! stands out; only the sum of the squares tells.

/// A value is believed within so many standard deviations of what all else says of it. A healthy
/// one lies beyond 3 by chance once in 370 times if all is normal, less often where rectangular
/// tolerances make up most of it. Of a table of 40 values some 10 % then have one doubted for
/// nothing, which a look at the page settles; a wider limit would let slips of a digit pass.
pub const BELIEVABLE: f64 = 3.0;
/// How well readings and drawn circuit agree as a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Agreement {
    /// `rᵀS⁻¹r`: about as large as the number of readings where parts are within tolerance.
    pub chi_squared: f64,
    /// How many readings.
    pub readings: usize,
}

impl Agreement {
    /// The largest misfit that is usual for as many readings.
    pub fn usual_misfit(&self) -> f64 {
        usual_misfit(self.readings)
    }

    /// Whether readings and drawing disagree as a whole.
    pub fn disagrees(&self) -> bool {
        self.chi_squared > self.usual_misfit()
    }
}

/// The misfit that is not usual any more: what chance exceeds as rarely as it exceeds
/// [`BELIEVABLE`] standard deviations,
///
/// ```text
/// n · (1 − 2/(9n) + 3·√(2/(9n)))³
/// ```
///
/// (E. B. Wilson, M. M. Hilferty, "The distribution of chi-square", Proc. National Academy of
/// Sciences 17, 1931; from memory.) No unit.
fn usual_misfit(readings: usize) -> f64 {
    if readings == 0 {
        return 0.0;
    }
    let n = readings as f64;
    let spread = 2.0 / (9.0 * n);
    n * (1.0 - spread + BELIEVABLE * spread.sqrt()).powi(3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_limit_is_near_the_tabled_one() {
        // Upper 0.1 % points of chi-square as tables print them: 10 degrees 29.59, 30 degrees
        // 59.70. Three standard deviations are the upper 0.135 %, so a little below: the density
        // there moves the limit by about 0.7 for that, and the formula is good to about 0.1.
        assert!(
            (usual_misfit(10) - 28.8).abs() < 0.4,
            "{}",
            usual_misfit(10)
        );
        assert!(
            (usual_misfit(30) - 58.7).abs() < 0.6,
            "{}",
            usual_misfit(30)
        );
    }

    #[test]
    fn no_readings_cannot_disagree() {
        let nothing = Agreement {
            chi_squared: 0.0,
            readings: 0,
        };
        assert!(!nothing.disagrees());
    }
}
