//! The nearest known word to an unknown one.

use std::cmp::Reverse;

/// Bytes of the longest word that is compared.
const LONGEST: usize = 100;

/// Number of diagnostics of a file that search for a near name. A file with more errors has no
/// simple typing mistakes, and the time of the search grows with the square of its lines.
pub const MOST_HINTS: usize = 200;

/// The known word most similar to `word`, if one is similar enough: at most one edit for every
/// three letters, ignoring case. No word is similar to a single letter.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let near = nearest_few(word, known, |known| known, |_, _| false);
    near.first().map(|(_, known)| *known)
}

/// The known items whose names are most similar to `word`, the nearest first, each with the number
/// of edits. The number is 0 for items that are `alike` by another rule, which gets the word in
/// lower case. Each name occurs once.
pub fn nearest_few<'a, K: Copy>(
    word: &str,
    known: impl IntoIterator<Item = K>,
    name: impl Fn(K) -> &'a str,
    alike: impl Fn(&str, K) -> bool,
) -> Vec<(usize, K)> {
    // A very long line in place of a name means none of these.
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
    // `b2` is rather `b1` than `f2`: names of a kind differ in their numbers.
    near.sort_by_key(|(distance, candidate)| {
        let same_start = same_start(&wanted, &name(*candidate).to_lowercase());
        (*distance, Reverse(same_start))
    });
    near
}

/// Letters that two names have in common from the first on.
fn same_start(a: &str, b: &str) -> usize {
    a.chars().zip(b.chars()).take_while(|(a, b)| a == b).count()
}

/// Whether one of two names begins with the other. `wanted` is in lower case; with one or two
/// letters it does not count as the beginning of `known`.
pub fn begins_alike(wanted: &str, known: &str) -> bool {
    let known = known.to_lowercase();
    wanted.starts_with(&known) || (wanted.len() > 2 && known.starts_with(wanted))
}

/// `did you mean 'plate1'?` for the nearest known word.
pub fn did_you_mean<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<String> {
    nearest(word, known).map(|candidate| format!("did you mean '{candidate}'?"))
}

/// The same, or else all known words: `its throws are a, b`.
pub fn near_or_all(word: &str, known: &[&str], all: &str) -> String {
    did_you_mean(word, known.iter().copied())
        .unwrap_or_else(|| format!("{all} {}", known.join(", ")))
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
        assert_eq!(nearest("b2", ["f2", "b1"]), Some("b1"));
    }
}
