//! A cell of a chart as manuals print it: a value with the marks around it, or a sign that there is
//! none.
//!
//! Text and the unit of its place come in; value, limits, footnotes and marks go out. The signs for
//! no value and the words for limits and approximations are common practice, no source. A cell that
//! may mean two things is refused, with both ways to write it. Tables are not known here.

use std::ops::Range;

use crate::cell_limits::{limits, Limits};
use crate::figure::is_bare;
use crate::scan::{ends, starts, trim};
use crate::value_error::{ValueError, ValueErrorKind as Kind};
use crate::{Figure, Tolerance, Unit};

/// The content of a cell.
#[derive(Debug, Clone, PartialEq)]
pub enum CellContent {
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

/// One mark at a value.
#[derive(Debug, Clone, PartialEq)]
enum Mark {
    /// A footnote, as printed.
    Note(String),
    /// Brackets around the whole cell.
    Bracketed,
    /// A word for "about".
    Approximate,
    /// Alternating, or direct.
    Alternating(bool),
    /// The place of the range's figure.
    Range(Range<usize>),
}

/// Signs for "no value", in lower case, without blanks, full stops and strokes.
const NOTHING: [&str; 24] = [
    "",
    "-",
    "--",
    "---",
    "–",
    "—",
    "−",
    "*",
    "**",
    "†",
    "nc",
    "ic",
    "nr",
    "na",
    "nm",
    "noreading",
    "notread",
    "notmeasured",
    "notapplicable",
    "noconnection",
    "notconnected",
    "cannotbemeasured",
    "donotmeasure",
    "blank",
];

/// Footnote signs that may follow a value, one or several.
const NOTE_SIGNS: [char; 10] = ['*', '†', '‡', '§', '¶', '#', '¹', '²', '³', '⁴'];

/// Words for "about", before or after a value; the longer spelling first.
const ABOUT: [&str; 8] = [
    "approximately",
    "approx.",
    "approx",
    "about",
    "circa",
    "ca.",
    "≈",
    "≅",
];

/// Endings and beginnings of alternating and of direct volts and amperes; the longer first.
const KINDS: [(&str, bool); 7] = [
    ("a.c.", true),
    ("d.c.", false),
    ("rms", true),
    ("r.m.s.", true),
    ("ac", true),
    ("dc", false),
    ("~", true),
];

/// Reads a cell. A blank one is [`CellContent::Nothing`].
///
/// # Errors
/// [`ValueError`] for any fault of the value, with byte ranges of the whole text.
pub fn parse_cell(text: &str, place: Unit) -> Result<CellContent, ValueError> {
    let whole = trim(text, 0..text.len());
    let body = text.get(whole.clone()).unwrap_or("");
    if says_nothing(body) {
        return Ok(CellContent::Nothing(body.to_owned()));
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
        return Ok(CellContent::Open(said.to_owned()));
    }
    if said.is_empty() && !cell.notes.is_empty() {
        return Ok(CellContent::Nothing(body.to_owned()));
    }
    match Figure::parse_range(text, inner.clone(), place) {
        Ok(figure) => {
            cell.figure = figure;
            cell.bare = is_bare(text, inner, place);
        }
        Err(fault) => {
            let Limits {
                figure,
                bare,
                stated,
            } = limits(text, inner, place)?.ok_or(fault)?;
            (cell.figure, cell.bare, cell.limits) = (figure, bare, Some(stated));
        }
    }
    cell.figure.text = said.to_owned();
    Ok(CellContent::Value(Box::new(cell)))
}

/// Removes footnotes, brackets, kinds of volts, ranges and approximations from both ends.
fn without_marks(
    text: &str,
    mut inner: Range<usize>,
    place: Unit,
    cell: &mut PrintedCell,
) -> Result<Range<usize>, ValueError> {
    while let Some((mark, rest)) = strip(text, &inner, place) {
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

/// Whether a cell states that it has no value.
fn says_nothing(body: &str) -> bool {
    // The longest sign has 17 letters.
    if body.chars().count() > 40 {
        return false;
    }
    let plain: String = body
        .chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '.' | '/'))
        .flat_map(char::to_lowercase)
        .collect();
    NOTHING.contains(&plain.as_str())
}

/// The outermost mark of a range, and the range without it.
fn strip(text: &str, inner: &Range<usize>, place: Unit) -> Option<(Mark, Range<usize>)> {
    let said = text.get(inner.clone())?;
    let part = |from: usize, to: usize| trim(text, inner.start + from..inner.start + to);
    let mut notes = said
        .char_indices()
        .rev()
        .take_while(|(_, c)| NOTE_SIGNS.contains(c));
    if let Some((first, _)) = notes.by_ref().last() {
        return Some((Mark::Note(said.get(first..)?.to_owned()), part(0, first)));
    }
    if let Some(closed) = said.strip_suffix([')', ']']) {
        let open = closed.rfind(['(', '['])?;
        let inside = closed.get(open + 1..)?;
        if open == 0 {
            return Some((Mark::Bracketed, part(1, closed.len())));
        }
        return Some((Mark::Note(inside.trim().to_owned()), part(0, open)));
    }
    for word in ABOUT {
        if let Some(rest) = starts(said, word) {
            return Some((Mark::Approximate, part(rest, said.len())));
        }
        if let Some(rest) = ends(said, word).filter(|_| word.len() > 3) {
            return Some((Mark::Approximate, part(0, rest)));
        }
    }
    if let Some(at) = said.rfind('@') {
        let range = part(at + 1, said.len());
        return Some((Mark::Range(range), part(0, at)));
    }
    if matches!(place, Unit::Volt | Unit::Ampere) {
        for (word, kind) in KINDS {
            let word_ends = ends(said, word).map(|rest| part(0, rest));
            let starts = || starts(said, word).map(|rest| part(rest, said.len()));
            if let Some(rest) = word_ends.or_else(starts) {
                return Some((Mark::Alternating(kind), rest));
            }
        }
    }
    None
}

#[cfg(test)]
#[path = "cell_tests.rs"]
mod tests;
