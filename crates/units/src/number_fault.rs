//! Why a text is no number, with the way to write it.
//!
//! The text and what was read of it come in; an error goes out. A comma and a tolerance letter after a
//! value have two meanings each: they are refused with both ways to write them, and never guessed.

use std::ops::Range;

use crate::figure::Number;
use crate::scan::{replaced, MINUS};
use crate::suffix::{self, Meaning};
use crate::value_error::{ValueError, ValueErrorKind as Kind};
use crate::Unit;

/// Words for "no reading", compared without regard to capitals.
pub(crate) const NO_READING_WORDS: [&str; 7] =
    ["∞", "inf", "infinite", "infinity", "open", "ol", "o.l."];

/// The error for a text that does not begin with a number.
pub(crate) fn no_number(body: &str, whole: Range<usize>) -> ValueError {
    let unsigned = body
        .trim_start_matches(MINUS)
        .trim_start_matches('+')
        .trim_start();
    let first = unsigned.split_whitespace().next().unwrap_or("");
    if NO_READING_WORDS.contains(&first.to_lowercase().as_str()) {
        let word = first.to_string();
        return ValueError::new(Kind::NoReading { word }, whole);
    }
    ValueError::new(Kind::NotANumber, whole)
}

/// The error for a comma, by its possible meanings. Three digits after it may be thousands or
/// decimals, unless they are `000` of a plain number, which nobody prints as decimals.
pub(crate) fn comma(text: &str, range: Range<usize>, after: &str) -> ValueError {
    let token = text.get(range.clone()).unwrap_or("");
    let (commas_at, points_at) = (token.matches(',').count(), token.matches('.').count());
    let without = replaced(text, &range, &token.replace(',', ""));
    let (integer, fraction) = token.split_once(',').unwrap_or((token, ""));
    let lead = if integer.is_empty() { "0" } else { integer };
    let decimal = replaced(
        text,
        &range,
        &format!("{}.{fraction}", lead.replace('.', "")),
    );
    let kind = if token.ends_with(',') {
        Kind::NotANumber
    } else if points_at <= 1 && in_thousands(token) {
        let scaled = matches!(suffix::meaning(after.trim()),
            Meaning::Known(suffix) if suffix.exponent != 0);
        let whole_thousands = fraction == "000" && !scaled;
        if commas_at > 1 || points_at == 1 || whole_thousands {
            Kind::ThousandsComma {
                suggestion: without,
            }
        } else {
            Kind::UnclearComma {
                decimal,
                thousands: without,
            }
        }
    } else if commas_at == 1 && !fraction.contains('.') {
        Kind::DecimalComma {
            suggestion: decimal,
        }
    } else {
        Kind::NotANumber
    };
    ValueError::new(kind, range)
}

/// Whether the commas before the decimal point separate thousands: `20,000`, `1,234,567.8`.
fn in_thousands(token: &str) -> bool {
    let integer = token.split('.').next().unwrap_or("");
    let fraction = token.split_once('.').map_or("", |(_, fraction)| fraction);
    let mut groups = integer.split(',');
    let first = groups.next().unwrap_or("");
    let mut rest = groups.peekable();
    (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && rest.peek().is_some()
        && rest.all(|group| group.len() == 3)
        && !fraction.contains(',')
}

/// The error for the text after a number.
pub(crate) fn bad_suffix(text: &str, number: &Number, place: Unit) -> ValueError {
    let rest = number.rest.clone();
    let word = text.get(rest.clone()).unwrap_or("");
    let folded = word.to_lowercase();
    if folded.starts_with('%') || folded.starts_with("percent") {
        return ValueError::new(Kind::PercentOutOfPlace { expected: place }, rest);
    }
    if let Some(digit) = word.find(|c: char| c.is_ascii_digit()) {
        return ValueError::new(Kind::TwoNumbers, rest.start + digit..rest.end);
    }
    if folded.contains("/v") || folded.contains("per v") {
        return ValueError::new(Kind::SensitivityOutOfPlace { expected: place }, rest);
    }
    if let Some(error) = tolerance_letter(text, number, place) {
        return error;
    }
    let nearest = suffix::nearest(word, place);
    let word = word.to_string();
    ValueError::new(Kind::UnknownSuffix { word, nearest }, rest)
}

/// `4K7K`, `47KJ`: a tolerance letter directly after a value. K and M are multipliers too, so such
/// a text is refused and not guessed.
fn tolerance_letter(text: &str, number: &Number, place: Unit) -> Option<ValueError> {
    if !matches!(place, Unit::Ohm | Unit::Farad | Unit::Henry) {
        return None;
    }
    let rest = number.rest.clone();
    let word = text.get(rest.clone())?;
    let letter = word.chars().next_back()?;
    let at = rest.end - letter.len_utf8();
    let before = text.get(rest.start..at)?;
    let percent = tolerance_percent(word.get(before.len()..)?)?;
    let prefix_stands = match (&number.code, suffix::meaning(before.trim())) {
        (Some(_), _) => before.is_empty(),
        (None, Meaning::Known(_)) => true,
        (None, _) => false,
    };
    if !prefix_stands {
        return None;
    }
    let value = text.get(number.whole.start..at)?.trim().replace('K', "k");
    let suggestion = format!("{value} {percent}%");
    let kind = Kind::ToleranceLetter {
        letter,
        percent,
        suggestion,
    };
    Some(ValueError::new(kind, at..rest.end))
}

/// Symmetrical tolerance letters of IEC 60062, in percent. From memory; the table of the standard
/// was not available.
pub(crate) fn tolerance_percent(letter: &str) -> Option<f64> {
    Some(match letter {
        "B" => 0.1,
        "C" => 0.25,
        "D" => 0.5,
        "F" => 1.0,
        "G" => 2.0,
        "J" => 5.0,
        "K" => 10.0,
        "M" => 20.0,
        "N" => 30.0,
        _ => return None,
    })
}
