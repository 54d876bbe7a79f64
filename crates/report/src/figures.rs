//! How many digits a number shows, and with which signs: one rule for every renderer.
//!
//! A carried value rests on a printed one and must not look finer than that: three significant
//! digits, at most one decimal more than the manual prints, at least the manual's own decimals.
//! Terminal and Markdown get the typographic minus (U+2212) and an ellipsis between limits.

use circuit::Quantity;
use translate::Band;
use units::{decimals_for, engineering, exact, fixed, Figure, Unit};

/// Between the two limits of a band.
pub(crate) const BETWEEN: &str = " … ";

/// Ohms below this are shown as none: far less than any probe's own contact.
const NO_OHMS: f64 = 0.05;

/// Decimals that a limit may get beyond its own to be told apart from a reading.
const MOST_EXTRA: usize = 4;

/// Decimals for a value carried over from one printed with this resolution (in the same unit).
pub(crate) fn carried_decimals(value: f64, resolution: f64) -> usize {
    let printed = decimals_for(resolution);
    // One unit in the third significant digit; the exponent is taken after rounding, so that
    // 9.996 counts as 10.0.
    let exponent = format!("{:.2e}", value.abs())
        .split_once('e')
        .and_then(|(_, exponent)| exponent.parse::<i32>().ok())
        .unwrap_or(0);
    let three_digits = usize::try_from(2 - exponent).unwrap_or(0);
    if value == 0.0 {
        return printed;
    }
    three_digits.clamp(printed, printed + 1)
}

/// A carried value, rounded; `—` where it is not a number.
pub(crate) fn carried(value: f64, resolution: f64) -> String {
    decimal(value, carried_decimals(value, resolution))
}

/// A fixed number of decimals with the typographic minus.
pub(crate) fn decimal(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    typographic(&fixed(value, decimals))
}

/// The manual's figure or a reading in the base unit of its place, with its own decimals.
pub(crate) fn printed(figure: &Figure) -> String {
    decimal(figure.value, decimals_for(figure.resolution))
}

/// The figure with its unit, such as `145 V` or `12 mA`; alternating volts are said to be such.
pub(crate) fn printed_with_unit(figure: &Figure, quantity: Quantity) -> String {
    match quantity {
        Quantity::DcVolts => with_volts(&printed(figure)),
        Quantity::AcVolts => format!("{} ac", with_volts(&printed(figure))),
        Quantity::Ohms => typographic(&exact(figure.value, Unit::Ohm)),
        Quantity::DcMilliamperes => typographic(&exact(figure.value, Unit::Ampere)),
    }
}

/// Volts after a finished number.
pub(crate) fn with_volts(number: &str) -> String {
    format!("{number} V")
}

/// Decimals for both limits of a band: those of the coarser one.
pub(crate) fn band_decimals(band: Band, resolution: f64) -> usize {
    [band.low, band.high]
        .iter()
        .flatten()
        .map(|limit| carried_decimals(*limit, resolution))
        .min()
        .unwrap_or(0)
}

/// Both limits: `121 … 182`; `max 0.5` or `min 3` where one side is open; nothing where both are.
pub(crate) fn band(band: Band, resolution: f64) -> String {
    limits(band, band_decimals(band, resolution))
}

/// The limits beside a reading: with as many more decimals as it takes to show on which side of
/// them the reading lies, so that no verdict seems to contradict the figures next to it.
pub(crate) fn band_beside(band: Band, resolution: f64, reading: f64) -> String {
    let start = band_decimals(band, resolution);
    let honest = |decimals: usize| {
        let same_side = |limit: f64| {
            let shown: f64 = fixed(limit, decimals).parse().unwrap_or(limit);
            (reading >= limit) == (reading >= shown) && (reading <= limit) == (reading <= shown)
        };
        [band.low, band.high].into_iter().flatten().all(same_side)
    };
    let decimals = (start..start + MOST_EXTRA).find(|decimals| honest(*decimals));
    limits(band, decimals.unwrap_or(start))
}

fn limits(band: Band, decimals: usize) -> String {
    let text = |limit| decimal(limit, decimals);
    match (band.low, band.high) {
        (Some(low), Some(high)) => format!("{}{BETWEEN}{}", text(low), text(high)),
        (None, Some(high)) => format!("max {}", text(high)),
        (Some(low), None) => format!("min {}", text(low)),
        (None, None) => String::new(),
    }
}

/// A computed resistance in engineering form: two digits, three from a hundred on: `93 kΩ`,
/// `107 kΩ`, `4.7 kΩ`.
pub(crate) fn ohms(value: f64) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    if value.abs() < NO_OHMS {
        return "0 Ω".to_owned();
    }
    let exponent = format!("{:e}", value.abs())
        .split_once('e')
        .and_then(|(_, exponent)| exponent.parse::<i32>().ok())
        .unwrap_or(0);
    let digits = if exponent.rem_euclid(3) == 2 { 3 } else { 2 };
    typographic(&engineering(value, Unit::Ohm, digits))
}

/// A stated value with all its digits and its unit, such as `250 V` or `11 MΩ`.
pub(crate) fn stated(value: f64, unit: Unit) -> String {
    if value.is_finite() {
        typographic(&exact(value, unit))
    } else {
        "—".to_owned()
    }
}

/// Percent without the sign: whole from ten on, one decimal below.
pub(crate) fn percent(value: f64) -> String {
    decimal(value, usize::from(value.abs() < 9.95))
}

/// Percent with an explicit plus, for a change or a deviation.
pub(crate) fn signed_percent(value: f64) -> String {
    let text = percent(value);
    let is_zero = text.chars().all(|c| matches!(c, '0' | '.'));
    if value > 0.0 && !is_zero && text != "—" {
        format!("+{text}")
    } else {
        text
    }
}

/// A range as it is engraved on a meter (1000 V, not 1 kV), marked with `~` where it was assumed.
pub(crate) fn range(full_scale: f64, assumed: bool) -> String {
    let mark = if assumed { "~" } else { "" };
    let volts = if full_scale >= 1.0 {
        format!("{full_scale} V")
    } else {
        stated(full_scale, Unit::Volt)
    };
    format!("{mark}{volts}")
}

fn typographic(text: &str) -> String {
    text.replace('-', "\u{2212}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_carried_value_keeps_to_the_manual() {
        // Worked by hand from the rule: three digits, at most one decimal more than printed, at
        // least as many as printed.
        for (value, resolution, want) in [
            (106.383, 1.0, "106"),
            (12.345, 1.0, "12.3"),
            (1.2345, 1.0, "1.2"),
            (1.2345, 0.1, "1.23"),
            (12.345, 0.01, "12.35"),
            (0.0123, 0.1, "0.01"),
            (4123.4, 1.0, "4123"),
            (9.996, 0.1, "10.0"),
            (99.96, 1.0, "100"),
            (-0.8123, 0.1, "−0.81"),
            (147.3, 10.0, "147"),
            (0.0, 0.1, "0.0"),
            (-0.0001, 0.1, "0.00"),
            (f64::NAN, 1.0, "—"),
        ] {
            assert_eq!(carried(value, resolution), want, "{value} {resolution}");
        }
    }

    #[test]
    fn limits_share_their_decimals() {
        let both = |low, high| Band { low, high };
        assert_eq!(band(both(Some(121.3), Some(182.0)), 1.0), "121 … 182");
        assert_eq!(band(both(Some(-0.96), Some(-0.64)), 0.1), "−0.96 … −0.64");
        assert_eq!(band(both(Some(9.51), Some(14.26)), 1.0), "9.5 … 14.3");
        assert_eq!(band(both(Some(89.13), Some(133.7)), 1.0), "89 … 134");
        assert_eq!(band(both(None, Some(0.5)), 0.1), "max 0.50");
        assert_eq!(band(both(Some(3.0), None), 1.0), "min 3.0");
        assert_eq!(band(Band::default(), 1.0), "");
    }

    #[test]
    fn limits_never_seem_to_contradict_a_verdict() {
        let limits = Band {
            low: Some(117.5),
            high: Some(176.3),
        };
        // 117.6 lies inside, though the limit rounds to 118; 150 needs no decimals.
        assert_eq!(band_beside(limits, 1.0, 117.6), "117.5 … 176.3");
        assert_eq!(band_beside(limits, 1.0, 150.0), "118 … 176");
    }

    #[test]
    fn ohms_in_engineering_form() {
        for (value, want) in [
            (92_857.0, "93 kΩ"),
            (107_234.0, "107 kΩ"),
            (4700.0, "4.7 kΩ"),
            (99_600.0, "100 kΩ"),
            (1.04e6, "1.0 MΩ"),
            (120.0, "120 Ω"),
            (0.0, "0 Ω"),
            (1e-12, "0 Ω"),
            (f64::INFINITY, "—"),
        ] {
            assert_eq!(ohms(value), want, "{value}");
        }
    }

    #[test]
    fn percent_with_one_or_two_digits() {
        for (value, want) in [
            (-26.7, "−27"),
            (-4.32, "−4.3"),
            (9.96, "10"),
            (-0.04, "0.0"),
            (123.4, "123"),
        ] {
            assert_eq!(percent(value), want, "{value}");
        }
        assert_eq!(signed_percent(3.42), "+3.4");
        assert_eq!(signed_percent(0.01), "0.0");
        assert_eq!(signed_percent(-3.42), "−3.4");
    }

    #[test]
    fn printed_figures_keep_their_digits() {
        let figure = |text, unit| Figure::parse(text, unit).unwrap();
        assert_eq!(printed(&figure("145", Unit::Volt)), "145");
        assert_eq!(printed(&figure("-1.20", Unit::Volt)), "−1.20");
        assert_eq!(printed(&figure("250mV", Unit::Volt)), "0.250");
        let milli = figure("12 mA", Unit::Ampere);
        assert_eq!(printed_with_unit(&milli, Quantity::DcMilliamperes), "12 mA");
        let heater = figure("6.3", Unit::Volt);
        assert_eq!(printed_with_unit(&heater, Quantity::AcVolts), "6.3 V ac");
        assert_eq!(range(250.0, true), "~250 V");
        assert_eq!(range(1000.0, true), "~1000 V");
        assert_eq!(range(2.5, false), "2.5 V");
        assert_eq!(range(0.2, false), "200 mV");
    }
}
