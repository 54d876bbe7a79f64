//! Names and notes that somebody else wrote, made fit for one line of text.
//!
//! A set's title may hold a line break or an escape sequence; printed as it is, it would break
//! the table or drive the terminal.

/// The text with every control character and every mark that turns the writing direction
/// replaced by a space.
pub(crate) fn clean(text: &str) -> String {
    text.chars()
        .map(|c| if is_unprintable(c) { ' ' } else { c })
        .collect()
}

fn is_unprintable(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}')
        || ('\u{202a}'..='\u{202e}').contains(&c)
        || ('\u{2066}'..='\u{2069}').contains(&c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escapes_and_line_breaks_become_blanks_and_greek_stays() {
        assert_eq!(clean("a\u{1b}[31mb\nc\u{202e}d"), "a [31mb c d");
        assert_eq!(clean("4.7 kΩ µ|<"), "4.7 kΩ µ|<");
    }
}
