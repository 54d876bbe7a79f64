//! Reference designations: `R7`, `V1A`, `PS1`.
//!
//! A word comes in; its class letters go out. The letters are those of IEEE 315 / ASME Y14.44;
//! [`super::class`] gives their meaning.

/// The class letters of a designation, in capitals: the letters before its number. A suffix (`V1A`)
/// and the designation of an assembly before it (`A2R7`) are ignored. None if the word is not a
/// designation.
pub(super) fn class_letters(word: &str) -> Option<String> {
    let allowed = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_' || c == '.';
    if !word.chars().all(allowed) {
        return None;
    }
    let without_suffix = word.trim_end_matches(|c: char| !c.is_ascii_digit());
    let before_number = without_suffix.trim_end_matches(|c: char| c.is_ascii_digit());
    if before_number.len() == without_suffix.len() {
        return None;
    }
    let letters = before_number
        .rsplit(|c: char| !c.is_ascii_alphabetic())
        .next()
        .unwrap_or("");
    (!letters.is_empty()).then(|| letters.to_ascii_uppercase())
}

/// Whether the word names a test point: `TP`, then anything.
pub(super) fn is_test_point(word: &str) -> bool {
    let head = word
        .get(..2)
        .is_some_and(|head| head.eq_ignore_ascii_case("TP"));
    head && word.len() > 2
        && word
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_' || c == '.')
}

/// The letter of a section counted from 0.
pub(crate) fn letter(section: usize) -> char {
    u8::try_from(section)
        .ok()
        .filter(|section| *section < 26)
        .map_or('?', |section| char::from(b'A' + section))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_before_the_number_are_the_class() {
        for (word, class) in [
            ("R7", "R"),
            ("V1A", "V"),
            ("ps1", "PS"),
            ("A2R7", "R"),
            ("DS10", "DS"),
        ] {
            assert_eq!(class_letters(word).as_deref(), Some(class), "{word}");
        }
        for word in ["R", "7", "", "R7!", "220", "Ω5"] {
            assert_eq!(class_letters(word), None, "{word}");
        }
    }

    #[test]
    fn a_test_point_need_not_have_a_number() {
        assert!(is_test_point("TP3") && is_test_point("tpA"));
        assert!(!is_test_point("TP") && !is_test_point("T1") && !is_test_point("µTP"));
    }
}
