//! Messages broken into lines of the error stream.
//!
//! Breaks at blanks only: a long path stays whole, so that it can be copied. What stands between
//! backquotes is to be typed as it is, so it stays on one line where it is short, and so does a number
//! with its unit.

/// Up to so many letters, what stands between backquotes is kept on one line.
const LONGEST_QUOTED: usize = 50;

/// Units that no line break may part from their number.
const UNITS: [&str; 9] = ["V", "mV", "%", "Ω", "kΩ", "MΩ", "A", "mA", "W"];

/// Stands for a blank that no line break may take the place of.
const KEPT: char = '\u{a0}';

/// A text in lines of at most `width` letters, where its words allow it.
pub(crate) fn in_lines(text: &str, width: usize) -> Vec<String> {
    let text = kept_whole(text);
    let mut lines: Vec<String> = Vec::new();
    let mut room = 0;
    for word in text.split([' ', '\n']).filter(|word| !word.is_empty()) {
        let length = word.chars().count();
        match lines.last_mut() {
            Some(line) if length < room => {
                line.push(' ');
                line.push_str(word);
                room -= length + 1;
            }
            _ => {
                lines.push(word.to_owned());
                room = width.saturating_sub(length);
            }
        }
    }
    lines.iter().map(|line| line.replace(KEPT, " ")).collect()
}

/// The same with what leads it, such as `error: `: the further lines are indented by as much.
pub(crate) fn hanging(lead: &str, text: &str, width: usize) -> String {
    let indent = lead.chars().count();
    let lines = in_lines(text, width.saturating_sub(indent));
    let rest = format!("\n{}", " ".repeat(indent));
    format!("{lead}{}", lines.join(&rest))
}

fn kept_whole(text: &str) -> String {
    let mut kept = String::with_capacity(text.len());
    let mut before = "";
    for (at, piece) in text.split('`').enumerate() {
        if at > 0 {
            kept.push('`');
        }
        if at % 2 == 1 && piece.chars().count() <= LONGEST_QUOTED {
            kept.push_str(&piece.replace(' ', &KEPT.to_string()));
            before = "";
            continue;
        }
        for (number, word) in piece.split(' ').enumerate() {
            let unit = word.trim_end_matches(['.', ',', ':', ';', ')']);
            let of_number = before.ends_with(|c: char| c.is_ascii_digit());
            if number > 0 {
                kept.push(match of_number && UNITS.contains(&unit) {
                    true => KEPT,
                    false => ' ',
                });
            }
            kept.push_str(word);
            before = word;
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_as_long_as_they_may_be_and_no_longer() {
        assert_eq!(in_lines("one two three", 7), ["one two", "three"]);
        assert_eq!(in_lines("one two three", 6), ["one", "two", "three"]);
        assert_eq!(in_lines("", 6), Vec::<String>::new());
        let said = hanging("help: ", "one two three", 13);
        assert_eq!(said, "help: one two\n      three");
    }

    #[test]
    fn what_is_typed_a_number_with_its_unit_and_a_path_stay_whole() {
        assert_eq!(
            in_lines("write `range = \"1 V\"` there", 12),
            ["write", "`range = \"1 V\"`", "there"]
        );
        assert_eq!(in_lines("it is 250 V.", 9), ["it is", "250 V."]);
        assert_eq!(
            in_lines("no /a/long/path here", 6),
            ["no", "/a/long/path", "here"]
        );
    }
}
