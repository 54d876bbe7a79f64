//! Names and notes that somebody else wrote, made fit for one line of text.
//!
//! A set's title may hold a line break or an escape sequence; printed as it is, it would break
//! the table or drive the terminal.

/// The text with line breaks and tabs as blanks, and every other control character and every mark
/// that turns the writing direction shown by its number.
pub(crate) fn clean(text: &str) -> String {
    if !text.contains(is_unprintable) {
        return text.to_owned();
    }
    let mut shown = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\n' | '\r' | '\t' => shown.push(' '),
            letter if is_unprintable(letter) => shown.extend(letter.escape_unicode()),
            letter => shown.push(letter),
        }
    }
    shown
}

/// Whether a letter drives a terminal, breaks a line or turns the writing direction.
pub fn is_unprintable(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}'
        )
        || ('\u{202a}'..='\u{202e}').contains(&c)
        || ('\u{2066}'..='\u{2069}').contains(&c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escapes_are_shown_line_breaks_become_blanks_and_greek_stays() {
        let text = "a\u{1b}[31mb\nc\u{202e}d\u{61c}";
        assert_eq!(clean(text), "a\\u{1b}[31mb c\\u{202e}d\\u{61c}");
        assert_eq!(clean("4.7 kΩ µ|<"), "4.7 kΩ µ|<");
    }
}
