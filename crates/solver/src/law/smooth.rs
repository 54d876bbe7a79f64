//! Smooth building blocks that all tube laws share.
//!
//! ```text
//! sp(u) = ln(1 + eᵘ)        sg(u) = 1/(1 + e⁻ᵘ) = sp′(u)
//! P(V)  = VS·sp(V/VS) + 0.001 V,  VS = 1 V
//! ```

/// 1.5·kT/q of an oxide cathode at 1075 K (temperature from memory): with it `S^1.5` becomes the
/// initial-velocity law exp(V/0.0926 V) in the retarding region. Volts.
pub(crate) const W0: f64 = 0.139;

/// Width of the bend at zero electrode volts.
const VS: f64 = 1.0;

/// Floor of an electrode's positive part: keeps ratios of two of them finite.
const FLOOR: f64 = 1e-3;

/// `sp(u)` and `sg(u)`, in forms that neither overflow nor lose digits.
pub(crate) fn bend(u: f64) -> (f64, f64) {
    let e = (-u.abs()).exp();
    let sg = if u >= 0.0 { 1.0 } else { e } / (1.0 + e);
    (u.max(0.0) + e.ln_1p(), sg)
}

/// `S^x` and its derivative by `S`, for an `S` that is not negative.
pub(crate) fn power(s: f64, x: f64) -> (f64, f64) {
    let power = s.powf(x);
    // In the last tail both are nothing.
    (power, if power > 0.0 { x * power / s } else { 0.0 })
}

/// An electrode's volts as its tube sees them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Electrode {
    volts: f64,
    /// Their positive part, without the floor.
    above: f64,
    /// Its derivative by the volts.
    pub(crate) slope: f64,
}

impl Electrode {
    pub(crate) fn at(volts: f64) -> Self {
        let (sp, slope) = bend(volts / VS);
        let above = VS * sp;
        Electrode {
            volts,
            above,
            slope,
        }
    }

    /// The positive part of the volts.
    pub(crate) fn positive(self) -> f64 {
        self.above + FLOOR
    }

    /// The volts themselves, with the floor of [`Electrode::positive`], which they are at more than some volts.
    pub(crate) fn signed(self) -> f64 {
        self.volts + FLOOR
    }

    /// The share of the electrons that it collects, `s/(s + half)` with `s` its positive part without
    /// the floor, and its derivative by the volts. Without the floor, so that an electrode far below
    /// the cathode collects nothing, whatever the grid does.
    pub(crate) fn collected(self, half: f64) -> (f64, f64) {
        let all = self.above + half;
        (self.above / all, half / (all * all) * self.slope)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_from_the_bend_the_blocks_are_straight_or_nothing() {
        assert!((bend(800.0).0 - 800.0).abs() < 1e-12);
        assert!(bend(-800.0).0 >= 0.0 && bend(-800.0).0 < 1e-300);
        // ln 2 and one half, by hand.
        assert!((bend(0.0).0 - std::f64::consts::LN_2).abs() < 1e-15);
        assert!((bend(0.0).1 - 0.5).abs() < 1e-15);
        assert!((Electrode::at(250.0).positive() - 250.001).abs() < 1e-12);
        // Nothing of nothing, and no number that is none.
        assert_eq!(power(0.0, 1.5), (0.0, 0.0));
        assert!((power(4.0, 1.5).1 - 3.0).abs() < 1e-14);
    }
}
