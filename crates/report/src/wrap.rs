//! Text broken into lines of a terminal.
//!
//! Breaks at blanks only; a word is cut only if it is longer than a whole line by itself.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::clean::clean;

/// Units that no line break may part from their number.
const UNITS: [&str; 9] = ["V", "kV", "mV", "%", "Ω", "kΩ", "MΩ", "A", "mA"];

/// Terminal columns that a text takes.
pub(crate) fn columns(text: &str) -> usize {
    text.width()
}

/// Lines of at most `width` columns; the first starts with `first`, the others with as many
/// blanks.
pub(crate) fn hanging(first: &str, text: &str, width: usize) -> Vec<String> {
    let indent = columns(first);
    let room = width.saturating_sub(indent).max(1);
    let lines = wrap(text, room);
    if lines.is_empty() {
        return vec![first.trim_end().to_owned()];
    }
    lines
        .into_iter()
        .enumerate()
        .map(|(number, line)| match number {
            0 => format!("{first}{line}"),
            _ => format!("{}{line}", " ".repeat(indent)),
        })
        .collect()
}

/// Lines of at most `width` columns. An unbreakable blank (U+00A0) holds a number and its unit
/// together and comes out as a plain one.
pub(crate) fn wrap(text: &str, width: usize) -> Vec<String> {
    let text = clean(text);
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in glued(&text) {
        for piece in pieces(&word, width) {
            let gap = usize::from(!line.is_empty());
            if gap > 0 && columns(&line) + gap + columns(&piece) > width {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(&piece);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
        .into_iter()
        .map(|line| line.replace('\u{a0}', " "))
        .collect()
}

/// Words, a number and its unit counted as one.
fn glued(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        let unit = word.trim_end_matches(['.', ',', ':', ';', ')']);
        match words.last_mut() {
            Some(number)
                if UNITS.contains(&unit) && number.ends_with(|c: char| c.is_ascii_digit()) =>
            {
                number.push('\u{a0}');
                number.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// A word as it is, or cut to pieces that each fit on a line.
fn pieces(word: &str, width: usize) -> Vec<String> {
    if columns(word) <= width {
        return vec![word.to_owned()];
    }
    let mut pieces = Vec::new();
    let mut piece = String::new();
    for c in word.chars() {
        if columns(&piece) + c.width().unwrap_or(0) > width && !piece.is_empty() {
            pieces.push(std::mem::take(&mut piece));
        }
        piece.push(c);
    }
    pieces.push(piece);
    pieces
}

/// `text` filled with blanks on the left.
pub(crate) fn pad_left(text: &str, width: usize) -> String {
    let fill = width.saturating_sub(columns(text));
    format!("{}{text}", " ".repeat(fill))
}

/// `text` filled with blanks on the right.
pub(crate) fn pad_right(text: &str, width: usize) -> String {
    let fill = width.saturating_sub(columns(text));
    format!("{text}{}", " ".repeat(fill))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stay_whole_unless_longer_than_a_line() {
        assert_eq!(wrap("red to plate1", 8), ["red to", "plate1"]);
        assert_eq!(wrap("abcdefghij", 4), ["abcd", "efgh", "ij"]);
        assert_eq!(wrap("now at 250 V.", 10), ["now at", "250 V."]);
        assert!(wrap("   ", 8).is_empty());
    }

    #[test]
    fn a_hanging_text_lines_up_under_its_own_start() {
        assert_eq!(hanging("10. ", "one two", 8), ["10. one", "    two"]);
        assert_eq!(hanging("- ", "", 8), ["-"]);
    }
}
