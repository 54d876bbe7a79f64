//! Percentages: shares such as a wiper's position, and the tolerances of parts.
//!
//! Text comes in; a number goes out. What the share refers to is not known here.

use std::ops::Range;

use crate::figure::{number, Number};
use crate::number_fault::tolerance_percent;
use crate::scan::{replaced, trim, MINUS};
use crate::value_error::{ValueError, ValueErrorKind as Kind};

/// Signs for "plus or minus" that people type.
const PLUS_MINUS: [&str; 5] = ["\u{b1}", "+/-", "+/\u{2212}", "+-", "+\u{2212}"];

/// Reads a share in percent and returns the fraction: `40%` gives 0.4.
///
/// # Errors
/// [`ValueError`] if there is no number, no percent sign, a comma, or a minus.
pub fn parse_percent(text: &str) -> Result<f64, ValueError> {
    percent_scaled(text, 0..text.len(), -2)
}

/// Reads the tolerance of a part and returns the fraction: `10%` and `±10%` give 0.1.
///
/// A single tolerance letter of IEC 60062 is read too: `J` gives 0.05, `K` 0.1, `M` 0.2.
///
/// # Errors
/// [`ValueError`] if there is no number, no percent sign, a comma, a minus, or a one-sided plus.
pub fn parse_part_tolerance(text: &str) -> Result<f64, ValueError> {
    let whole = trim(text, 0..text.len());
    if let Some(percent) = text.get(whole.clone()).and_then(tolerance_percent) {
        return Ok(percent / 100.0);
    }
    let amount = after_plus_minus(text, whole)?;
    percent_scaled(text, amount, -2)
}

/// The range after a plus-or-minus sign, if there is one. A lone plus would be a one-sided
/// tolerance.
pub(crate) fn after_plus_minus(
    text: &str,
    whole: Range<usize>,
) -> Result<Range<usize>, ValueError> {
    let body = text.get(whole.clone()).unwrap_or("");
    for sign in PLUS_MINUS {
        if body.starts_with(sign) {
            return Ok(trim(text, whole.start + sign.len()..whole.end));
        }
    }
    if body.starts_with('+') {
        let two_amounts = body.contains(['/', '-', '\u{2212}']);
        let both_ways = || replaced(text, &(whole.start..whole.start + 1), "\u{b1}");
        let suggestion = (!two_amounts).then(both_ways);
        return Err(ValueError::new(Kind::OneSided { suggestion }, whole));
    }
    Ok(whole)
}

/// Whether the text after a number is a percent sign or the word.
pub(crate) fn says_percent(text: &str, number: &Number) -> bool {
    let word = text.get(number.rest.clone()).unwrap_or("").to_lowercase();
    ["%", "percent", "per cent"].contains(&word.as_str())
}

/// The number before the percent sign, times 10^`shift`.
pub(crate) fn percent_scaled(
    text: &str,
    range: Range<usize>,
    shift: i64,
) -> Result<f64, ValueError> {
    let number = number(text, range, None)?;
    let rest = text.get(number.rest.clone()).unwrap_or("");
    if !says_percent(text, &number) {
        if let Some(digit) = rest.find(|c: char| c.is_ascii_digit()) {
            let second = number.rest.start + digit..number.rest.end;
            return Err(ValueError::new(Kind::TwoNumbers, second));
        }
        let bare = rest.is_empty();
        let span = if bare {
            number.whole.clone()
        } else {
            number.rest.clone()
        };
        let written = || text.get(number.whole.clone()).unwrap_or("").to_string();
        let suggestion = bare.then(|| format!("{}%", written()));
        return Err(ValueError::new(Kind::BadPercent { suggestion }, span));
    }
    refuse_negative(text, &number)?;
    number.value(shift)
}

/// Refuses a minus before an amount that cannot have a sign.
pub(crate) fn refuse_negative(text: &str, number: &Number) -> Result<(), ValueError> {
    if number.negative {
        let suggestion = text.trim().replace(MINUS, "");
        return Err(ValueError::new(
            Kind::Negative { suggestion },
            number.whole.clone(),
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_is_a_fraction() {
        for (text, want) in [
            ("40%", 0.4f64),
            (" 0.05 % ", 0.0005),
            ("100 percent", 1.0),
            ("0%", 0.0),
        ] {
            // Both are the number nearest to the same decimal.
            assert_eq!(
                parse_percent(text).map(f64::to_bits),
                Ok(want.to_bits()),
                "{text}"
            );
        }
    }

    #[test]
    fn a_part_may_have_sign_or_letter() {
        for text in ["10%", "±10%", "+-10 %", "+/- 10%", "K"] {
            assert_eq!(
                parse_part_tolerance(text).map(f64::to_bits),
                Ok(0.1f64.to_bits()),
                "{text}"
            );
        }
        let plus = parse_part_tolerance("+80%").unwrap_err();
        assert_eq!(
            plus.help().as_deref(),
            Some("write the same amount for both sides, such as `±80%`")
        );
        assert_eq!(
            parse_part_tolerance("+80/-20%").unwrap_err().kind,
            Kind::OneSided { suggestion: None }
        );
    }

    #[test]
    fn what_is_no_percentage_is_refused_with_a_hint() {
        let bare = parse_percent("40").unwrap_err();
        assert!(bare.help().is_some_and(|help| help.contains("`40%`")));
        let volts = parse_percent("40 V").unwrap_err();
        assert_eq!(
            (volts.kind, volts.span),
            (Kind::BadPercent { suggestion: None }, 3..4)
        );
        let minus = parse_percent("-5%").unwrap_err();
        assert_eq!(
            minus.kind,
            Kind::Negative {
                suggestion: "5%".to_string()
            }
        );
        let comma = parse_percent("0,5%").unwrap_err();
        assert_eq!(
            comma.kind,
            Kind::DecimalComma {
                suggestion: "0.5%".to_string()
            }
        );
        assert_eq!(parse_percent("10% 5%").unwrap_err().kind, Kind::TwoNumbers);
    }
}
