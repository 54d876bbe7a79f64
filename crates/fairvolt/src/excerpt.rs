//! The lines of a text that a diagnostic points at, made fit to be drawn.
//!
//! A place in a text comes in; its own lines go out, with the place in them. Control characters are
//! shown by their numbers, and of a very long line only the part round the place. So the cost
//! follows what is shown, not the size of the file.

use std::ops::Range;

use annotate_snippets::{Annotation, Snippet};
use input::{Sources, Span};

use crate::console::escaped;

/// Lines longer than this, in bytes, are shown in part.
const LONGEST: usize = 400;

/// Bytes shown on either side of a place in such a line.
const ROUND: usize = 60;

/// Some lines of a text.
#[derive(Clone)]
pub(crate) struct Excerpt {
    label: String,
    text: String,
    first_line: usize,
    /// The place in them.
    pub(crate) span: Range<usize>,
}

impl Excerpt {
    /// The lines of one place.
    pub(crate) fn of(sources: &Sources, span: &Span) -> Self {
        let mut maker = Maker::new(sources, span);
        let (start, end) = maker.lines(&span.bytes);
        let at = maker.add(start..end, &[&span.bytes]);
        maker.finish(sources, span, start, at.into_iter().next().unwrap_or(0..0))
    }

    /// The lines of two places of one text, and the second place.
    pub(crate) fn of_both(sources: &Sources, span: &Span, other: &Span) -> (Self, Range<usize>) {
        let mut maker = Maker::new(sources, span);
        let (start, end) = maker.lines(&span.bytes);
        let (other_start, other_end) = maker.lines(&other.bytes);
        let whole = start.min(other_start)..end.max(other_end);
        let mut at = maker
            .add(whole.clone(), &[&span.bytes, &other.bytes])
            .into_iter();
        let (first, second) = (at.next().unwrap_or(0..0), at.next().unwrap_or(0..0));
        (maker.finish(sources, span, whole.start, first), second)
    }

    /// For the drawing.
    pub(crate) fn snippet(&self) -> Snippet<'_, Annotation<'_>> {
        Snippet::source(&self.text).line_start(self.first_line)
    }

    /// The number of its last line.
    pub(crate) fn last_number(&self) -> usize {
        self.first_line + self.text.matches('\n').count()
    }

    /// The text's name.
    pub(crate) fn label(&self) -> &str {
        &self.label
    }
}

/// An excerpt while it grows.
struct Maker<'s> {
    text: &'s str,
    shown: String,
}

impl<'s> Maker<'s> {
    fn new(sources: &'s Sources, span: &Span) -> Self {
        Maker {
            text: &sources.get(span.source).text,
            shown: String::new(),
        }
    }

    /// Where the lines of a place start and end.
    fn lines(&self, bytes: &Range<usize>) -> (usize, usize) {
        let start = bytes.start.min(self.text.len());
        let end = bytes.end.clamp(start, self.text.len());
        let before = self.text.get(..start).unwrap_or("");
        let behind = self.text.get(end..).unwrap_or("");
        (
            before.rfind('\n').map_or(0, |at| at + 1),
            behind.find('\n').map_or(self.text.len(), |at| end + at),
        )
    }

    /// Adds lines; gives the places in what is shown, each in the order of `places`.
    fn add(&mut self, lines: Range<usize>, places: &[&Range<usize>]) -> Vec<Range<usize>> {
        let mut ends: Vec<Range<usize>> = vec![0..0; places.len()];
        let mut start = lines.start;
        for line in self.text.get(lines.clone()).unwrap_or("").split('\n') {
            let here = start..start + line.strip_suffix('\r').unwrap_or(line).len();
            let near: Vec<usize> = places
                .iter()
                .flat_map(|place| [place.start, place.end])
                .filter(|at| (here.start..=here.end).contains(at))
                .collect();
            let part = self.part(&here, &near);
            if part.start > here.start {
                self.shown.push('…');
            }
            self.put(&part, places, &mut ends);
            if part.end < here.end {
                self.shown.push('…');
            }
            self.shown.push('\n');
            start += line.len() + 1;
        }
        self.shown.pop();
        ends
    }

    /// What of a line is shown: all of it, or what is round the places in it.
    fn part(&self, line: &Range<usize>, near: &[usize]) -> Range<usize> {
        if line.len() <= LONGEST {
            return line.clone();
        }
        let first = near.iter().min().copied().unwrap_or(line.start);
        let start = first.saturating_sub(ROUND).max(line.start);
        let last = near.iter().max().copied().unwrap_or(start);
        let end = (last + ROUND).min(start + LONGEST).min(line.end);
        self.on_boundaries(start..end.max(start))
    }

    fn on_boundaries(&self, mut part: Range<usize>) -> Range<usize> {
        while !self.text.is_char_boundary(part.start) {
            part.start -= 1;
        }
        while !self.text.is_char_boundary(part.end) {
            part.end += 1;
        }
        part
    }

    /// Adds part of a line, letter by letter, and notes where the places come to lie.
    fn put(&mut self, part: &Range<usize>, places: &[&Range<usize>], ends: &mut [Range<usize>]) {
        let shown = self.text.get(part.clone()).unwrap_or("");
        let mut cuts: Vec<usize> = places
            .iter()
            .flat_map(|place| [place.start, place.end])
            .map(|at| at.clamp(part.start, part.end))
            .chain([part.start, part.end])
            .filter(|at| self.text.is_char_boundary(*at))
            .collect();
        cuts.sort_unstable();
        cuts.dedup();
        let mut at = Vec::with_capacity(cuts.len());
        for (index, cut) in cuts.iter().enumerate() {
            at.push((*cut, self.shown.len()));
            let next = cuts.get(index + 1).copied().unwrap_or(*cut);
            let piece = shown.get(cut - part.start..next - part.start).unwrap_or("");
            self.shown.push_str(&escaped(piece));
        }
        let place_of = |byte: usize| {
            let found = at.iter().find(|(cut, _)| *cut == byte);
            found.map(|(_, shown)| *shown)
        };
        for (place, end) in places.iter().zip(ends) {
            if let Some(start) = place_of(place.start) {
                *end = start..start.max(end.end);
            }
            if let Some(shown) = place_of(place.end.min(part.end)) {
                if place.end >= part.start && place.start <= part.end {
                    end.end = shown;
                }
            }
        }
    }

    fn finish(self, sources: &Sources, span: &Span, start: usize, at: Range<usize>) -> Excerpt {
        let first = Span::new(span.source, start..start);
        let end = at.end.min(self.shown.len()).max(at.start);
        Excerpt {
            label: escaped(&sources.get(span.source).label).into_owned(),
            first_line: sources.line_column(&first).0,
            span: at.start..end,
            text: self.shown,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn excerpt(text: &str, bytes: Range<usize>) -> Excerpt {
        let mut sources = Sources::default();
        let id = sources.add("a.csv", text);
        Excerpt::of(&sources, &Span::new(id, bytes))
    }

    #[test]
    fn strange_signs_are_shown_and_the_place_moves_with_them() {
        let found = excerpt("x\na\u{1b}b,cd\ny", 6..8);
        assert_eq!((found.text.as_str(), found.first_line), ("a\\u{1b}b,cd", 2));
        assert_eq!(&found.text[found.span], "cd");
        let found = excerpt("a,b\r\nc\r\n", 2..3);
        assert_eq!(found.text, "a,b", "a line end of Windows is none of them");
        let found = excerpt("a\u{202e}b", 1..4);
        assert_eq!(&found.text[found.span.clone()], "\\u{202e}");
    }

    #[test]
    fn of_a_long_line_only_what_is_round_the_place_is_shown() {
        let text = "=".repeat(100_000);
        let found = excerpt(&text, 50_000..50_001);
        assert!(
            found.text.chars().count() <= 2 * ROUND + 3,
            "{}",
            found.text.len()
        );
        assert_eq!(&found.text[found.span], "=");
        let found = excerpt(&text, 0..100_000);
        assert!(found.text.len() <= LONGEST + 10);
    }

    #[test]
    fn two_places_are_both_found() {
        let mut sources = Sources::default();
        let id = sources.add("a.csv", "one,two\nthree\nfour,five");
        let (first, second) = (Span::new(id, 19..23), Span::new(id, 4..7));
        let (found, other) = Excerpt::of_both(&sources, &first, &second);
        assert_eq!(&found.text[found.span.clone()], "five");
        assert_eq!(&found.text[other], "two");
    }
}
