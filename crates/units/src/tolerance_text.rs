//! Reads a tolerance: a percentage, an amount, two limits, or one limit.
//!
//! Text and the unit of its place come in; a [`Tolerance`] goes out. A prefix that may or may not
//! apply to both limits is refused, with both ways to write it.

use std::ops::Range;

use crate::figure::{number, suffix_of, Number};
use crate::percent::{after_plus_minus, percent_scaled, refuse_negative, says_percent};
use crate::scan::trim;
use crate::suffix::Suffix;
use crate::value_error::{ValueError, ValueErrorKind as Kind};
use crate::{Figure, Tolerance, Unit};

/// Words before a single limit; the longer spelling first if one is the beginning of the other.
const AT_MOST: [&str; 5] = ["max.", "max", "at most", "<=", "≤"];
const AT_LEAST: [&str; 5] = ["min.", "min", "at least", ">=", "≥"];
/// Signs between two limits.
const BETWEEN: [&str; 3] = ["...", "..", "…"];

impl Tolerance {
    /// Reads `20%`, `±20%`, `±0.5V`, `130..160 V`, `max 0.5 V`, `min 3 V`. A limit without a unit
    /// takes that of the place; a plain amount must have a unit, because a bare `20` may be
    /// percent.
    ///
    /// # Errors
    /// [`ValueError`] for a fault in a number or unit, a negative or one-sided amount, a bare
    /// number, and limits that are out of order or unclear.
    pub fn parse(text: &str, place: Unit) -> Result<Tolerance, ValueError> {
        let whole = trim(text, 0..text.len());
        let body = text.get(whole.clone()).unwrap_or("");
        if let Some(word) = leading_word(body, &AT_MOST) {
            let high = Figure::parse_range(text, whole.start + word..whole.end, place)?;
            return Ok(Tolerance::AtMost(high.value));
        }
        if let Some(word) = leading_word(body, &AT_LEAST) {
            let low = Figure::parse_range(text, whole.start + word..whole.end, place)?;
            return Ok(Tolerance::AtLeast(low.value));
        }
        let between = |sign: &&str| body.find(*sign).map(|at| (whole.start + at, sign.len()));
        if let Some((at, length)) = BETWEEN.iter().find_map(between) {
            return limits(text, whole.start..at, at + length..whole.end, place);
        }
        amount(text, whole, place)
    }
}

/// Length in bytes of the first of the words that the body begins with, ignoring case.
fn leading_word(body: &str, words: &[&str]) -> Option<usize> {
    let begins = |word: &&&str| {
        body.get(..word.len())
            .is_some_and(|head| head.eq_ignore_ascii_case(word))
    };
    words.iter().find(begins).map(|word| word.len())
}

/// Percent, or plus-or-minus an amount.
fn amount(text: &str, whole: Range<usize>, place: Unit) -> Result<Tolerance, ValueError> {
    let range = after_plus_minus(text, whole)?;
    let number = number(text, range.clone(), None)?;
    if says_percent(text, &number) {
        return percent_scaled(text, range, 0).map(Tolerance::Percent);
    }
    if number.rest.is_empty() {
        let bare = text.get(range).unwrap_or("");
        let kind = Kind::BareTolerance {
            percent: format!("{bare}%"),
            absolute: format!("±{bare} {place}"),
        };
        return Err(ValueError::new(kind, number.whole));
    }
    let figure = Figure::parse_range(text, range, place)?;
    refuse_negative(text, &number)?;
    Ok(Tolerance::Absolute(figure.value))
}

/// One of two limits.
struct Limit<'a> {
    number: Number,
    suffix: Suffix,
    at: Range<usize>,
    written: &'a str,
}

impl<'a> Limit<'a> {
    fn parse(text: &'a str, range: Range<usize>, place: Unit) -> Result<Limit<'a>, ValueError> {
        let number = number(text, range.clone(), Some(place))?;
        Figure::parse_range(text, range, place)?;
        let (suffix, at) = suffix_of(text, &number, place)?;
        let written = text.get(number.whole.clone()).unwrap_or("");
        Ok(Limit {
            number,
            suffix,
            at,
            written,
        })
    }

    /// Whether it has no prefix, no unit and no letter code.
    fn is_bare(&self) -> bool {
        self.number.code.is_none() && self.number.rest.is_empty()
    }

    fn is_zero(&self) -> bool {
        self.number.digits.bytes().all(|digit| digit == b'0')
    }
}

fn limits(
    text: &str,
    low_range: Range<usize>,
    high_range: Range<usize>,
    place: Unit,
) -> Result<Tolerance, ValueError> {
    let low = Limit::parse(text, low_range, place)?;
    let high = Limit::parse(text, high_range, place)?;
    let whole = low.number.whole.start..high.number.whole.end;
    let (marked, bare) = if low.is_bare() {
        (&high, &low)
    } else {
        (&low, &high)
    };
    let shared = bare.is_bare() && !marked.is_bare() && marked.suffix.exponent != 0;
    let mut low_shift = low.suffix.exponent;
    if shared && !bare.is_zero() {
        // A full unit at the end, "130..160 mV", applies to both limits; a prefix letter alone, or
        // a unit at the first limit alone, is not clear. Neither is a unit that would reverse the
        // order of the limits.
        let full_unit = low.is_bare() && high.number.code.is_none() && high.suffix.unit.is_some();
        low_shift = high.suffix.exponent;
        if !full_unit || low.number.value(low_shift)? > high.number.value(low_shift)? {
            return Err(ValueError::new(unclear(text, &low, &high, place), whole));
        }
    }
    let (low_value, high_value) = (
        low.number.value(low_shift)?,
        high.number.value(high.suffix.exponent)?,
    );
    if low_value > high_value {
        let suggestion = format!("{}..{}", high.written, low.written);
        return Err(ValueError::new(Kind::BadLimits { suggestion }, whole));
    }
    Ok(Tolerance::Limits {
        low: low_value,
        high: high_value,
    })
}

fn unclear(text: &str, low: &Limit<'_>, high: &Limit<'_>, place: Unit) -> Kind {
    if low.is_bare() {
        let mark = text.get(high.at.clone()).unwrap_or("");
        Kind::UnclearLimits {
            both: format!("{}{mark}..{}", low.written, high.written),
            one: format!("{} {place}..{}", low.written, high.written),
        }
    } else {
        let mark = text.get(low.at.clone()).unwrap_or("");
        Kind::UnclearLimits {
            both: format!("{}..{}{mark}", low.written, high.written),
            one: format!("{}..{} {place}", low.written, high.written),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(text: &str) -> Result<Tolerance, ValueError> {
        Tolerance::parse(text, Unit::Volt)
    }

    fn help(text: &str) -> String {
        parse(text).unwrap_err().help().unwrap_or_default()
    }

    #[test]
    fn percent_in_every_spelling() {
        for text in [
            "20%",
            "±20%",
            "+-20 %",
            "+/-20%",
            "± 20 percent",
            "+\u{2212}20%",
        ] {
            assert_eq!(parse(text), Ok(Tolerance::Percent(20.0)), "{text}");
        }
    }

    #[test]
    fn amounts_and_single_limits() {
        for text in ["±0.5V", "+/- 500 mV", "0.5 volts", "±0V5"] {
            assert_eq!(parse(text), Ok(Tolerance::Absolute(0.5)), "{text}");
        }
        assert_eq!(parse("max 0.5 V"), Ok(Tolerance::AtMost(0.5)));
        assert_eq!(parse("Max. -1"), Ok(Tolerance::AtMost(-1.0)));
        assert_eq!(parse("min 3 V"), Ok(Tolerance::AtLeast(3.0)));
        assert_eq!(parse("≥3V"), Ok(Tolerance::AtLeast(3.0)));
    }

    #[test]
    fn limits_with_the_unit_at_either_end() {
        let want = Ok(Tolerance::Limits {
            low: 130.0,
            high: 160.0,
        });
        for text in [
            "130..160 V",
            "130V..160V",
            "130 V..160",
            "130..160",
            "130…160V",
            "130 ... 160",
        ] {
            assert_eq!(parse(text), want, "{text}");
        }
        let negative = Ok(Tolerance::Limits {
            low: -2.0,
            high: -1.0,
        });
        assert_eq!(parse("-2..-1 V"), negative);
        let milli = Ok(Tolerance::Limits {
            low: 0.13,
            high: 0.16,
        });
        assert_eq!(parse("130..160 mV"), milli);
        assert_eq!(
            parse("0..2k"),
            Ok(Tolerance::Limits {
                low: 0.0,
                high: 2000.0
            })
        );
    }

    #[test]
    fn unclear_limits_are_refused_with_both_ways() {
        assert_eq!(help("1..2k"), "write `1k..2k` or `1 V..2k`");
        assert_eq!(help("100mV..2"), "write `100mV..2mV` or `100mV..2 V`");
        assert!(help("500..2 kV").contains("`500 V..2 kV`"));
        assert_eq!(help("160..130 V"), "write `130 V..160`");
        assert_eq!(help("-1..-2 V"), "write `-2 V..-1`");
        assert_eq!(parse("1..2..3").unwrap_err().kind, Kind::TwoNumbers);
        assert_eq!(parse("..160").unwrap_err().kind, Kind::Empty);
    }

    #[test]
    fn bare_negative_and_unfitting_amounts_are_refused() {
        assert_eq!(help("20"), "write `20%` or `±20 V`");
        assert_eq!(help("-20%"), "write `20%`");
        assert_eq!(help("±-0.5V"), "write `±0.5V`");
        assert!(help("+20%").contains("`±20%`"));
        assert_eq!(help("±0,5V"), "write `±0.5V`");
        assert!(matches!(
            parse("±5 mA").unwrap_err().kind,
            Kind::WrongUnit { .. }
        ));
        assert_eq!(parse("130-160 V").unwrap_err().kind, Kind::TwoNumbers);
        assert_eq!(parse(" ").unwrap_err().kind, Kind::Empty);
    }
}
