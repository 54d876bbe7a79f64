//! How many digits a number shows, and with which signs: one rule for every renderer.
//!
//! A carried value rests on a printed one and must not look finer than that: three significant
//! digits, at most one decimal more than the manual prints, at least the manual's own decimals.
//! Beside its uncertainty U it ends at the same place as U, which has one or two significant
//! digits (JCGM 100:2008, 7.2.6): two if the rule above leaves room for them, else one. Terminal and Markdown get the typographic minus (U+2212) and an ellipsis between limits.

use circuit::Quantity;
use translate::{Band, BenchSide};
use units::{decimals_for, engineering, exact, fixed, round_to, significant, Figure, Unit};

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

/// The last place that a value and its expanded uncertainty show, as a number of decimals; −1 is
/// tens. Without an uncertainty that is [`carried_decimals`].
pub(crate) fn place_beside(value: f64, expanded: f64, resolution: f64) -> i32 {
    let carried = i32::try_from(carried_decimals(value, resolution)).unwrap_or(0);
    if !expanded.is_finite() || expanded <= 0.0 {
        return carried;
    }
    let place = |digits: i32| {
        // The exponent is taken after rounding, so that 0.996 counts as 1.0.
        let rounded = format!("{expanded:.*e}", usize::from(digits > 1));
        let exponent: Option<i32> = rounded.split_once('e').and_then(|(_, e)| e.parse().ok());
        digits - 1 - exponent.unwrap_or(0)
    };
    carried.min(place(2)).max(place(1))
}

/// The last place of what a meter should show.
pub(crate) fn last_place(side: &BenchSide, resolution: f64) -> i32 {
    place_beside(side.expected, side.budget.expanded(), resolution)
}

/// A number that ends at a place as [`last_place`] gives it.
pub(crate) fn at_place(value: f64, place: i32) -> String {
    match usize::try_from(place) {
        Ok(decimals) => decimal(value, decimals),
        Err(_) => decimal(round_to(value, 10f64.powi(-place)), 0),
    }
}

/// What a meter should show.
pub(crate) fn expected(side: &BenchSide, resolution: f64) -> String {
    at_place(side.expected, last_place(side, resolution))
}

/// Its expanded uncertainty; nothing where none is known.
pub(crate) fn uncertainty(side: &BenchSide, resolution: f64) -> String {
    let expanded = side.budget.expanded();
    match expanded.is_finite() && expanded > 0.0 {
        true => at_place(expanded, last_place(side, resolution)),
        false => String::new(),
    }
}

/// Decimals for both limits of a band: those of the coarser one, and no more than the expected
/// value beside them shows.
pub(crate) fn band_decimals(side: &BenchSide, resolution: f64) -> usize {
    let own = [side.band.low, side.band.high]
        .iter()
        .flatten()
        .map(|limit| carried_decimals(*limit, resolution))
        .min()
        .unwrap_or(0);
    let shown = usize::try_from(last_place(side, resolution)).unwrap_or(0);
    own.min(shown)
}

/// Both limits: `121 … 182`; `max 0.5` or `min 3` where one side is open; nothing where both are.
pub(crate) fn band(side: &BenchSide, resolution: f64) -> String {
    limits(side.band, band_decimals(side, resolution))
}

/// The limits beside a reading: with as many more decimals as it takes to show on which side of
/// them the reading lies, so that no verdict seems to contradict the figures next to it.
pub(crate) fn band_beside(side: &BenchSide, resolution: f64, reading: f64) -> String {
    let start = band_decimals(side, resolution);
    let band = side.band;
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

/// A probability in percent without the sign: `87`, and `>99` or `<1` rather than a certainty.
pub(crate) fn probability(share: f64) -> String {
    let percent = share * 100.0;
    if percent >= 99.5 {
        ">99".to_owned()
    } else if percent < 0.5 {
        "<1".to_owned()
    } else {
        decimal(percent, 0)
    }
}

/// A share of the whole in percent without the sign, to be read beside others: `43`, `0.4`, `<0.1`.
pub(crate) fn share(part: f64) -> String {
    let text = percent(part * 100.0);
    match text.as_str() {
        "0.0" if part > 0.0 => "<0.1".to_owned(),
        _ => text,
    }
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

/// Both limits of a band by themselves: those of the coarser one decide.
pub(crate) fn limits_alone(band: Band, resolution: f64) -> String {
    let own = [band.low, band.high]
        .into_iter()
        .flatten()
        .map(|limit| carried_decimals(limit, resolution));
    limits(band, own.min().unwrap_or(0))
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

    /// A side with this band; standard uncertainty `standard` and k = 2.
    fn side(expected: f64, low: Option<f64>, high: Option<f64>, standard: f64) -> BenchSide {
        BenchSide {
            meter: "10M".into(),
            range: circuit::MeterRange {
                full_scale: 200.0,
                input: None,
            },
            input_ohms: 10e6,
            expected,
            band: Band { low, high },
            budget: translate::Budget {
                lines: Vec::new(),
                standard,
                coverage: 2.0,
            },
        }
    }

    #[test]
    fn a_value_ends_where_its_uncertainty_ends() {
        // By hand: at most two digits of U, at most the carried digits of the value, at least one
        // digit of U.
        for (value, resolution, standard, want) in [
            (146.94, 1.0, 2.6, ("147", "5")),
            (146.94, 1.0, 6.0, ("147", "12")),
            (146.94, 1.0, 61.7, ("150", "120")),
            (306.4, 1.0, 0.24, ("306.4", "0.5")),
            (1.3134, 0.1, 0.049, ("1.31", "0.10")),
            (1.3134, 0.1, 0.1, ("1.31", "0.20")),
            (1.3134, 0.1, 0.498, ("1.3", "1.0")),
            (1.3134, 0.1, 7.0, ("1", "14")),
            (-18.63, 0.1, 0.7, ("−18.6", "1.4")),
            (0.0, 1.0, 0.3, ("0.0", "0.6")),
            (0.0, 1.0, 0.7, ("0", "1")),
            (146.94, 1.0, 0.0, ("147", "")),
            (146.94, 1.0, f64::NAN, ("147", "")),
        ] {
            let side = side(value, None, None, standard);
            let got = (expected(&side, resolution), uncertainty(&side, resolution));
            assert_eq!((got.0.as_str(), got.1.as_str()), want, "{value} {standard}");
        }
    }

    #[test]
    fn limits_share_their_decimals_and_are_no_finer_than_the_value() {
        let of = |low, high, resolution, standard| {
            let side = side(1.3, low, high, standard);
            band(&side, resolution)
        };
        assert_eq!(of(Some(121.3), Some(182.0), 1.0, 0.01), "121 … 182");
        assert_eq!(of(Some(-0.96), Some(-0.64), 0.1, 0.01), "−0.96 … −0.64");
        assert_eq!(of(Some(-0.96), Some(-0.64), 0.1, 0.6), "−1.0 … −0.6");
        assert_eq!(of(Some(9.51), Some(14.26), 1.0, 0.01), "9.5 … 14.3");
        assert_eq!(of(Some(89.13), Some(133.7), 1.0, 0.01), "89 … 134");
        assert_eq!(of(None, Some(0.5), 0.1, 0.01), "max 0.50");
        assert_eq!(of(Some(3.0), None, 1.0, 0.01), "min 3.0");
        assert_eq!(of(None, None, 1.0, 0.01), "");
    }

    #[test]
    fn limits_never_seem_to_contradict_a_verdict() {
        let side = side(147.0, Some(117.5), Some(176.3), 2.6);
        // 117.6 lies inside, though the limit rounds to 118; 150 needs no decimals.
        assert_eq!(band_beside(&side, 1.0, 117.6), "117.5 … 176.3");
        assert_eq!(band_beside(&side, 1.0, 150.0), "118 … 176");
    }

    #[test]
    fn probabilities_are_never_certain_and_shares_never_nothing() {
        let got = [0.0, 0.004, 0.006, 0.5, 0.994, 0.996, 1.0].map(probability);
        assert_eq!(got, ["<1", "<1", "1", "50", "99", ">99", ">99"]);
        assert_eq!(
            [0.43, 0.031, 0.0001, 0.0].map(share),
            ["43", "3.1", "<0.1", "0.0"]
        );
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
