//! The number formatters that terminal, paper and tables share.
//!
//! Numbers come in; text goes out, rounded once from the exact value (ties in the exact binary
//! value go to the even digit, as the standard library does). The minus sign is ASCII; the report
//! handles typography.

use crate::Unit;

/// SI prefixes by power of ten, as printed. The mu is the micro sign, U+00B5.
const PREFIXES: [(i32, &str); 8] = [
    (-12, "p"),
    (-9, "n"),
    (-6, "\u{b5}"),
    (-3, "m"),
    (0, ""),
    (3, "k"),
    (6, "M"),
    (9, "G"),
];

/// The most significant digits that are printed; no `f64` needs more.
const MOST_DIGITS: usize = 17;

/// Engineering notation with `digits` significant digits: `4.700 kΩ`, `-1.200 V`.
///
/// Digits are limited to 1 to 17. If the number has more places before the decimal point than
/// digits asked for, the missing places are zeros (`150 V` for 151 with two digits). Beyond the
/// prefixes an exponent is printed; a number that is not finite is printed as `∞ Ω` or `NaN Ω`.
pub fn engineering(value: f64, unit: Unit, digits: usize) -> String {
    let symbol = unit.symbol();
    let digits = digits.clamp(1, MOST_DIGITS);
    if !value.is_finite() {
        return not_finite(value, symbol);
    }
    let rounded = format!("{:.*e}", digits - 1, value.abs());
    scaled(value, &rounded, symbol)
}

/// The shortest text that [`Figure::parse`](crate::Figure::parse) reads back as the identical number:
/// `4.7 kΩ`, `-1.2 V`, `50 nF`.
///
/// Negative zero is printed as zero. Numbers below 1e-290 are printed, but are not always read
/// back, because one unit of their last digit is below the range of an `f64`. A number that is not
/// finite has no such text; it is printed as by [`engineering`].
pub fn exact(value: f64, unit: Unit) -> String {
    if !value.is_finite() {
        return not_finite(value, unit.symbol());
    }
    // The standard library prints the fewest digits that identify this number, and moving the
    // decimal point by a prefix does not change the decimal number that is read back.
    scaled(value, &format!("{:e}", value.abs()), unit.symbol())
}

/// A fixed number of decimals: `fixed(1.25, 1)` is `1.2`. Never prints a negative zero.
pub fn fixed(value: f64, decimals: usize) -> String {
    without_negative_zero(format!("{value:.decimals$}"))
}

/// Decimals that show one unit of a resolution: 0.1 → 1, 1 → 0, 10 → 0. Anything not above zero gives 0.
pub fn decimals_for(resolution: f64) -> usize {
    if !resolution.is_finite() || resolution <= 0.0 {
        return 0;
    }
    let printed = format!("{resolution:e}");
    let (_, exponent) = mantissa_and_exponent(&printed);
    usize::try_from(-exponent).unwrap_or(0)
}

/// `digits` significant digits as a plain decimal between 1e-4 and 1e7, with an exponent beyond.
///
/// Digits are limited to 1 to 17; zero is printed with `digits` − 1 decimals.
pub fn significant(value: f64, digits: usize) -> String {
    let digits = digits.clamp(1, MOST_DIGITS);
    if !value.is_finite() {
        return not_finite(value, "").trim_end().to_string();
    }
    let printed = format!("{:.*e}", digits - 1, value.abs());
    let (mantissa, exponent) = mantissa_and_exponent(&printed);
    if (-4..7).contains(&exponent) {
        format!("{}{}", sign(value), place_point(mantissa, exponent))
    } else {
        format!("{}{printed}", sign(value))
    }
}

/// The multiple of `resolution` nearest to a value, halves away from zero.
///
/// A resolution that is not above zero, or so fine that the value has no such digit, leaves the value as
/// it is.
pub fn round_to(value: f64, resolution: f64) -> f64 {
    if !resolution.is_finite() || resolution <= 0.0 {
        return value;
    }
    // 0.1 has no exact binary form but 10 has: dividing by 10 gives the number nearest to the decimal.
    let inverse = (1.0 / resolution).round();
    let is_fraction = resolution < 1.0 && (inverse * resolution - 1.0).abs() < 1e-12;
    let rounded = if is_fraction {
        (value * inverse).round() / inverse
    } else {
        (value / resolution).round() * resolution
    };
    if rounded.is_finite() {
        rounded
    } else {
        value
    }
}

/// Converts a number printed as `4.7e3` to engineering notation.
fn scaled(value: f64, printed: &str, symbol: &str) -> String {
    let (mantissa, exponent) = mantissa_and_exponent(printed);
    match step(exponent, symbol) {
        Some((power, prefix)) => format!(
            "{}{} {prefix}{symbol}",
            sign(value),
            place_point(mantissa, exponent - power)
        ),
        None => format!("{}{printed} {symbol}", sign(value)),
    }
}

/// The prefix for a power of ten. Old sheets use "mF" and "MF" for microfarads, so neither is
/// printed for capacitors.
fn step(exponent: i32, symbol: &str) -> Option<(i32, &'static str)> {
    if !(-15..15).contains(&exponent) {
        return None;
    }
    let mut power = (exponent.div_euclid(3) * 3).clamp(-12, 9);
    if symbol == "F" {
        power = if power == -3 { -6 } else { power.min(0) };
    }
    PREFIXES.into_iter().find(|(of, _)| *of == power)
}

/// Splits `4.7e3` into digits and exponent. The standard library always prints both parts.
fn mantissa_and_exponent(printed: &str) -> (&str, i32) {
    let (mantissa, exponent) = printed.split_once('e').unwrap_or((printed, "0"));
    (mantissa, exponent.parse().unwrap_or(0))
}

/// Moves the decimal point of `4.70` by a number of places, filling with zeros.
fn place_point(mantissa: &str, places: i32) -> String {
    let digits = mantissa.replace('.', "");
    match usize::try_from(places) {
        Err(_) => {
            let zeros = usize::try_from(-places - 1).unwrap_or(0);
            format!("0.{}{digits}", "0".repeat(zeros))
        }
        Ok(places) if places + 1 >= digits.len() => {
            let zeros = places + 1 - digits.len();
            format!("{digits}{}", "0".repeat(zeros))
        }
        Ok(places) => {
            let (integer, fraction) = digits.split_at_checked(places + 1).unwrap_or((&digits, ""));
            format!("{integer}.{fraction}")
        }
    }
}

fn sign(value: f64) -> &'static str {
    if value < 0.0 {
        "-"
    } else {
        ""
    }
}

fn not_finite(value: f64, symbol: &str) -> String {
    let name = if value.is_nan() { "NaN" } else { "∞" };
    format!("{}{name} {symbol}", sign(value))
}

fn without_negative_zero(text: String) -> String {
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|byte| byte == b'0' || byte == b'.') => rest.to_string(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn engineering_rounds_before_it_chooses_the_prefix() {
        assert_eq!(engineering(999.96, Unit::Ohm, 4), "1.000 kΩ");
        assert_eq!(engineering(999.94, Unit::Ohm, 4), "999.9 Ω");
        assert_eq!(engineering(4700.0, Unit::Ohm, 4), "4.700 kΩ");
        assert_eq!(engineering(-0.012, Unit::Ampere, 3), "-12.0 mA");
        assert_eq!(engineering(0.0, Unit::Volt, 4), "0.000 V");
        assert_eq!(engineering(-0.0, Unit::Volt, 1), "0 V");
        assert_eq!(engineering(151.0, Unit::Volt, 2), "150 V");
        assert_eq!(engineering(5e-8, Unit::Farad, 2), "50 nF");
        assert_eq!(engineering(0.0022, Unit::Farad, 4), "2200 µF");
        assert_eq!(engineering(1e-14, Unit::Ampere, 2), "0.010 pA");
        assert_eq!(engineering(2e-20, Unit::Ampere, 2), "2.0e-20 A");
        assert_eq!(engineering(f64::INFINITY, Unit::Ohm, 4), "∞ Ω");
        assert_eq!(engineering(f64::NEG_INFINITY, Unit::Volt, 4), "-∞ V");
        assert_eq!(engineering(f64::NAN, Unit::Volt, 4), "NaN V");
    }

    #[test]
    fn exact_prints_no_digit_too_many() {
        assert_eq!(exact(220_000.0, Unit::Ohm), "220 kΩ");
        assert_eq!(exact(-1.2, Unit::Volt), "-1.2 V");
        assert_eq!(exact(0.1 + 0.2, Unit::Volt), "300.00000000000004 mV");
        assert_eq!(exact(0.0, Unit::Hertz), "0 Hz");
    }

    #[test]
    fn fixed_and_its_decimals() {
        assert_eq!(fixed(83.25, 1), "83.2");
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-0.06, 1), "-0.1");
        let wanted = [
            (0.1, 1),
            (1.0, 0),
            (10.0, 0),
            (0.01, 2),
            (0.001, 3),
            (0.25, 1),
        ];
        for (resolution, decimals) in wanted {
            assert_eq!(decimals_for(resolution), decimals, "{resolution}");
        }
        assert_eq!(
            decimals_for(0.0) + decimals_for(-1.0) + decimals_for(f64::NAN),
            0
        );
    }

    #[test]
    fn significant_is_plain_between_its_bounds() {
        assert_eq!(significant(0.00012345, 3), "0.000123");
        assert_eq!(significant(0.000012345, 3), "1.23e-5");
        assert_eq!(significant(1_234_567.0, 3), "1230000");
        assert_eq!(significant(9_999_999.0, 3), "1.00e7");
        assert_eq!(significant(-9.996, 3), "-10.0");
        assert_eq!(significant(0.0, 3), "0.00");
    }

    #[test]
    fn rounding_to_a_printed_digit_gives_the_decimal_number() {
        // Decimal literals are the numbers nearest to the decimals, so equality is the claim to test.
        for (value, resolution, want) in [
            (83.26, 0.1, 83.3),
            (-83.26, 0.1, -83.3),
            (147.0, 10.0, 150.0),
            (0.62, 0.25, 0.5),
            (5.0, 0.0, 5.0),
            (1e300, 1e-20, 1e300),
        ] {
            assert_eq!(round_to(value, resolution).to_string(), want.to_string());
        }
    }
}
