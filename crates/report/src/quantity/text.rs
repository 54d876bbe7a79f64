//! Ohms, amperes and alternating volts as texts, each with its unit.

use circuit::Quantity;
use translate::{QuantitySide, Said};
use units::{engineering, Unit};

use crate::figures;

/// A value of a quantity with its unit; `∞` beyond what any meter shows.
pub(super) fn value(value: f64, quantity: Quantity) -> String {
    if value.is_nan() {
        return "—".to_owned();
    }
    if value.is_infinite() {
        return "∞".to_owned();
    }
    match quantity {
        Quantity::Ohms => figures::ohms(value),
        Quantity::DcMilliamperes => typographic(&engineering(value, Unit::Ampere, 3)),
        Quantity::AcVolts | Quantity::DcVolts => typographic(&engineering(value, Unit::Volt, 3)),
    }
}

/// What a bench meter should show: `∞` beyond the most that it can show.
pub(super) fn expected(side: &QuantitySide, quantity: Quantity) -> String {
    match side.side.expected > side.most {
        true => "∞".to_owned(),
        false => match Scale::of(side, quantity) {
            Some(scale) => scale.with_unit(side.side.expected),
            None => value(side.side.expected, quantity),
        },
    }
}

/// Another value beside a side's own, in the same unit and digits.
pub(super) fn beside(side: &QuantitySide, other: f64, quantity: Quantity) -> String {
    let scale = Scale::of(side, quantity);
    scale.map_or_else(|| value(other, quantity), |scale| scale.with_unit(other))
}

/// The expanded uncertainty; empty where nothing is expected.
pub(super) fn uncertainty(side: &QuantitySide, quantity: Quantity) -> String {
    let scale = Scale::of(side, quantity).filter(|_| side.side.expected <= side.most);
    scale.map_or(String::new(), |scale| {
        format!("±{}", scale.with_unit(side.side.budget.expanded()))
    })
}

/// Limits: `376 … 564 kΩ`, `over 10 MΩ`, `up to 2 Ω`.
pub(crate) fn limits(side: &QuantitySide, quantity: Quantity) -> String {
    let band = side.side.band;
    let scale = Scale::of(side, quantity);
    let told = |limit: f64| match &scale {
        Some(scale) => scale.with_unit(limit),
        None => value(limit, quantity),
    };
    match (band.low, band.high) {
        (Some(low), Some(high)) => match &scale {
            Some(scale) => {
                let numbers = figures::between(&scale.number(low), &scale.number(high));
                format!("{numbers} {}", scale.unit)
            }
            None => figures::between(&told(low), &told(high)),
        },
        (Some(low), None) => format!("over {}", value(low, quantity)),
        (None, Some(high)) => format!("up to {}", told(high)),
        (None, None) => String::new(),
    }
}

/// How all figures of a side are written: with the prefix of its expected value, and no finer than
/// two digits of its uncertainty.
struct Scale {
    factor: f64,
    unit: String,
    decimals: usize,
}

/// Prefixes that a bench meter's scale has.
const PREFIXES: [(f64, &str); 5] = [(1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "µ")];

impl Scale {
    /// None where the value or its uncertainty is no finite number.
    fn of(side: &QuantitySide, quantity: Quantity) -> Option<Self> {
        let (expected, expanded) = (side.side.expected, side.side.budget.expanded());
        if !(expected.is_finite() && expanded.is_finite() && expanded > 0.0) {
            return None;
        }
        let size = expected.abs().max(expanded);
        // There are no milliohms on a bench, and tenths of a volt are volts.
        let least = match quantity {
            Quantity::Ohms => 0.0,
            Quantity::DcMilliamperes => 1.0,
            Quantity::AcVolts | Quantity::DcVolts => 0.1,
        };
        let own = |(factor, _): &&(f64, &str)| {
            *factor <= size * (1.0 + 1e-9) || (*factor <= 1.0 && size >= least)
        };
        let (factor, prefix) = PREFIXES.iter().find(own)?;
        let unit = match quantity {
            Quantity::Ohms => "Ω",
            Quantity::DcMilliamperes => "A",
            Quantity::AcVolts | Quantity::DcVolts => "V",
        };
        let decimals = 1.0 - (expanded / factor).log10().floor();
        Some(Scale {
            factor: *factor,
            unit: format!("{prefix}{unit}"),
            decimals: decimals.clamp(0.0, 3.0) as usize,
        })
    }

    fn number(&self, value: f64) -> String {
        figures::decimal(value / self.factor, self.decimals)
    }

    fn with_unit(&self, value: f64) -> String {
        format!("{} {}", self.number(value), self.unit)
    }
}

/// What the manual prints, without the text of its cell.
pub(super) fn said(said: Said, quantity: Quantity) -> String {
    match said {
        Said::Value(printed) => value(printed, quantity),
        Said::MoreThan(limit) => format!("over {}", value(limit, quantity)),
        Said::LessThan(limit) => format!("up to {}", value(limit, quantity)),
        Said::Nothing => "none".to_owned(),
    }
}

/// The range of a meter for a quantity.
pub(super) fn range(side: &QuantitySide, quantity: Quantity) -> String {
    let full_scale = side.side.range.full_scale;
    match quantity {
        Quantity::Ohms => figures::stated(full_scale, Unit::Ohm),
        Quantity::DcMilliamperes => figures::stated(full_scale, Unit::Ampere),
        Quantity::AcVolts | Quantity::DcVolts => figures::range(full_scale, false),
    }
}

fn typographic(text: &str) -> String {
    text.replace('-', "\u{2212}")
}
