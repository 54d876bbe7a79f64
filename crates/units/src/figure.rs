//! A number as it was printed.
//!
//! Text and the unit of its place come in; value, text and the size of the last printed digit go
//! out: sign, digits, point, exponent, letter code or fraction, and the text that may follow. Nothing
//! is rounded before the value is asked for, and then once. What the number belongs to is not
//! known here.

use std::fmt;
use std::ops::Range;

use crate::number_fault::{bad_suffix, comma, no_number, tolerance_percent};
use crate::scan::{fraction, is_numerator, number_token, split_digits, trim, MINUS};
use crate::suffix::{self, inner_code, leading_code, Meaning, Suffix};
use crate::value_error::{ValueError, ValueErrorKind as Kind};
use crate::Unit;

/// A printed number: its digits show how finely it was rounded.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The value in the SI base unit of `unit`; finite.
    pub value: f64,
    /// The unit.
    pub unit: Unit,
    /// The text as printed, without blanks around it.
    pub text: String,
    /// One unit in the last printed digit, in the SI base unit: 1.0 for `150 V`, 100.0 for `4k7`.
    /// Finite and above zero.
    pub resolution: f64,
}

impl Figure {
    /// Reads a number with optional SI prefix and unit, or an IEC 60062 letter code. A number without a
    /// unit takes that of its place.
    ///
    /// # Errors
    /// [`ValueError`] with the byte range of the fault: no number, an unknown or unsuitable unit, a
    /// comma, more than one number, a number out of range, a tolerance letter directly after a
    /// value.
    pub fn parse(text: &str, place: Unit) -> Result<Figure, ValueError> {
        Figure::parse_range(text, 0..text.len(), place)
    }

    /// Whether a text is a number in some unit, or a number with a unit whose meaning depends only
    /// on the age of the sheet.
    pub fn is_one(text: &str) -> bool {
        // Most words that are asked about have no digit.
        text.contains(char::is_numeric)
            && Unit::ALL.iter().any(|place| {
                let number = number(text, 0..text.len(), Some(*place)).ok();
                number.is_some_and(|number| match following(text, &number, *place) {
                    Ok((suffix, _)) => {
                        suffix.unit.is_none_or(|found| found == *place)
                            && number.value(suffix.exponent).is_ok()
                            && number.resolution(suffix.exponent).is_ok()
                    }
                    Err(unread) => matches!(unread, Unread::Ambiguous { .. }),
                })
            })
    }

    /// Reads part of a text; error ranges and suggestions are for the whole text.
    pub(crate) fn parse_range(
        text: &str,
        range: Range<usize>,
        place: Unit,
    ) -> Result<Figure, ValueError> {
        let number = number(text, range, Some(place))?;
        let (suffix, at) = suffix_of(text, &number, place)?;
        if let Some(found) = suffix.unit.filter(|found| *found != place) {
            let expected = place;
            return Err(ValueError::new(Kind::WrongUnit { found, expected }, at));
        }
        Ok(Figure {
            value: number.value(suffix.exponent)?,
            unit: place,
            text: text.get(number.whole.clone()).unwrap_or("").to_string(),
            resolution: number.resolution(suffix.exponent)?,
        })
    }
}

impl fmt::Display for Figure {
    /// The text as printed.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.text)
    }
}

/// An exponent beyond this is out of the range of any number; it is limited so that it does not
/// overflow.
const EXPONENT_CAP: i64 = 1_000_000;

/// A number as written: (-) digits × 10^exponent.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Number {
    pub negative: bool,
    pub digits: String,
    pub exponent: i64,
    /// The denominator of a vulgar fraction, if the number ends in one; it gives the resolution.
    pub denominator: Option<u8>,
    /// The letter in place of the decimal point, and its place.
    pub code: Option<(Suffix, Range<usize>)>,
    /// The whole range that was to be read, without blanks around it.
    pub whole: Range<usize>,
    /// The text after the number, without blanks around it.
    pub rest: Range<usize>,
}

impl Number {
    /// The value times 10^`shift`, rounded once from the decimal digits; -0 counts as 0.
    pub fn value(&self, shift: i64) -> Result<f64, ValueError> {
        let sign = if self.negative { "-" } else { "" };
        let exponent = self.exponent + shift;
        let value = self.decimal(&format!("{sign}{}e{exponent}", self.digits))?;
        let zero = self.digits.bytes().all(|digit| digit == b'0');
        if value == 0.0 && !zero {
            return Err(ValueError::new(Kind::TooSmall, self.whole.clone()));
        }
        Ok(if zero { 0.0 } else { value })
    }

    /// One unit in the last written digit, times 10^`shift`.
    pub fn resolution(&self, shift: i64) -> Result<f64, ValueError> {
        let unit = match self.denominator {
            Some(parts) => self.decimal(&format!("1e{shift}"))? / f64::from(parts),
            None => self.decimal(&format!("1e{}", self.exponent + shift))?,
        };
        if unit == 0.0 {
            return Err(ValueError::new(Kind::TooSmall, self.whole.clone()));
        }
        Ok(unit)
    }

    fn decimal(&self, text: &str) -> Result<f64, ValueError> {
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() => Ok(value),
            _ => Err(ValueError::new(Kind::TooLarge, self.whole.clone())),
        }
    }
}

/// Reads the number at the start of a range. Letter codes are read only if the unit of the place is
/// given.
pub(crate) fn number(
    text: &str,
    range: Range<usize>,
    place: Option<Unit>,
) -> Result<Number, ValueError> {
    let whole = trim(text, range);
    let body = text.get(whole.clone()).unwrap_or("");
    if body.is_empty() {
        return Err(ValueError::new(Kind::Empty, whole));
    }
    let unsigned = body
        .strip_prefix(MINUS)
        .or_else(|| body.strip_prefix('+'))
        .unwrap_or(body)
        .trim_start();
    let mut number = Number {
        negative: body.starts_with(MINUS),
        digits: String::new(),
        exponent: 0,
        denominator: None,
        code: None,
        rest: whole.end..whole.end,
        whole: whole.clone(),
    };
    let start = whole.end - unsigned.len();
    let token = number_token(unsigned);
    let after = unsigned.get(token.len()..).unwrap_or("");
    let token_range = start..start + token.len();
    if token.contains(',') {
        return Err(comma(text, token_range, after));
    }
    let rest = if let Some((fraction, denominator, rest)) = fraction(token, after) {
        let integer = if is_numerator(token, after) {
            "0"
        } else {
            token
        };
        number.digits = format!("{integer}{fraction}");
        number.exponent = -(fraction.len() as i64);
        number.denominator = Some(denominator);
        rest
    } else if token.is_empty() {
        let code = place.and_then(|place| leading_code(unsigned, place));
        let Some((code, length, fraction, rest)) = code else {
            return Err(no_number(body, whole));
        };
        number.digits = fraction.to_string();
        number.exponent = -(fraction.len() as i64);
        number.code = Some((code, start..start + length));
        rest
    } else {
        let (integer, fraction) = token.split_once('.').unwrap_or((token, ""));
        if fraction.contains('.') || (integer.is_empty() && fraction.is_empty()) {
            return Err(ValueError::new(Kind::NotANumber, token_range));
        }
        number.digits = format!("{integer}{fraction}");
        number.exponent = -(fraction.len() as i64);
        if let Some((exponent, rest)) = exponent(after) {
            number.exponent += exponent;
            rest
        } else if let Some((code, length, fraction, rest)) =
            place.and_then(|_| inner_code(token, after))
        {
            number.digits.push_str(fraction);
            number.exponent = -(fraction.len() as i64);
            number.code = Some((code, token_range.end..token_range.end + length));
            rest
        } else {
            after
        }
    };
    number.rest = trim(text, whole.end - rest.len()..whole.end);
    Ok(number)
}

/// `e3`, `E-6`: the exponent and what follows it.
fn exponent(text: &str) -> Option<(i64, &str)> {
    let unsigned_from = text.strip_prefix(['e', 'E'])?;
    let unsigned = unsigned_from
        .strip_prefix(MINUS)
        .or_else(|| unsigned_from.strip_prefix('+'))
        .unwrap_or(unsigned_from);
    let (digits, rest) = split_digits(unsigned);
    if digits.is_empty() {
        return None;
    }
    let size = digits
        .parse::<i64>()
        .unwrap_or(EXPONENT_CAP)
        .min(EXPONENT_CAP);
    let negative = unsigned_from.starts_with(MINUS);
    Some((if negative { -size } else { size }, rest))
}

/// Whether part of a text is a number with neither unit nor prefix.
pub(crate) fn is_bare(text: &str, at: Range<usize>, place: Unit) -> bool {
    number(text, at, Some(place))
        .is_ok_and(|number| number.rest.is_empty() && number.code.is_none())
}

/// Why the text after a number has no meaning.
enum Unread {
    /// It has two meanings, depending on the age of the sheet.
    Ambiguous {
        small: &'static str,
        large: &'static str,
    },
    Unknown,
}

/// Power of ten and unit of a scanned number, from its letter code or from the text after it.
pub(crate) fn suffix_of(
    text: &str,
    number: &Number,
    place: Unit,
) -> Result<(Suffix, Range<usize>), ValueError> {
    following(text, number, place).map_err(|unread| match unread {
        Unread::Ambiguous { small, large } => {
            let rest = number.rest.clone();
            let word = text.get(rest.clone()).unwrap_or("").to_string();
            ValueError::new(Kind::AmbiguousSuffix { word, small, large }, rest)
        }
        Unread::Unknown => bad_suffix(text, number, place),
    })
}

/// The same without the text and hints of an error, which take longer than the reading itself.
fn following(text: &str, number: &Number, place: Unit) -> Result<(Suffix, Range<usize>), Unread> {
    let rest = number.rest.clone();
    let word = text.get(rest.clone()).unwrap_or("");
    match (&number.code, suffix::meaning(word)) {
        (Some((code, at)), _) if word.is_empty() => Ok((*code, at.clone())),
        // `4k7 ohm`: the code has the prefix, the word has the unit. Where ohms are expected, an
        // `F` at the end is a tolerance letter and not farads.
        (Some((code, _)), Meaning::Known(Suffix { exponent: 0, unit }))
            if code.unit.is_none() || code.unit == unit =>
        {
            let unfitting_letter = unit != Some(place) && tolerance_percent(word).is_some();
            if unfitting_letter {
                return Err(Unread::Unknown);
            }
            let unit = unit.or(code.unit);
            Ok((Suffix { unit, ..*code }, rest))
        }
        (Some(_), _) => Err(Unread::Unknown),
        (None, Meaning::Known(known)) => Ok((known, rest)),
        (None, _) if word.is_empty() => Ok((
            Suffix {
                exponent: 0,
                unit: None,
            },
            rest,
        )),
        (None, Meaning::Ambiguous { small, large }) => Err(Unread::Ambiguous { small, large }),
        (None, Meaning::Unknown) => Err(Unread::Unknown),
    }
}

#[cfg(test)]
#[path = "figure_tests.rs"]
mod tests;
