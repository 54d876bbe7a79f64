//! A number as it was printed.
//!
//! Text and the unit of its place come in; value, text and the size of the last printed digit go
//! out. It holds the rules for the text that may follow a number. What the number belongs to is not
//! known here.

use std::fmt;
use std::ops::Range;

use crate::scan::{self, Number};
use crate::suffix::{self, Meaning, Suffix};
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
        Unit::ALL.iter().any(|place| {
            let number = scan::number(text, 0..text.len(), Some(*place)).ok();
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
        let number = scan::number(text, range, Some(place))?;
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

/// The error for the text after a number.
fn bad_suffix(text: &str, number: &Number, place: Unit) -> ValueError {
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

#[cfg(test)]
#[path = "figure_tests.rs"]
mod tests;
