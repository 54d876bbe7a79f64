//! Limits that a cell of a chart states itself: `5..7`, `under 3`, `6 max.`
//!
//! Text without marks and the unit of its place come in; the limits and the value they stand for go
//! out. The words are common practice, no source.

use std::ops::Range;

use crate::figure::is_bare;
use crate::scan::{ends, is_fraction, split_unit, starts, trim, MINUS};
use crate::value_error::{ValueError, ValueErrorKind as Kind};
use crate::{Figure, Tolerance, Unit};

/// Words before or after a single limit. Those with `true` usually refer to the size of a value, so
/// that their meaning is not clear for a negative value.
const AT_MOST: [(&str, bool); 13] = [
    ("less than", true),
    ("not more than", true),
    ("not over", true),
    ("up to", true),
    ("or less", true),
    ("below", true),
    ("under", true),
    ("at most", false),
    ("max.", false),
    ("max", false),
    ("<=", false),
    ("≤", false),
    ("<", false),
];
const AT_LEAST: [(&str, bool); 13] = [
    ("more than", true),
    ("greater than", true),
    ("not less than", true),
    ("above", true),
    ("over", true),
    ("or more", true),
    ("or higher", true),
    ("at least", false),
    ("min.", false),
    ("min", false),
    (">=", false),
    ("≥", false),
    (">", false),
];

/// Signs between two limits that do not occur within a number.
const BETWEEN: [&str; 4] = ["...", "..", "…", " to "];

/// One or two limits that a cell states.
pub(crate) struct Limits {
    /// The midpoint of two, or the one.
    pub figure: Figure,
    /// Whether no unit or prefix stands with them.
    pub bare: bool,
    /// As limits, in the unit of the figure.
    pub stated: Tolerance,
}

/// The limits of a text without marks; none if it states none.
///
/// # Errors
/// [`ValueError`] for a fault of them, with byte ranges of the whole text.
pub(crate) fn limits(
    text: &str,
    inner: Range<usize>,
    place: Unit,
) -> Result<Option<Limits>, ValueError> {
    let said = text.get(inner.clone()).unwrap_or("");
    for (words, most) in [(&AT_MOST[..], true), (&AT_LEAST[..], false)] {
        let found = beside(said, words).or_else(|| plus(said, place).filter(|_| !most));
        let Some((rest, of_size)) = found else {
            continue;
        };
        let at = trim(text, inner.start + rest.start..inner.start + rest.end);
        let figure = Figure::parse_range(text, at.clone(), place)?;
        let value = figure.value;
        if of_size && value < 0.0 {
            let number = figure.text;
            return Err(ValueError::new(Kind::UnclearBound { number }, inner));
        }
        return Ok(Some(Limits {
            bare: is_bare(text, at, place),
            figure,
            stated: match most {
                true => Tolerance::AtMost(value),
                false => Tolerance::AtLeast(value),
            },
        }));
    }
    let pair = between(text, &inner)?;
    pair.map(|(low, high)| two(text, low, high, place))
        .transpose()
}

/// The text without one of the words at either end, and whether the word refers to size.
fn beside(said: &str, words: &[(&str, bool)]) -> Option<(Range<usize>, bool)> {
    words.iter().find_map(|(word, of_size)| {
        let starts = starts(said, word).map(|rest| rest..said.len());
        let ends = || ends(said, word).map(|rest| 0..rest);
        Some((starts.or_else(ends)?, *of_size))
    })
}

/// A plus sign behind ohms, `50K+`: so much, and more once the filter capacitors are charged. Behind volts
/// it may be their sign.
fn plus(said: &str, place: Unit) -> Option<(Range<usize>, bool)> {
    let rest = said.strip_suffix('+').filter(|_| place == Unit::Ohm)?;
    let ends_number = rest
        .trim_end()
        .ends_with(|last: char| last.is_alphanumeric() || last == 'Ω');
    ends_number.then_some((0..rest.len(), false))
}

type Pair = Option<(Range<usize>, Range<usize>)>;

/// The two limits of a text that has them.
fn between(text: &str, inner: &Range<usize>) -> Result<Pair, ValueError> {
    let said = text.get(inner.clone()).unwrap_or("");
    let parts = |at: usize, length: usize| {
        let low = trim(text, inner.start..inner.start + at);
        let high = trim(text, inner.start + at + length..inner.end);
        (low, high)
    };
    // ASCII folding keeps the byte positions.
    let folded = said.to_ascii_lowercase();
    let sign = BETWEEN
        .iter()
        .find_map(|sign| Some((folded.find(sign)?, sign.len())));
    if let Some((at, length)) = sign {
        return Ok(Some(parts(at, length)));
    }
    let Some((at, length)) = dash_between(said) else {
        return Ok(None);
    };
    let (low, high) = parts(at, length);
    let written = |range: &Range<usize>| text.get(range.clone()).unwrap_or("").to_owned();
    if is_fraction(&written(&high)) {
        // `5-1/2` is an old way to print 5½, because limits are never in falling order.
        return Ok(None);
    }
    if let Some(size) = written(&low).strip_prefix(MINUS) {
        let kind = Kind::UnclearSign {
            negative: format!("-{}..-{}", written(&high), size.trim()),
            across: format!("-{}..{}", size.trim(), written(&high)),
        };
        return Err(ValueError::new(kind, inner.clone()));
    }
    Ok(Some((low, high)))
}

/// A dash with a number on both sides, blanks on both or on none.
fn dash_between(said: &str) -> Option<(usize, usize)> {
    said.char_indices().skip(1).find_map(|(at, letter)| {
        if !MINUS.contains(&letter) {
            return None;
        }
        let (before, behind) = (said.get(..at)?, said.get(at + letter.len_utf8()..)?);
        let last = before.trim_end().chars().next_back()?;
        let exponent = before.ends_with(['e', 'E'])
            && before
                .trim_end_matches(['e', 'E'])
                .ends_with(|c: char| c.is_ascii_digit());
        let number = behind
            .trim_start()
            .starts_with(|c: char| c.is_ascii_digit() || c == '.');
        let spaced = before.ends_with(char::is_whitespace);
        let even = spaced == behind.starts_with(char::is_whitespace);
        let ends_number = last.is_alphanumeric() || "Ω½¼¾".contains(last);
        (number && even && ends_number && !exponent).then_some((at, letter.len_utf8()))
    })
}

/// Two limits, and their midpoint as the value.
fn two(
    text: &str,
    low: Range<usize>,
    high: Range<usize>,
    place: Unit,
) -> Result<Limits, ValueError> {
    let written = |range: &Range<usize>| text.get(range.clone()).unwrap_or("");
    let ends = [written(&low), written(&high)];
    let whole = low.start..high.end;
    let elsewhere = |error: ValueError| ValueError::new(error.kind, whole.clone());
    let canonical = |a: &str, b: &str| format!("{a}..{b}");
    let negative = |end: &str| end.starts_with(MINUS);
    let parsed = Tolerance::parse(&canonical(ends[0], ends[1]), place);
    let found = match parsed {
        // For negative values, manuals print the smaller size first: `-4 to -6`.
        Err(ValueError {
            kind: Kind::BadLimits { .. },
            ..
        }) if ends.iter().all(|e| negative(e)) => {
            let (size, unit) = split_unit(ends[1]);
            let first = match split_unit(ends[0]) {
                (size, "") => format!("{size}{unit}"),
                _ => ends[0].to_owned(),
            };
            Tolerance::parse(&canonical(&format!("{size}{unit}"), &first), place)
        }
        other => other,
    }
    .map_err(elsewhere)?;
    let Tolerance::Limits {
        low: least,
        high: most,
    } = found
    else {
        return Err(ValueError::new(Kind::NotANumber, whole));
    };
    let middle = least + (most - least) / 2.0;
    let fineness = |end: &Range<usize>| {
        let figure = Figure::parse_range(text, end.clone(), place).map_err(elsewhere)?;
        Ok::<f64, ValueError>(figure.resolution)
    };
    let alike = is_bare(text, low.clone(), place) == is_bare(text, high.clone(), place);
    let step = match alike {
        true => fineness(&low)?.min(fineness(&high)?),
        // The unit of one limit applies to the other.
        false if is_bare(text, low.clone(), place) => fineness(&high)?,
        false => fineness(&low)?,
    };
    // The midpoint of 4 and 7 is half a step between two digits.
    let steps = middle / step;
    let on_a_digit = (steps - steps.round()).abs() < 1e-6;
    Ok(Limits {
        figure: Figure {
            value: middle,
            unit: place,
            text: String::new(),
            resolution: if on_a_digit { step } else { step / 2.0 },
        },
        bare: alike && is_bare(text, low, place),
        stated: found,
    })
}
