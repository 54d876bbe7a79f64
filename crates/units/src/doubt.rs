//! Values that can be read but are probably not meant.
//!
//! A figure comes in; a doubt goes out, to be shown as a warning. It never changes a value.

use std::fmt;

use crate::format::exact;
use crate::{Figure, Unit};

/// Above this a resistor is doubted, in ohms. Common practice, no source.
const LARGEST_RESISTOR: f64 = 1e8;
/// Below this a resistor is doubted, in ohms, unless it is zero. Common practice, no source.
const SMALLEST_RESISTOR: f64 = 0.1;
/// Above this a capacitor is doubted, in farads. Common practice, no source.
const LARGEST_CAPACITOR: f64 = 1.0;
/// Above this any other value is doubted, in its base unit: old sheets printed `150MA` for
/// milliamperes.
const LARGEST_OTHER: f64 = 1e5;

/// Why a value is doubtful.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Doubt {
    /// A resistance above 100 MΩ.
    LargeResistor {
        /// The value in ohms.
        ohms: f64,
    },
    /// A resistance below 0.1 Ω, but not zero.
    SmallResistor {
        /// The value in ohms.
        ohms: f64,
    },
    /// A capacitance above 1 F.
    LargeCapacitor {
        /// The value in farads.
        farads: f64,
    },
    /// Volts, amperes, henries or watts above 100,000: a capital M that was meant as milli.
    CapitalMilli {
        /// The value in its base unit.
        value: f64,
        /// Its unit.
        unit: Unit,
    },
}

impl Figure {
    /// The doubt about the size of this value for its unit, if any.
    pub fn doubt(&self) -> Option<Doubt> {
        let size = self.value.abs();
        match self.unit {
            Unit::Ohm if size > LARGEST_RESISTOR => Some(Doubt::LargeResistor { ohms: self.value }),
            Unit::Ohm if size > 0.0 && size < SMALLEST_RESISTOR => {
                Some(Doubt::SmallResistor { ohms: self.value })
            }
            Unit::Farad if size > LARGEST_CAPACITOR => {
                Some(Doubt::LargeCapacitor { farads: self.value })
            }
            Unit::Volt | Unit::Ampere | Unit::Henry | Unit::Watt if size > LARGEST_OTHER => {
                let (value, unit) = (self.value, self.unit);
                Some(Doubt::CapitalMilli { value, unit })
            }
            _ => None,
        }
    }
}

impl Doubt {
    /// A hint at what may have been meant.
    pub fn help(&self) -> String {
        match self {
            Doubt::LargeResistor { ohms } => format!(
                "some old sheets print M for thousands: if so, write `{}`",
                exact(ohms / 1e3, Unit::Ohm)
            ),
            Doubt::SmallResistor { .. } => {
                "`m` is milli; write `M` for mega, `k` for thousands".to_string()
            }
            Doubt::LargeCapacitor { .. } => {
                "a bare number is in farads; write `uF` for microfarads, `pF` for picofarads"
                    .to_string()
            }
            Doubt::CapitalMilli { value, unit } => format!(
                "`M` is mega; if milli was meant, write `{}`",
                exact(value / 1e9, *unit)
            ),
        }
    }
}

impl fmt::Display for Doubt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Doubt::LargeResistor { ohms } => {
                write!(f, "{} is a very large resistance", exact(*ohms, Unit::Ohm))
            }
            Doubt::SmallResistor { ohms } => {
                write!(f, "{} is a very small resistance", exact(*ohms, Unit::Ohm))
            }
            Doubt::LargeCapacitor { farads } => {
                write!(
                    f,
                    "{} is a very large capacitance",
                    exact(*farads, Unit::Farad)
                )
            }
            Doubt::CapitalMilli { value, unit } => {
                write!(f, "{} is more than a set can have", exact(*value, *unit))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn doubt(text: &str, place: Unit) -> Option<Doubt> {
        Figure::parse(text, place).unwrap().doubt()
    }

    #[test]
    fn the_bounds_themselves_are_not_doubted() {
        for text in ["0", "0.1", "100M", "220k"] {
            assert_eq!(doubt(text, Unit::Ohm), None, "{text}");
        }
        assert_eq!(doubt("1F", Unit::Farad), None);
        assert_eq!(doubt("25kV", Unit::Volt), None);
        assert_eq!(doubt("300MHz", Unit::Hertz), None);
    }

    #[test]
    fn a_doubt_says_what_may_have_been_meant() {
        let large = doubt("220M", Unit::Ohm).unwrap();
        assert_eq!(large.to_string(), "220 MΩ is a very large resistance");
        assert!(large.help().contains("print M for thousands"));
        assert!(large.help().contains("`220 kΩ`"));
        assert!(matches!(
            doubt("47m", Unit::Ohm),
            Some(Doubt::SmallResistor { .. })
        ));
        let bare = doubt("8", Unit::Farad).unwrap();
        assert!(bare.help().contains("uF"));
        let capital = doubt("150MA", Unit::Ampere).unwrap();
        assert!(capital.help().contains("`150 mA`"), "{}", capital.help());
    }
}
