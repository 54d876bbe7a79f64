//! Text broken into lines of a terminal.
//!
//! Breaks at blanks only. In a report a word is cut if it is longer than a whole line by itself; in a
//! message it stays whole, so that a long path can be copied.

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use crate::clean::clean;

/// Units that no line break may part from their number.
const UNITS: [&str; 17] = [
    "V", "kV", "mV", "%", "Ω", "kΩ", "MΩ", "A", "mA", "µA", "nA", "W", "µF", "nF", "pF", "H", "σ",
];

/// Up to so many letters, what stands between backquotes in a message is kept on one line.
const LONGEST_QUOTED: usize = 50;

/// A blank that no line break may take the place of.
const KEPT: &str = "\u{a0}";

/// Signs that stay between the two numbers beside them.
const SIGNS: [&str; 3] = ["…", "±", "×"];

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
    let text = glue(&clean(text));
    let words = text.split(' ').filter(|word| !word.is_empty());
    filled(words.flat_map(|word| pieces(word, width)), width)
}

/// A message in lines of at most `width` columns, where its words allow it. What stands between backquotes
/// is to be typed as it is, so it stays on one line where it is short.
pub fn message_lines(text: &str, width: usize) -> Vec<String> {
    let quoted = |(at, piece): (usize, &str)| match at % 2 == 1 && columns(piece) <= LONGEST_QUOTED
    {
        true => piece.replace(' ', KEPT),
        false => piece.replace('\n', " "),
    };
    let pieces: Vec<String> = text.split('`').enumerate().map(quoted).collect();
    let text = glue(&pieces.join("`"));
    filled(text.split(' ').map(str::to_owned), width)
}

/// The same with what leads it, such as `error: `; the further lines are indented by as much.
pub fn hanging_message(lead: &str, text: &str, width: usize) -> String {
    let indent = columns(lead);
    let lines = message_lines(text, width.saturating_sub(indent));
    let rest = format!("\n{}", " ".repeat(indent));
    format!("{lead}{}", lines.join(&rest))
}

/// Words in lines of at most `width` columns; a longer word has a line of its own.
fn filled(words: impl Iterator<Item = String>, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.filter(|word| !word.is_empty()) {
        match lines.last_mut() {
            Some(line) if columns(line) + 1 + columns(&word) <= width => {
                line.push(' ');
                line.push_str(&word);
            }
            _ => lines.push(word),
        }
    }
    lines.iter().map(|line| line.replace(KEPT, " ")).collect()
}

/// The text with unbreakable blanks (U+00A0) between a number and its unit, and round the signs
/// between two numbers.
pub(crate) fn glue(text: &str) -> String {
    let ends = |text: &str| text.ends_with(|c: char| c.is_ascii_digit());
    let mut glued = String::with_capacity(text.len());
    let mut words = text.split(' ').filter(|word| !word.is_empty()).peekable();
    let mut before = "";
    while let Some(word) = words.next() {
        let bare = word.trim_end_matches(['.', ',', ':', ';', ')']);
        let unit = UNITS.contains(&bare) && ends(before);
        let sign = SIGNS.contains(&word) && words.peek().is_some();
        let after = SIGNS.contains(&before) && !glued.is_empty();
        match (
            glued.is_empty(),
            unit || (sign && !before.is_empty()) || after,
        ) {
            (true, _) => {}
            (false, true) => glued.push('\u{a0}'),
            (false, false) => glued.push(' '),
        }
        glued.push_str(word);
        before = word;
    }
    glued
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
        assert_eq!(
            wrap("from 121 … 182 V on", 12),
            ["from", "121 … 182 V", "on"]
        );
        assert!(wrap("   ", 8).is_empty());
    }

    #[test]
    fn a_hanging_text_lines_up_under_its_own_start() {
        assert_eq!(hanging("10. ", "one two", 8), ["10. one", "    two"]);
        assert_eq!(hanging("- ", "", 8), ["-"]);
    }

    #[test]
    fn lines_are_as_long_as_they_may_be_and_no_longer() {
        assert_eq!(message_lines("one two three", 7), ["one two", "three"]);
        assert_eq!(message_lines("one two three", 6), ["one", "two", "three"]);
        assert_eq!(message_lines("", 6), Vec::<String>::new());
        let said = hanging_message("help: ", "one two three", 13);
        assert_eq!(said, "help: one two\n      three");
    }

    #[test]
    fn what_is_typed_a_number_with_its_unit_and_a_path_stay_whole() {
        assert_eq!(
            message_lines("write `range = \"1 V\"` there", 12),
            ["write", "`range = \"1 V\"`", "there"]
        );
        assert_eq!(message_lines("it is 250 V.", 9), ["it is", "250 V."]);
        assert_eq!(
            message_lines("no /a/long/path here", 6),
            ["no", "/a/long/path", "here"]
        );
    }
}
