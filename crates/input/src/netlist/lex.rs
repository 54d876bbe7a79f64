//! Lines and words with their places.
//!
//! The text comes in; lines without comments, and words with byte ranges, go out. A comma and an
//! equals sign are separate words. The meaning of a word is not known here.

use std::ops::Range;

/// A word and its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Word<'a> {
    pub text: &'a str,
    /// Its bytes in the whole text.
    pub bytes: Range<usize>,
}

impl Word<'_> {
    /// Whether it is this word, ignoring case.
    pub fn is(&self, word: &str) -> bool {
        self.text.eq_ignore_ascii_case(word)
    }
}

/// A line that is not empty or a comment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Line<'a> {
    /// Line number, from 1.
    pub number: usize,
    /// Its text, without the comment and without blanks at its ends; not empty.
    pub text: &'a str,
    /// The place of that text.
    pub bytes: Range<usize>,
}

/// Every line with text before its comment.
pub(super) fn lines(text: &str) -> impl Iterator<Item = Line<'_>> {
    let mut start = 0;
    text.split('\n')
        .enumerate()
        .filter_map(move |(index, whole)| {
            let line_start = start;
            start += whole.len() + 1;
            let said = whole.split('#').next().unwrap_or("");
            let trimmed = said.trim();
            let first = line_start + (said.len() - said.trim_start().len());
            (!trimmed.is_empty()).then_some(Line {
                number: index + 1,
                text: trimmed,
                bytes: first..first + trimmed.len(),
            })
        })
}

/// The words of a text that begins at byte `start` of the whole.
///
/// A comma between two digits stays inside its word as long as no comma before it has ended the
/// values: `4,7k` is then one faulty value and not two wrong words.
pub(super) fn words(text: &str, start: usize) -> Vec<Word<'_>> {
    let mut words = Vec::new();
    let mut open: Option<usize> = None;
    let mut separated = false;
    let mut before = ' ';
    let mut close = |open: &mut Option<usize>, end: usize| {
        if let Some(from) = open.take() {
            words.push(Word {
                text: &text[from..end],
                bytes: start + from..start + end,
            });
        }
    };
    for (at, letter) in text.char_indices() {
        let inside = letter == ',' && !separated && before.is_ascii_digit() && {
            is_decimal_comma(&text[at + 1..])
        };
        if letter.is_whitespace() {
            close(&mut open, at);
        } else if letter == '=' || (letter == ',' && !inside) {
            close(&mut open, at);
            open = Some(at);
            close(&mut open, at + 1);
            separated |= letter == ',';
        } else if open.is_none() {
            open = Some(at);
        }
        before = letter;
    }
    close(&mut open, text.len());
    words
}

/// Whether the text after a digit and a comma continues like a number and not like `1=grid2`.
fn is_decimal_comma(after: &str) -> bool {
    let token = after
        .split(|c: char| c.is_whitespace() || c == ',')
        .next()
        .unwrap_or("");
    token.starts_with(|c: char| c.is_ascii_digit()) && !token.contains('=')
}

/// The part of the whole text from the first to the last of these words; empty for none.
pub(super) fn stretch(words: &[Word<'_>]) -> Range<usize> {
    match (words.first(), words.last()) {
        (Some(first), Some(last)) => first.bytes.start..last.bytes.end,
        _ => 0..0,
    }
}

/// The words of a line from a byte on. Commas between them, and a colon, are as good as blanks.
pub(super) fn listed<'a>(line: &Line<'a>, from: usize) -> Vec<Word<'a>> {
    let rest = line.text.get(from..).unwrap_or("");
    let pieces = rest
        .split(':')
        .scan(line.bytes.start + from, |start, piece| {
            let own = *start;
            *start += piece.len() + 1;
            Some(words(piece, own))
        });
    pieces.flatten().filter(|word| word.text != ",").collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(text: &str) -> Vec<&str> {
        words(text, 0).into_iter().map(|word| word.text).collect()
    }

    #[test]
    fn comments_blank_lines_and_carriage_returns_vanish() {
        let text = "# all comment\r\n\r\n  R1: 5 # note\r\nground x";
        let found: Vec<_> = lines(text).collect();
        assert_eq!(found.len(), 2);
        assert_eq!((found[0].number, found[0].text), (3, "R1: 5"));
        assert_eq!((found[1].number, found[1].text), (4, "ground x"));
        for line in &found {
            assert_eq!(&text[line.bytes.clone()], line.text);
        }
    }

    #[test]
    fn words_part_at_blanks_commas_and_equals_signs() {
        assert_eq!(
            texts("cw = a,ccw=b"),
            ["cw", "=", "a", ",", "ccw", "=", "b"]
        );
        assert_eq!(texts("µF Ω"), ["µF", "Ω"]);
        assert_eq!(texts("6AQ5,1=a,2=b").len(), 9);
    }

    #[test]
    fn a_comma_between_digits_stays_until_the_values_have_ended() {
        assert_eq!(texts("4,7k, 1 to 2"), ["4,7k", ",", "1", "to", "2"]);
        assert_eq!(texts("x, a to 1,2 to b")[4..6], ["1", ","]);
    }

    #[test]
    fn places_count_from_the_given_start() {
        let found = words("a  b", 10);
        assert_eq!(found[1].bytes, 13..14);
        assert_eq!(stretch(&found), 10..14);
    }
}
