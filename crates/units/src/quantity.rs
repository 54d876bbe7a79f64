//! Newtypes for numbers that are passed between crates, so that volts cannot be passed as ohms.
//!
//! A bare `f64` in SI base units comes in, and goes out again by `.0`. The only operations are
//! Ohm's law and the law of power; the solver uses bare numbers in its loops.

use std::fmt;
use std::ops::{Div, Mul};

use crate::format::engineering_with_symbol;

/// Significant digits of the default printing of a quantity: one more than a good bench meter
/// guarantees.
const DISPLAY_DIGITS: usize = 4;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $symbol:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(pub f64);

        impl fmt::Display for $name {
            /// Engineering notation with four significant digits.
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.pad(&engineering_with_symbol(self.0, $symbol, DISPLAY_DIGITS))
            }
        }
    };
}

quantity!(
    /// Electric potential difference in volts.
    Volts,
    "V"
);
quantity!(
    /// Resistance in ohms.
    Ohms,
    "Ω"
);
quantity!(
    /// Current in amperes.
    Amperes,
    "A"
);
quantity!(
    /// Conductance in siemens.
    Siemens,
    "S"
);
quantity!(
    /// Capacitance in farads.
    Farads,
    "F"
);
quantity!(
    /// Frequency in hertz.
    Hertz,
    "Hz"
);
quantity!(
    /// Power in watts.
    Watts,
    "W"
);

/// I = V / R. A zero resistance gives an infinite current, as `f64` division does.
impl Div<Ohms> for Volts {
    type Output = Amperes;
    fn div(self, resistance: Ohms) -> Amperes {
        Amperes(self.0 / resistance.0)
    }
}

/// R = V / I.
impl Div<Amperes> for Volts {
    type Output = Ohms;
    fn div(self, current: Amperes) -> Ohms {
        Ohms(self.0 / current.0)
    }
}

/// V = I R.
impl Mul<Ohms> for Amperes {
    type Output = Volts;
    fn mul(self, resistance: Ohms) -> Volts {
        Volts(self.0 * resistance.0)
    }
}

/// V = R I.
impl Mul<Amperes> for Ohms {
    type Output = Volts;
    fn mul(self, current: Amperes) -> Volts {
        Volts(self.0 * current.0)
    }
}

/// P = V I.
impl Mul<Amperes> for Volts {
    type Output = Watts;
    fn mul(self, current: Amperes) -> Watts {
        Watts(self.0 * current.0)
    }
}

/// P = I V.
impl Mul<Volts> for Amperes {
    type Output = Watts;
    fn mul(self, potential: Volts) -> Watts {
        Watts(self.0 * potential.0)
    }
}

impl Ohms {
    /// G = 1 / R, in siemens; zero ohms give an infinite conductance.
    pub fn conductance(self) -> Siemens {
        Siemens(1.0 / self.0)
    }
}

impl Siemens {
    /// R = 1 / G, in ohms; zero siemens give an infinite resistance.
    pub fn resistance(self) -> Ohms {
        Ohms(1.0 / self.0)
    }
}

impl From<Siemens> for Ohms {
    fn from(conductance: Siemens) -> Ohms {
        conductance.resistance()
    }
}

impl From<Ohms> for Siemens {
    fn from(resistance: Ohms) -> Siemens {
        resistance.conductance()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // The operands are small powers of two and integers, so every result is exact.
    #[test]
    fn ohms_law_in_every_direction() {
        assert_eq!(Volts(6.0) / Ohms(4.0), Amperes(1.5));
        assert_eq!(Volts(6.0) / Amperes(1.5), Ohms(4.0));
        assert_eq!(Amperes(1.5) * Ohms(4.0), Volts(6.0));
        assert_eq!(Ohms(4.0) * Amperes(1.5), Volts(6.0));
        assert_eq!(Volts(6.0) * Amperes(1.5), Watts(9.0));
        assert_eq!(Amperes(1.5) * Volts(6.0), Watts(9.0));
        assert_eq!(Ohms(4.0).conductance(), Siemens(0.25));
        assert_eq!(Ohms::from(Siemens(0.25)), Ohms(4.0));
        assert_eq!(Siemens::from(Ohms(4.0)), Siemens(0.25));
    }

    #[test]
    fn printing_uses_four_digits() {
        assert_eq!(Ohms(220_000.0).to_string(), "220.0 kΩ");
        assert_eq!(Siemens(0.0021).to_string(), "2.100 mS");
        assert_eq!(format!("{:>10}", Volts(-1.2)), "  -1.200 V");
    }
}
