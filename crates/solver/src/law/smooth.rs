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

/// `sp(u)`, in a form that neither overflows nor loses digits.
pub(crate) fn sp(u: f64) -> f64 {
    u.max(0.0) + (-u.abs()).exp().ln_1p()
}

/// `sg(u)`, the derivative of [`sp`].
pub(crate) fn sg(u: f64) -> f64 {
    if u >= 0.0 {
        1.0 / (1.0 + (-u).exp())
    } else {
        let e = u.exp();
        e / (1.0 + e)
    }
}

/// The positive part of an electrode's volts, and its derivative.
pub(crate) fn positive(volts: f64) -> (f64, f64) {
    (VS * sp(volts / VS) + FLOOR, sg(volts / VS))
}

/// The share of the electrons that an electrode collects, `s/(s + half)` with `s` its positive
/// part without the floor, and its derivative by the volts. Without the floor, so that an
/// electrode far below the cathode collects nothing, whatever the grid does.
pub(crate) fn collected(volts: f64, half: f64) -> (f64, f64) {
    let s = VS * sp(volts / VS);
    (s / (s + half), half / (s + half).powi(2) * sg(volts / VS))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_from_the_bend_the_blocks_are_straight_or_nothing() {
        assert!((sp(800.0) - 800.0).abs() < 1e-12);
        assert!(sp(-800.0) >= 0.0 && sp(-800.0) < 1e-300);
        // ln 2 and one half, by hand.
        assert!((sp(0.0) - std::f64::consts::LN_2).abs() < 1e-15);
        assert!((sg(0.0) - 0.5).abs() < 1e-15);
        assert!((positive(250.0).0 - 250.001).abs() < 1e-12);
    }
}
