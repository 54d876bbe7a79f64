//! The fitted size of a fault as a figure: `about 480 kΩ (390 kΩ … 600 kΩ)`.

use diagnose::{Size, SizeUnit};
use units::{engineering, Unit};

use crate::figures::{self, BETWEEN};

/// Digits of a fitted size: the readings seldom know it better.
const DIGITS: usize = 2;

/// `about 480 kΩ (390 kΩ … 600 kΩ)`; only the limits where the most probable size lies at an end of
/// what the readings leave open.
pub(super) fn amount(size: &Size) -> String {
    let one = |value: f64| fitted(value, size.unit);
    let limits = limits(&one(size.low), &one(size.high));
    if one(size.low) == one(size.high) {
        return format!("about {}", one(size.to));
    }
    match size.low <= size.to && size.to <= size.high {
        true => format!("about {} ({limits})", one(size.to)),
        false => format!("between\u{a0}{} and {}", one(size.low), one(size.high)),
    }
}

/// The size in brackets, as short as it goes: `(12 kΩ)`; the limits where none in them is likeliest.
pub(super) fn bracketed(size: &Size) -> String {
    match size.low <= size.to && size.to <= size.high {
        true => format!("({})", fitted(size.to, size.unit)),
        false => format!(
            "({})",
            limits(&fitted(size.low, size.unit), &fitted(size.high, size.unit))
        ),
    }
}

/// Both limits, the unit once where they share it: `2.7 … 3.4 MΩ`.
fn limits(low: &str, high: &str) -> String {
    let shared = match (low.rsplit_once(' '), high.rsplit_once(' ')) {
        (Some((number, unit)), Some((_, other))) if unit == other => number,
        _ => low,
    };
    format!("{shared}{BETWEEN}{high}").replace(' ', "\u{a0}")
}

fn fitted(value: f64, unit: SizeUnit) -> String {
    let rounded = |value: f64, digits: usize| -> f64 {
        let text = format!("{value:.*e}", digits - 1);
        text.parse().unwrap_or(value)
    };
    match unit {
        SizeUnit::Ohms => figures::stated(rounded(value, DIGITS), Unit::Ohm),
        SizeUnit::Volts => figures::stated(rounded(value, DIGITS + 1), Unit::Volt),
        SizeUnit::Amperes => match value.is_finite() {
            true => engineering(value, Unit::Ampere, DIGITS),
            false => "—".to_owned(),
        },
        SizeUnit::Share => format!("{} %", figures::percent(value * 100.0)),
    }
}

/// What the drawing says, with its own digits.
pub(super) fn drawn(value: f64, size: &Size) -> String {
    match size.unit {
        SizeUnit::Ohms => figures::stated(value, Unit::Ohm),
        // A regulator's are those at its knee, which follow from the marked ones.
        SizeUnit::Volts => format!("{} V", figures::short(value, 3)),
        SizeUnit::Amperes | SizeUnit::Share => fitted(value, size.unit),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(from: Option<f64>, to: f64, low: f64, high: f64, unit: SizeUnit) -> Size {
        Size {
            from,
            to,
            low,
            high,
            unit,
        }
    }

    #[test]
    fn a_size_at_an_end_of_its_limits_is_not_called_likely() {
        let inside = size(None, 3.14e6, 2.71e6, 3.44e6, SizeUnit::Ohms);
        assert_eq!(
            amount(&inside),
            "about 3.1 MΩ (2.7\u{a0}…\u{a0}3.4\u{a0}MΩ)"
        );
        let outside = size(None, 4.9e-6, 3.7e-7, 3.4e-6, SizeUnit::Amperes);
        assert_eq!(amount(&outside), "between\u{a0}370 nA and 3.4 µA");
        assert_eq!(bracketed(&inside), "(3.1 MΩ)");
        assert_eq!(bracketed(&outside), "(370\u{a0}nA\u{a0}…\u{a0}3.4\u{a0}µA)");
        let sharp = size(None, 0.412, 0.411, 0.413, SizeUnit::Share);
        assert_eq!(amount(&sharp), "about 41 %");
        let zener = size(Some(6.161_111), 9.1, 8.9, 9.3, SizeUnit::Volts);
        assert_eq!(drawn(6.161_111, &zener), "6.16 V");
        assert_eq!(drawn(250.0, &zener), "250 V");
    }
}
