//! A cell of a chart as manuals print it: a value with the marks around it, or a sign that there is
//! none.
//!
//! Text and the unit of its place come in; value, limits, footnotes and marks go out. The signs for
//! no value and the words for limits and approximations are common practice, no source. A cell that
//! may mean two things is refused, with both ways to write it. Tables are not known here.

use std::ops::Range;

use crate::cell_marks::{self as marks, Mark};
use crate::scan::{self, trim};
use crate::value_error::{ValueError, ValueErrorKind as Kind};
use crate::{Figure, Tolerance, Unit};

/// The content of a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// No value: blank, or a sign for it as printed, such as `N.R.` or a dash.
    Nothing(String),
    /// An open circuit, as printed: `∞`, `inf`. Only where ohms are expected.
    Open(String),
    /// A value.
    Value(Box<PrintedCell>),
}

/// A printed value and the marks around it.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintedCell {
    /// The value: the midpoint of two printed limits, or the one printed limit. Its text is that of
    /// the cell without footnotes.
    pub figure: Figure,
    /// Whether it has neither unit nor prefix, so that its place decides the unit.
    pub bare: bool,
    /// Limits that the cell itself states, in the unit of the figure.
    pub limits: Option<Tolerance>,
    /// Whether it is marked as approximate.
    pub approximate: bool,
    /// Footnote marks and brackets, as printed.
    pub notes: Vec<String>,
    /// Whether it is marked as alternating (`true`) or direct (`false`).
    pub alternating: Option<bool>,
    /// Full scale of the range that it was read on, in volts, as in `145 @250`.
    pub range: Option<f64>,
}

/// Words before or after a single limit. Those with `true` usually refer to the size of a value, so
/// that their meaning is not clear for a negative value.
const AT_MOST: [(&str, bool); 12] = [
    ("less than", true),
    ("not more than", true),
    ("not over", true),
    ("up to", true),
    ("below", true),
    ("under", true),
    ("at most", false),
    ("max.", false),
    ("max", false),
    ("<=", false),
    ("≤", false),
    ("<", false),
];
const AT_LEAST: [(&str, bool); 10] = [
    ("more than", true),
    ("greater than", true),
    ("not less than", true),
    ("above", true),
    ("at least", false),
    ("min.", false),
    ("min", false),
    (">=", false),
    ("≥", false),
    (">", false),
];

/// Signs between two limits that do not occur within a number.
const BETWEEN: [&str; 4] = ["...", "..", "…", " to "];

/// Reads a cell. A blank one is [`Cell::Nothing`].
///
/// # Errors
/// [`ValueError`] for any fault of the value, with byte ranges of the whole text.
pub fn parse_cell(text: &str, place: Unit) -> Result<Cell, ValueError> {
    let whole = trim(text, 0..text.len());
    let body = text.get(whole.clone()).unwrap_or("");
    if marks::says_nothing(body) {
        return Ok(Cell::Nothing(body.to_owned()));
    }
    let mut cell = PrintedCell {
        figure: Figure {
            value: 0.0,
            unit: place,
            text: String::new(),
            resolution: 1.0,
        },
        bare: true,
        limits: None,
        approximate: false,
        notes: Vec::new(),
        alternating: None,
        range: None,
    };
    let inner = without_marks(text, whole, place, &mut cell)?;
    let said = text.get(inner.clone()).unwrap_or("");
    if place == Unit::Ohm && crate::ohms_cell::says_open(said) {
        return Ok(Cell::Open(said.to_owned()));
    }
    if said.is_empty() && !cell.notes.is_empty() {
        return Ok(Cell::Nothing(body.to_owned()));
    }
    read(text, inner.clone(), place, &mut cell)?;
    cell.figure.text = said.to_owned();
    Ok(Cell::Value(Box::new(cell)))
}

/// Removes footnotes, brackets, kinds of volts, ranges and approximations from both ends.
fn without_marks(
    text: &str,
    mut inner: Range<usize>,
    place: Unit,
    cell: &mut PrintedCell,
) -> Result<Range<usize>, ValueError> {
    while let Some((mark, rest)) = marks::strip(text, &inner, place) {
        match mark {
            Mark::Note(note) => cell.notes.insert(0, note),
            Mark::Bracketed => cell.notes.push("in brackets".to_owned()),
            Mark::Approximate => cell.approximate = true,
            Mark::Alternating(kind) => match cell.alternating {
                Some(other) if other != kind => {
                    return Err(ValueError::new(Kind::BothKinds, inner));
                }
                _ => cell.alternating = Some(kind),
            },
            Mark::Range(range) => {
                let figure = Figure::parse_range(text, range.clone(), Unit::Volt)?;
                if figure.value <= 0.0 {
                    return Err(ValueError::new(Kind::RangeNotPositive, range));
                }
                cell.range = Some(figure.value);
            }
        }
        inner = rest;
    }
    Ok(inner)
}

/// Value and limits of the remaining text.
fn read(
    text: &str,
    inner: Range<usize>,
    place: Unit,
    cell: &mut PrintedCell,
) -> Result<(), ValueError> {
    let said = text.get(inner.clone()).unwrap_or("");
    for (words, most) in [(&AT_MOST[..], true), (&AT_LEAST[..], false)] {
        let Some((rest, of_size)) = beside(said, words) else {
            continue;
        };
        let at = trim(text, inner.start + rest.start..inner.start + rest.end);
        cell.figure = Figure::parse_range(text, at.clone(), place)?;
        cell.bare = is_bare(text, at, place);
        let value = cell.figure.value;
        if of_size && value < 0.0 {
            let number = cell.figure.text.clone();
            return Err(ValueError::new(Kind::UnclearBound { number }, inner));
        }
        cell.limits = Some(match most {
            true => Tolerance::AtMost(value),
            false => Tolerance::AtLeast(value),
        });
        return Ok(());
    }
    match between(text, &inner)? {
        Some((low, high)) => limits(text, low, high, place, cell),
        None => {
            cell.figure = Figure::parse_range(text, inner.clone(), place)?;
            cell.bare = is_bare(text, inner, place);
            Ok(())
        }
    }
}

fn is_bare(text: &str, at: Range<usize>, place: Unit) -> bool {
    scan::number(text, at, Some(place))
        .is_ok_and(|number| number.rest.is_empty() && number.code.is_none())
}

/// The text without one of the words at either end, and whether the word refers to size.
fn beside(said: &str, words: &[(&str, bool)]) -> Option<(Range<usize>, bool)> {
    words.iter().find_map(|(word, of_size)| {
        let starts = marks::starts(said, word).map(|rest| rest..said.len());
        let ends = || marks::ends(said, word).map(|rest| 0..rest);
        Some((starts.or_else(ends)?, *of_size))
    })
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
    if scan::is_fraction(&written(&high)) {
        // `5-1/2` is an old way to print 5½, because limits are never in falling order.
        return Ok(None);
    }
    if let Some(size) = written(&low).strip_prefix(scan::MINUS) {
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
        if !scan::MINUS.contains(&letter) {
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
fn limits(
    text: &str,
    low: Range<usize>,
    high: Range<usize>,
    place: Unit,
    cell: &mut PrintedCell,
) -> Result<(), ValueError> {
    let written = |range: &Range<usize>| text.get(range.clone()).unwrap_or("");
    let ends = [written(&low), written(&high)];
    let whole = low.start..high.end;
    let elsewhere = |error: ValueError| ValueError::new(error.kind, whole.clone());
    let canonical = |a: &str, b: &str| format!("{a}..{b}");
    let negative = |end: &str| end.starts_with(scan::MINUS);
    let parsed = Tolerance::parse(&canonical(ends[0], ends[1]), place);
    let found = match parsed {
        // For negative values, manuals print the smaller size first: `-4 to -6`.
        Err(ValueError {
            kind: Kind::BadLimits { .. },
            ..
        }) if ends.iter().all(|e| negative(e)) => {
            let (size, unit) = scan::split_unit(ends[1]);
            let first = match scan::split_unit(ends[0]) {
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
    cell.bare = alike && is_bare(text, low, place);
    // The midpoint of 4 and 7 is half a step between two digits.
    let steps = middle / step;
    let on_a_digit = (steps - steps.round()).abs() < 1e-6;
    cell.figure = Figure {
        value: middle,
        unit: place,
        text: String::new(),
        resolution: if on_a_digit { step } else { step / 2.0 },
    };
    cell.limits = Some(found);
    Ok(())
}

#[cfg(test)]
#[path = "cell_tests.rs"]
mod tests;
