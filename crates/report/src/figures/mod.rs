//! How many digits a number shows, and with which signs: one rule for every renderer.
//!
//! A carried value rests on a printed one and must not look finer than that: three significant
//! digits, at most one decimal more than the manual prints, at least the manual's own decimals.
//! Text for people gets the typographic minus (U+2212). Numbers come in with the resolution that
//! was printed; text goes out. What a number means is not known here.

mod limits;
mod shares;
mod uncertain;

pub(crate) use limits::{
    band, band_beside, band_decimals, between, limits_alone, shown_band, BETWEEN,
};
pub(crate) use shares::{percent, probability, share, signed_percent};
pub(crate) use uncertain::{
    at_place, beside, expected, expected_within, last_place, place_beside, uncertainty, with_sigma,
};

use circuit::{ManualRow, Quantity};
use translate::BenchSide;
use units::{decimals_for, engineering, exact, fixed, significant, Figure, Tolerance, Unit};

/// Ohms below this are shown as none: far less than any probe's own contact.
const NO_OHMS: f64 = 0.05;

/// Decimals for a value carried over from one printed with this resolution (in the same unit).
pub(crate) fn carried_decimals(value: f64, resolution: f64) -> usize {
    let printed = decimals_for(resolution);
    match value == 0.0 {
        true => printed,
        false => three_digits(value).clamp(printed, printed + 1),
    }
}

/// Decimals that show three significant digits.
pub(crate) fn three_digits(value: f64) -> usize {
    // The exponent is taken after rounding, so that 9.996 counts as 10.0.
    let exponent = format!("{:.2e}", value.abs())
        .split_once('e')
        .and_then(|(_, exponent)| exponent.parse::<i32>().ok())
        .unwrap_or(0);
    usize::try_from(2 - exponent).unwrap_or(0)
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
        Quantity::Ohms => stated(figure.value, Unit::Ohm),
        Quantity::DcMilliamperes => typographic(&exact(figure.value, Unit::Ampere)),
    }
}

/// What a row of the manual prints, with its unit: of one limit printed in place of a value, which side of it is
/// meant.
pub(crate) fn printed_by_row(row: &ManualRow<'_>, figure: &Figure) -> String {
    sided(row, printed_with_unit(figure, row.quantity))
}

/// The same in a column of direct volts.
pub(crate) fn row_in_table(row: &ManualRow<'_>, figure: &Figure) -> String {
    sided(row, in_table(figure, row.quantity))
}

fn sided(row: &ManualRow<'_>, figure: String) -> String {
    match (row.one_limit, row.tolerance) {
        (false, _) => figure,
        (true, Some(Tolerance::AtMost(_))) => format!("under {figure}"),
        (true, _) => format!("over {figure}"),
    }
}

/// The figure in a column of direct volts: without a unit, unless it is another quantity.
pub(crate) fn in_table(figure: &Figure, quantity: Quantity) -> String {
    match quantity {
        Quantity::DcVolts => printed(figure),
        other => printed_with_unit(figure, other),
    }
}

/// Three significant digits with the unit, such as `1.25 W`.
pub(crate) fn stated_short(value: f64, unit: units::Unit) -> String {
    format!("{} {unit}", typographic(&short(value, 3)))
}

/// Volts after a finished number.
pub(crate) fn with_volts(number: &str) -> String {
    format!("{number} V")
}

/// So many significant digits, without zeros at the end: `7.5`, `220`, `0.3`.
pub(crate) fn short(value: f64, digits: usize) -> String {
    if !value.is_finite() {
        return "—".to_owned();
    }
    let text = significant(value, digits);
    let text = match text.contains('.') && !text.contains(['e', 'E']) {
        true => text.trim_end_matches('0').trim_end_matches('.'),
        false => &text,
    };
    typographic(text)
}

/// So many significant digits, all of them shown.
pub(crate) fn digits(value: f64, digits: usize) -> String {
    match value.is_finite() {
        true => typographic(&significant(value, digits)),
        false => "—".to_owned(),
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
    // There are no milliohms on a bench.
    if exponent < 0 {
        return format!("{} Ω", typographic(&significant(value, 1)));
    }
    let digits = if exponent.rem_euclid(3) == 2 { 3 } else { 2 };
    typographic(&engineering(value, Unit::Ohm, digits))
}

/// A stated value with all its digits and its unit, such as `250 V` or `11 MΩ`.
pub(crate) fn stated(value: f64, unit: Unit) -> String {
    if unit == Unit::Ohm && (1e-3..1.0).contains(&value.abs()) {
        // There are no milliohms on a bench.
        typographic(&format!("{value} Ω"))
    } else if value.is_finite() {
        typographic(&exact(value, unit))
    } else {
        "—".to_owned()
    }
}

/// The bench meter's range, or that it has none for what it should show.
pub(crate) fn bench_range(side: &BenchSide) -> String {
    let volts = range(side.range.full_scale, false);
    match side.is_beyond_range() {
        true => format!("over {volts}"),
        false => volts,
    }
}

/// A range as it is engraved on a meter (1000 V, not 1 kV), in brackets where it was assumed.
pub(crate) fn range(full_scale: f64, assumed: bool) -> String {
    let volts = if full_scale >= 1.0 {
        format!("{full_scale} V")
    } else {
        stated(full_scale, Unit::Volt)
    };
    match assumed {
        true => format!("({volts})"),
        false => volts,
    }
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
    fn short_figures_lose_their_last_zeros() {
        let got = [7.5, 220.0, 0.3, 0.4321, 19.999_999_9].map(|value| short(value, 3));
        assert_eq!(got, ["7.5", "220", "0.3", "0.432", "20"]);
        assert_eq!(digits(-0.5, 3), "−0.500");
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
            (0.5, "0.5 Ω"),
            (0.06, "0.06 Ω"),
            (0.0, "0 Ω"),
            (1e-12, "0 Ω"),
            (f64::INFINITY, "—"),
        ] {
            assert_eq!(ohms(value), want, "{value}");
        }
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
        assert_eq!(range(250.0, true), "(250 V)");
        assert_eq!(range(1000.0, true), "(1000 V)");
        assert_eq!(range(2.5, false), "2.5 V");
        assert_eq!(range(0.2, false), "200 mV");
    }
}
