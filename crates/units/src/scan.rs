//! The pieces of a printed number: signs for a minus, runs of digits, vulgar fractions.
//!
//! A text comes in; parts of it go out. What they are worth is not known here.

use std::ops::Range;

/// Characters for a minus: hyphen, minus sign, en dash, and the hyphens of other code points.
pub(crate) const MINUS: [char; 7] = [
    '-', '\u{2212}', '\u{2013}', '\u{2010}', '\u{2011}', '\u{2012}', '\u{ff0d}',
];

/// The vulgar fractions, as single characters and as two numbers, with their decimals and denominators.
const FRACTIONS: [(char, [&str; 2], &str, u8); 7] = [
    ('½', ["1", "2"], "5", 2),
    ('¼', ["1", "4"], "25", 4),
    ('¾', ["3", "4"], "75", 4),
    ('⅛', ["1", "8"], "125", 8),
    ('⅜', ["3", "8"], "375", 8),
    ('⅝', ["5", "8"], "625", 8),
    ('⅞', ["7", "8"], "875", 8),
];

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

/// Digits, points and commas from the start; two points in a row separate the limits of a
/// tolerance.
pub(crate) fn number_token(text: &str) -> &str {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',');
    let token = text.get(..end.unwrap_or(text.len())).unwrap_or("");
    token
        .find("..")
        .map_or(token, |points| token.get(..points).unwrap_or(""))
}

/// The digits of a vulgar fraction after (or in place of) a whole number, its denominator, and the
/// text after it: `5½`, `4 1/2`, `5-1/2`, `1/2`. Only halves, quarters and eighths, because these
/// are exact.
pub(crate) fn fraction<'a>(token: &str, after: &'a str) -> Option<(&'static str, u8, &'a str)> {
    if token.contains(['.', ',']) {
        return None;
    }
    let joined = after.trim_start();
    if let Some(letter) = joined.chars().next() {
        if let Some((_, _, digits, parts)) = FRACTIONS.iter().find(|(sign, ..)| *sign == letter) {
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
    let mut each = FRACTIONS.iter();
    let (_, _, digits, parts) = each.find(|(_, own, ..)| *own == [numerator, denominator])?;
    Some((digits, *parts, rest))
}

/// Whether a number is the upper half of a fraction: `1` of `1/2`.
pub(crate) fn is_numerator(token: &str, after: &str) -> bool {
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

pub(crate) fn split_digits(text: &str) -> (&str, &str) {
    let end = text
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(text.len());
    text.split_at_checked(end).unwrap_or((text, ""))
}

/// The byte after a word that the text begins with, ignoring case. A word of letters must not be
/// followed by a letter.
pub(crate) fn starts(said: &str, word: &str) -> Option<usize> {
    let (head, rest) = said.split_at_checked(word.len())?;
    let runs_on = word.ends_with(|c: char| c.is_alphabetic())
        && rest.starts_with(|c: char| c.is_alphabetic());
    (head.eq_ignore_ascii_case(word) && !runs_on && !rest.trim().is_empty())
        .then_some(said.len() - rest.len())
}

/// The first byte of a word that the text ends with, ignoring case.
pub(crate) fn ends(said: &str, word: &str) -> Option<usize> {
    let at = said.len().checked_sub(word.len())?;
    let (rest, tail) = said.split_at_checked(at)?;
    (tail.eq_ignore_ascii_case(word) && !rest.trim().is_empty()).then_some(at)
}
