//! The nearest known word to an unknown one.

/// Bytes of the longest word that is compared.
const LONGEST: usize = 100;

/// So many diagnostics of a file look for a near name; a file with more is no slip, and the time for
/// looking grows with the square of its lines.
pub const MOST_HINTS: usize = 200;

/// The known word most like `word`, if one is like it at all: at most one edit for every three
/// letters, letter case aside. A single letter is like no other.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let near = nearest_few(word, known, |known| known, |_, _| false);
    near.first().map(|(_, known)| *known)
}

/// The known things most like `word` by their names, the nearest first, each with the edits between:
/// none for those that are `alike` by another rule, given the word in lower case. A name stands once.
pub fn nearest_few<'a, K: Copy>(
    word: &str,
    known: impl IntoIterator<Item = K>,
    name: impl Fn(K) -> &'a str,
    alike: impl Fn(&str, K) -> bool,
) -> Vec<(usize, K)> {
    // Whoever types a line without end for a name meant none of these.
    if word.len() > LONGEST {
        return Vec::new();
    }
    let wanted = word.to_lowercase();
    let allowed = match wanted.chars().count() {
        0 | 1 => 0,
        letters => (letters / 3).max(1),
    };
    let mut near: Vec<(usize, K)> = Vec::new();
    for candidate in known {
        let distance = match alike(&wanted, candidate) {
            true => 0,
            false => strsim::damerau_levenshtein(&wanted, &name(candidate).to_lowercase()),
        };
        let again = |(_, known): &(usize, K)| name(*known) == name(candidate);
        if distance <= allowed && !near.iter().any(again) {
            near.push((distance, candidate));
        }
    }
    near.sort_by_key(|(distance, _)| *distance);
    near
}

/// Whether one of two names goes on like the other; the wanted one is in lower case, and tells
/// nothing by two letters.
pub fn begins_alike(wanted: &str, known: &str) -> bool {
    let known = known.to_lowercase();
    wanted.starts_with(&known) || (wanted.len() > 2 && known.starts_with(wanted))
}

/// `did you mean 'plate1'?` for the nearest known word.
pub fn did_you_mean<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(word, known).map(|candidate| format!("did you mean '{candidate}'?"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_word_and_a_stranger_finds_none() {
        let known = ["plate1", "grid1", "cath1"];
        assert_eq!(nearest("plat1", known), Some("plate1"));
        assert_eq!(nearest("gird1", known), Some("grid1"));
        assert_eq!(nearest("screen", known), None);
        // One edit makes any letter of any other.
        assert_eq!(nearest("a", ["b", "c"]), None);
        assert_eq!(nearest("a", ["b", "A"]), Some("A"));
    }
}
