//! The nearest known word to an unknown one.

/// Bytes of the longest word that is compared.
const LONGEST: usize = 100;

/// So many diagnostics of a file look for a near name; a file with more is no slip, and the time for
/// looking grows with the square of its lines.
pub const MOST_HINTS: usize = 200;

/// The known word most like `word`, if one is like it at all: at most one edit for every three
/// letters, letter case aside.
pub fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    // Whoever types a line without end for a name meant none of these.
    if word.len() > LONGEST {
        return None;
    }
    let wanted = word.to_lowercase();
    let allowed = (wanted.chars().count() / 3).max(1);
    known
        .into_iter()
        .map(|candidate| {
            let distance = strsim::damerau_levenshtein(&wanted, &candidate.to_lowercase());
            (distance, candidate)
        })
        .filter(|(distance, _)| *distance <= allowed)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, candidate)| candidate)
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
    }
}
