//! The seven units that a value on a worksheet can have.
//!
//! It holds their symbols and names. A unit comes in; its spelling goes out. Other spellings of
//! units are in the suffix table, not in this file.

use std::fmt;

/// The unit of a printed value, always the SI base unit without a prefix.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Unit {
    /// Volt, V.
    Volt,
    /// Ohm, Ω.
    Ohm,
    /// Ampere, A.
    Ampere,
    /// Farad, F.
    Farad,
    /// Henry, H.
    Henry,
    /// Hertz, Hz.
    Hertz,
    /// Watt, W.
    Watt,
}

impl Unit {
    /// Every unit, in the order of the enum.
    pub const ALL: [Unit; 7] = [
        Unit::Volt,
        Unit::Ohm,
        Unit::Ampere,
        Unit::Farad,
        Unit::Henry,
        Unit::Hertz,
        Unit::Watt,
    ];

    /// The SI symbol, such as `V` or `Ω` (the Greek letter, U+03A9).
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Volt => "V",
            Unit::Ohm => "Ω",
            Unit::Ampere => "A",
            Unit::Farad => "F",
            Unit::Henry => "H",
            Unit::Hertz => "Hz",
            Unit::Watt => "W",
        }
    }

    /// The name in the plural, for sentences: "volts", "ohms", "hertz".
    pub fn plural_name(self) -> &'static str {
        match self {
            Unit::Volt => "volts",
            Unit::Ohm => "ohms",
            Unit::Ampere => "amperes",
            Unit::Farad => "farads",
            Unit::Henry => "henries",
            Unit::Hertz => "hertz",
            Unit::Watt => "watts",
        }
    }

    /// A value of this unit as it is written in a file; error messages show it.
    pub(crate) fn example(self) -> &'static str {
        match self {
            Unit::Volt => "150 V",
            Unit::Ohm => "4.7k",
            Unit::Ampere => "12 mA",
            Unit::Farad => "0.05uF",
            Unit::Henry => "10 H",
            Unit::Hertz => "400 Hz",
            Unit::Watt => "0.5 W",
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Figure;

    #[test]
    fn each_example_reads_as_its_own_unit() {
        for unit in Unit::ALL {
            assert_eq!(
                Figure::parse(unit.example(), unit).map(|f| f.unit),
                Ok(unit)
            );
        }
    }

    #[test]
    fn symbols_follow_si() {
        assert_eq!(Unit::Ohm.symbol(), "\u{3a9}");
        assert_eq!(Unit::Hertz.to_string(), "Hz");
        assert_eq!(Unit::Henry.plural_name(), "henries");
    }
}
