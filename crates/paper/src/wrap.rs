//! Breaking a text into lines.
//!
//! What it owns: where a line may end. What comes in: a [`Text`], a type size and the width there is.
//! What goes out: lines made of pieces of one weight, each with its place. Not known here: pages.
//!
//! A line ends at a space or a line break. A word that is wider than the line is broken after a hyphen, a
//! slash or the like, or else after the last letter that fits, so that no text ever runs out of its cell.

use crate::font::{character_width, Weight};
use crate::text::Text;

/// Part of a line, all of one weight.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Piece {
    /// Points from the beginning of the line.
    pub x: f64,
    /// The letters.
    pub text: String,
    /// Their weight.
    pub weight: Weight,
}

/// One line of a wrapped text.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Line {
    /// The pieces, left to right.
    pub pieces: Vec<Piece>,
    /// Width in points, spaces at the end left out.
    pub width: f64,
    /// Whether the break replaced a space, which copied text must contain.
    pub goes_on: bool,
}

impl Line {
    /// The letters, whatever their weight.
    pub(crate) fn text(&self) -> String {
        self.pieces
            .iter()
            .map(|piece| piece.text.as_str())
            .collect()
    }
}

type Letter = (char, Weight, f64);

/// Breaks the text into lines no wider than `width` points; a text without letters gives one empty line.
///
/// A letter that is wider than the line by itself stands alone on its line.
pub(crate) fn wrap(text: &Text, size: f64, width: f64) -> Vec<Line> {
    let mut lines = Vec::new();
    let mut paragraph: Vec<Letter> = Vec::new();
    for run in &text.runs {
        for c in run.text.chars().filter(|c| *c != '\r') {
            if c == '\n' {
                fill(&paragraph, width, &mut lines);
                paragraph.clear();
            } else {
                paragraph.push((c, run.weight, character_width(c, size, run.weight)));
            }
        }
    }
    fill(&paragraph, width, &mut lines);
    lines
}

fn fill(letters: &[Letter], width: f64, lines: &mut Vec<Line>) {
    // Copied text keeps a space where a line feed was.
    if let Some(last) = lines.last_mut() {
        last.goes_on = true;
    }
    let mut from = 0;
    loop {
        let rest = letters.get(from..).unwrap_or_default();
        let taken = fitting(rest, width);
        let mut line = set(rest.get(..taken).unwrap_or_default());
        from += taken;
        let broken = from;
        // Spaces at the break belong to neither line.
        while letters.get(from).is_some_and(|l| breaks_at(l.0)) {
            from += 1;
        }
        line.goes_on = from > broken && from < letters.len();
        lines.push(line);
        if from >= letters.len() {
            return;
        }
    }
}

/// How many letters go onto the next line; at least one if there are any.
fn fitting(letters: &[Letter], width: f64) -> usize {
    let mut reach = 0.0;
    let mut space = None;
    let mut joint = None;
    for (n, (c, _, advance)) in letters.iter().enumerate() {
        if breaks_at(*c) {
            space = Some(n);
        }
        reach += advance;
        // A space at the end may exceed the width, because it is not visible.
        if reach > width + 1e-9 && !breaks_at(*c) {
            return space.filter(|s| *s > 0).or(joint).unwrap_or(n).max(1);
        }
        if matches!(c, '-' | '/' | '_' | ',' | ';' | '–' | '—' | '\\' | '.') && n > 0 {
            joint = Some(n + 1);
        }
    }
    letters.len()
}

/// No-break spaces (U+00A0, U+202F) are left out on purpose: "10 V" is to stay together.
fn breaks_at(c: char) -> bool {
    c.is_whitespace() && !matches!(c, '\u{a0}' | '\u{202f}')
}

fn set(letters: &[Letter]) -> Line {
    let end = letters
        .iter()
        .rposition(|l| !breaks_at(l.0))
        .map_or(0, |n| n + 1);
    let mut line = Line::default();
    for (c, weight, advance) in letters.iter().take(end) {
        match line.pieces.last_mut() {
            Some(piece) if piece.weight == *weight => piece.text.push(*c),
            _ => line.pieces.push(Piece {
                x: line.width,
                text: c.to_string(),
                weight: *weight,
            }),
        }
        line.width += advance;
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(lines: &[Line]) -> Vec<String> {
        lines.iter().map(Line::text).collect()
    }

    #[test]
    fn no_line_is_wider_than_the_room_and_no_letter_is_lost() {
        let sample =
            "The anode of the second stage, Donaudampfschiffahrtselektrizitätenhauptbetriebswerk, \
                      reads −1.72 V ± 3 % through 100 kΩ/V. A/B/C-D-E";
        let text = Text::from(sample).bold(" Do not touch.");
        for width in [11.0, 23.0, 57.0, 120.0, 400.0] {
            let lines = wrap(&text, 9.5, width);
            for line in &lines {
                // 1e-9 is the slack that `fitting` itself allows for float sums.
                assert!(line.width <= width + 1e-6, "{width}: {line:?}");
            }
            let kept: String = texts(&lines)
                .concat()
                .chars()
                .filter(|c| !c.is_whitespace())
                .collect();
            let given: String = text
                .plain_text()
                .chars()
                .filter(|c| !c.is_whitespace())
                .collect();
            assert_eq!(kept, given);
        }
    }

    #[test]
    fn words_stay_whole_where_they_fit() {
        let lines = wrap(&Text::from("alpha beta gamma"), 10.0, 62.0);
        assert_eq!(texts(&lines), ["alpha beta", "gamma"]);
    }

    #[test]
    fn line_breaks_and_no_break_spaces_are_kept() {
        assert_eq!(
            texts(&wrap(&Text::from("a\n\nb"), 10.0, 100.0)),
            ["a", "", "b"]
        );
        let lines = wrap(&Text::from("reads 250\u{a0}V"), 10.0, 45.0);
        assert_eq!(texts(&lines), ["reads", "250\u{a0}V"]);
    }

    #[test]
    fn a_width_of_zero_terminates() {
        assert_eq!(texts(&wrap(&Text::from("abc"), 10.0, 0.0)), ["a", "b", "c"]);
        assert_eq!(wrap(&Text::from(""), 10.0, 0.0).len(), 1);
        assert_eq!(
            texts(&wrap(&Text::from("  a"), 10.0, 1.0)).concat().trim(),
            "a"
        );
    }

    #[test]
    fn a_change_of_weight_begins_a_piece() {
        let lines = wrap(
            &Text::from("plain ").bold("bold").then(" plain"),
            10.0,
            400.0,
        );
        assert_eq!(lines[0].pieces.len(), 3);
        assert!(lines[0].pieces[1].x > lines[0].pieces[0].x);
    }
}
