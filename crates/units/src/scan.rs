//! The scanner of numbers: sign, digits, point, exponent, and the letter codes of IEC 60062.
//!
//! A text and the range to read come in; the decimal digits and a power of ten go out, with the
//! place where the suffix begins. Nothing is rounded here: that is done once, when a value is asked
//! for. A comma is refused with both ways to write the number, and never guessed.

use std::ops::Range;

use crate::suffix::{self, Meaning, Suffix};
use crate::value_error::{ValueError, ValueErrorKind as Kind};
use crate::Unit;

/// Words for "no reading", compared without regard to capitals.
pub(crate) const NO_READING_WORDS: [&str; 7] =
    ["∞", "inf", "infinite", "infinity", "open", "ol", "o.l."];

/// An exponent beyond this is out of the range of any number; it is limited so that it does not
/// overflow.
const EXPONENT_CAP: i64 = 1_000_000;

/// Characters for a minus: hyphen, minus sign, en dash, and the hyphens of other code points.
pub(crate) const MINUS: [char; 7] = [
    '-', '\u{2212}', '\u{2013}', '\u{2010}', '\u{2011}', '\u{2012}', '\u{ff0d}',
];

/// The vulgar fractions that are single characters, as decimals and with their denominators.
const FRACTIONS: [(char, &str, u8); 7] = [
    ('½', "5", 2),
    ('¼', "25", 4),
    ('¾', "75", 4),
    ('⅛', "125", 8),
    ('⅜', "375", 8),
    ('⅝', "625", 8),
    ('⅞', "875", 8),
];

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

/// The range without blanks at its ends.
pub(crate) fn trim(text: &str, range: Range<usize>) -> Range<usize> {
    let inner = text.get(range.clone()).unwrap_or("");
    let start = range.start + (inner.len() - inner.trim_start().len());
    start..start + inner.trim().len()
}

/// The trimmed whole text with one range of it replaced.
pub(crate) fn replaced(text: &str, range: &Range<usize>, by: &str) -> String {
    let before = text.get(..range.start).unwrap_or("");
    let after = text.get(range.end..).unwrap_or("");
    format!("{before}{by}{after}").trim().to_string()
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

/// Digits, points and commas from the start; two points in a row separate the limits of a
/// tolerance.
fn number_token(text: &str) -> &str {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',');
    let token = text.get(..end.unwrap_or(text.len())).unwrap_or("");
    token
        .find("..")
        .map_or(token, |points| token.get(..points).unwrap_or(""))
}

/// The digits of a vulgar fraction after (or in place of) a whole number, its denominator, and the
/// text after it: `5½`, `4 1/2`, `5-1/2`, `1/2`. Only halves, quarters and eighths, because these
/// are exact.
fn fraction<'a>(token: &str, after: &'a str) -> Option<(&'static str, u8, &'a str)> {
    if token.contains(['.', ',']) {
        return None;
    }
    let joined = after.trim_start();
    if let Some(letter) = joined.chars().next() {
        if let Some((_, digits, parts)) = FRACTIONS.iter().find(|(sign, ..)| *sign == letter) {
            return Some((digits, *parts, joined.get(letter.len_utf8()..)?));
        }
    }
    let (numerator, rest) = if is_numerator(token, after) {
        (token, after)
    } else if token.is_empty() {
        return None;
    } else {
        let blank = joined.len() < after.len();
        let joined = match joined.strip_prefix('-') {
            Some(behind) if !blank => behind,
            _ if blank => joined,
            _ => return None,
        };
        split_digits(joined)
    };
    let (denominator, rest) = split_digits(rest.strip_prefix('/')?);
    let (digits, parts) = match (numerator, denominator) {
        ("1", "2") => ("5", 2),
        ("1", "4") => ("25", 4),
        ("3", "4") => ("75", 4),
        ("1", "8") => ("125", 8),
        ("3", "8") => ("375", 8),
        ("5", "8") => ("625", 8),
        ("7", "8") => ("875", 8),
        _ => return None,
    };
    Some((digits, parts, rest))
}

/// Whether a number is the upper half of a fraction: `1` of `1/2`.
fn is_numerator(token: &str, after: &str) -> bool {
    !token.is_empty() && after.starts_with('/')
}

/// Whether a text is a fraction without a whole number, perhaps with a unit: `1/2 V`.
pub(crate) fn is_fraction(text: &str) -> bool {
    let token = number_token(text);
    is_numerator(token, text.get(token.len()..).unwrap_or(""))
}

/// A number and the letters after it: `-4` and `V` of `-4 V`.
pub(crate) fn split_unit(text: &str) -> (&str, &str) {
    let end = text
        .rfind(|c: char| c.is_ascii_digit() || c == '.')
        .map_or(0, |at| at + 1);
    let (number, unit) = text.split_at_checked(end).unwrap_or((text, ""));
    (number, unit.trim())
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

type Code<'a> = (Suffix, usize, &'a str, &'a str);

/// `k7` after `4`: meaning of the letters, their length, the digits, and the text after them.
fn inner_code<'a>(token: &str, after: &'a str) -> Option<Code<'a>> {
    if token.contains('.') {
        return None;
    }
    let letters = after.find(|c: char| !c.is_alphabetic())?;
    let (word, behind) = after.split_at_checked(letters)?;
    let (digits, rest) = split_digits(behind);
    match suffix::meaning(word) {
        Meaning::Known(code) if !digits.is_empty() => Some((code, letters, digits, rest)),
        _ => None,
    }
}

/// `R47`: a letter before all digits. A letter that is not a decimal mark for this unit is not read
/// as one, because `V1` in a cell of volts is a tube and not a tenth of a volt.
fn leading_code(text: &str, place: Unit) -> Option<Code<'_>> {
    let letter = text.chars().next()?;
    let fits = match letter {
        'R' | '\u{3a9}' | '\u{2126}' => true,
        'k' | 'K' | 'M' | 'G' => place == Unit::Ohm,
        'p' | 'n' | 'u' | '\u{b5}' | '\u{3bc}' | 'm' => place == Unit::Farad,
        _ => false,
    };
    let (word, behind) = text.split_at_checked(letter.len_utf8())?;
    let (digits, rest) = split_digits(behind);
    match suffix::meaning(word) {
        Meaning::Known(code) if fits && !digits.is_empty() => {
            Some((code, word.len(), digits, rest))
        }
        _ => None,
    }
}

fn split_digits(text: &str) -> (&str, &str) {
    let end = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    text.split_at_checked(end).unwrap_or((text, ""))
}

fn no_number(body: &str, whole: Range<usize>) -> ValueError {
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
fn comma(text: &str, range: Range<usize>, after: &str) -> ValueError {
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
