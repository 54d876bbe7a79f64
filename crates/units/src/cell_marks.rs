//! The marks that manuals print around a value: footnote marks, brackets, `approx.`, `ac`, `@250`.
//!
//! A text and a range of it come in; the outermost mark and the range without it go out. The cell
//! decides what a mark means for the value.

use std::ops::Range;

use crate::scan::trim;
use crate::Unit;

/// One mark at a value.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Mark {
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

/// Whether a cell states that it has no value.
pub(crate) fn says_nothing(body: &str) -> bool {
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

/// The outermost mark of a range, and the range without it.
pub(crate) fn strip(text: &str, inner: &Range<usize>, place: Unit) -> Option<(Mark, Range<usize>)> {
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
