//! Ohms, amperes and alternating volts as texts, each with its unit.

use circuit::Quantity;
use translate::{Band, QuantitySide, Said};
use units::{engineering, Unit};

use crate::figures::{self, BETWEEN};

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
        false => value(side.side.expected, quantity),
    }
}

/// The expanded uncertainty; empty where nothing is expected.
pub(super) fn uncertainty(side: &QuantitySide, quantity: Quantity) -> String {
    let expanded = side.side.budget.expanded();
    let told = side.side.expected <= side.most && expanded.is_finite() && expanded > 0.0;
    match told {
        true => format!("±{}", value(expanded, quantity)),
        false => String::new(),
    }
}

/// Limits: `376 kΩ … 564 kΩ`, `over 10 MΩ`, `up to 2 Ω`.
pub(super) fn band(band: Band, quantity: Quantity) -> String {
    match (band.low, band.high) {
        (Some(low), Some(high)) => {
            format!("{}{BETWEEN}{}", value(low, quantity), value(high, quantity))
        }
        (Some(low), None) => format!("over {}", value(low, quantity)),
        (None, Some(high)) => format!("up to {}", value(high, quantity)),
        (None, None) => String::new(),
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
