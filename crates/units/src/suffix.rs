//! The letters after a number, or in place of its decimal point: SI prefixes, units, the spellings of
//! old parts lists, and the letter codes of IEC 60062.
//!
//! A word comes in; power of ten and unit go out. This is the only list of spellings; the "did you
//! mean" of an error uses it too. Numbers are not known here.

use crate::scan::split_digits;
use crate::Unit;

/// The meaning of a word after a number.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Suffix {
    /// Power of ten.
    pub exponent: i64,
    /// Unit, if the word names one.
    pub unit: Option<Unit>,
}

/// What is known about a word.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Meaning {
    /// One meaning.
    Known(Suffix),
    /// Two meanings, depending on the age of the sheet, each with an unambiguous way to write it.
    Ambiguous {
        small: &'static str,
        large: &'static str,
    },
    /// None.
    Unknown,
}

/// Prefix letters as in SI, where `m` is milli and `M` is mega; `K`, `U`, `uu` are spellings of old
/// sheets. Both Unicode mu characters are in use.
const PREFIX_LETTERS: [(&str, i64); 15] = [
    ("", 0),
    ("p", -12),
    ("uu", -12),
    ("\u{b5}\u{b5}", -12),
    ("\u{3bc}\u{3bc}", -12),
    ("n", -9),
    ("\u{b5}", -6),
    ("u", -6),
    ("U", -6),
    ("\u{3bc}", -6),
    ("m", -3),
    ("k", 3),
    ("K", 3),
    ("M", 6),
    ("G", 9),
];

/// Prefixes as words, ignoring case.
const PREFIX_WORDS: [(&str, i64); 8] = [
    ("pico", -12),
    ("nano", -9),
    ("micro", -6),
    ("milli", -3),
    ("kilo", 3),
    ("mega", 6),
    ("meg", 6),
    ("giga", 9),
];

/// Units, ignoring case. Help texts show the first spelling of each unit.
const UNITS: [(&str, Unit); 29] = [
    ("V", Unit::Volt),
    ("volt", Unit::Volt),
    ("volts", Unit::Volt),
    ("\u{3a9}", Unit::Ohm),
    ("\u{2126}", Unit::Ohm),
    ("ohm", Unit::Ohm),
    ("ohms", Unit::Ohm),
    ("R", Unit::Ohm),
    ("A", Unit::Ampere),
    ("amp", Unit::Ampere),
    ("amps", Unit::Ampere),
    ("ampere", Unit::Ampere),
    ("amperes", Unit::Ampere),
    ("F", Unit::Farad),
    ("fd", Unit::Farad),
    ("farad", Unit::Farad),
    ("farads", Unit::Farad),
    ("H", Unit::Henry),
    ("hy", Unit::Henry),
    ("henry", Unit::Henry),
    ("henrys", Unit::Henry),
    ("henries", Unit::Henry),
    ("Hz", Unit::Hertz),
    ("hertz", Unit::Hertz),
    ("cps", Unit::Hertz),
    ("cycles", Unit::Hertz),
    ("W", Unit::Watt),
    ("watt", Unit::Watt),
    ("watts", Unit::Watt),
];

/// Whole words of old sheets in which `m` is not milli (common practice of the time, no source).
const OLD_WORDS: [(&str, i64, Unit); 5] = [
    ("mfd", -6, Unit::Farad),
    ("mmfd", -12, Unit::Farad),
    ("mmf", -12, Unit::Farad),
    ("kc", 3, Unit::Hertz),
    ("mc", 6, Unit::Hertz),
];

/// Looks up a word; one blank between prefix and unit is allowed ("4.7 k ohms").
pub(crate) fn meaning(written: &str) -> Meaning {
    if written.split_whitespace().count() > 2 {
        return Meaning::Unknown;
    }
    let word: String = written.split_whitespace().collect();
    for (old, exponent, unit) in OLD_WORDS {
        if word.eq_ignore_ascii_case(old) {
            return known(exponent, Some(unit));
        }
    }
    // SI's `mF` is a millifarad, but "mf" and "MF" were printed for microfarads.
    if word != "mF" && word.eq_ignore_ascii_case("mf") {
        return Meaning::Ambiguous {
            small: "uF",
            large: "mF",
        };
    }
    if let Some(exponent) = prefix(&word) {
        return known(exponent, None);
    }
    for (spelling, unit) in UNITS {
        let start = word.len().checked_sub(spelling.len());
        let Some((head, tail)) = start.and_then(|at| word.split_at_checked(at)) else {
            continue;
        };
        if tail.eq_ignore_ascii_case(spelling) {
            if let Some(exponent) = if head.is_empty() {
                Some(0)
            } else {
                prefix(head)
            } {
                return known(exponent, Some(unit));
            }
        }
    }
    Meaning::Unknown
}

fn known(exponent: i64, unit: Option<Unit>) -> Meaning {
    Meaning::Known(Suffix { exponent, unit })
}

/// The power of ten of a prefix that is not empty.
fn prefix(word: &str) -> Option<i64> {
    let letter = PREFIX_LETTERS
        .iter()
        .find(|(letters, _)| !letters.is_empty() && *letters == word);
    let spelled = || {
        PREFIX_WORDS
            .iter()
            .find(|(name, _)| word.eq_ignore_ascii_case(name))
    };
    letter.or_else(spelled).map(|(_, exponent)| *exponent)
}

/// The meaning of a letter code, the length of its letters, the digits after them, and the rest.
pub(crate) type Code<'a> = (Suffix, usize, &'a str, &'a str);

/// `k7` after `4`: meaning of the letters, their length, the digits, and the text after them.
pub(crate) fn inner_code<'a>(token: &str, after: &'a str) -> Option<Code<'a>> {
    if token.contains('.') {
        return None;
    }
    let letters = after.find(|c: char| !c.is_alphabetic())?;
    let (word, behind) = after.split_at_checked(letters)?;
    let (digits, rest) = split_digits(behind);
    match meaning(word) {
        Meaning::Known(code) if !digits.is_empty() => Some((code, letters, digits, rest)),
        _ => None,
    }
}

/// `R47`: a letter before all digits. A letter that is not a decimal mark for this unit is not read
/// as one, because `V1` in a cell of volts is a tube and not a tenth of a volt.
pub(crate) fn leading_code(text: &str, place: Unit) -> Option<Code<'_>> {
    let letter = text.chars().next()?;
    let fits = match letter {
        'R' | '\u{3a9}' | '\u{2126}' => true,
        'k' | 'K' | 'M' | 'G' => place == Unit::Ohm,
        'p' | 'n' | 'u' | '\u{b5}' | '\u{3bc}' | 'm' => place == Unit::Farad,
        _ => false,
    };
    let (word, behind) = text.split_at_checked(letter.len_utf8())?;
    let (digits, rest) = split_digits(behind);
    match meaning(word) {
        Meaning::Known(code) if fits && !digits.is_empty() => {
            Some((code, word.len(), digits, rest))
        }
        _ => None,
    }
}

/// The known suffix of the place's unit that is nearest to a word: the same ignoring case, or, for
/// a suffix of three or more letters, with one typing mistake.
pub(crate) fn nearest(word: &str, place: Unit) -> Option<String> {
    // A word longer than any suffix cannot be near one, and comparing it would only take time.
    if word.chars().count() > 12 {
        return None;
    }
    let folded = word.to_lowercase();
    let length = folded.chars().count();
    // One typing mistake adds or drops one letter at most.
    let as_long = |candidate: &String| candidate.chars().count().abs_diff(length) <= 1;
    let slips = |candidate: &String| strsim::osa_distance(&folded, &candidate.to_lowercase());
    // With one mistake allowed in a short symbol, every symbol would be near every other.
    let near = |candidate: &String| {
        let allowed = usize::from(candidate.chars().count() > 2);
        slips(candidate) <= allowed
    };
    spellings(place)
        .filter(as_long)
        .filter(near)
        .min_by_key(slips)
}

/// The suffixes of a unit: plain names, symbols with prefix letters, old words. Prefix letters are
/// combined with symbols only: "did you mean `µhenrys`" would not help.
fn spellings(place: Unit) -> impl Iterator<Item = String> {
    let units = move || UNITS.into_iter().filter(move |(_, unit)| *unit == place);
    let plain = units().map(|(name, _)| name.to_string());
    let prefixed = PREFIX_LETTERS
        .into_iter()
        .flat_map(move |(letters, _)| units().map(move |(name, _)| (letters, name)))
        .filter(|(letters, name)| letters.chars().count() + name.chars().count() <= 3)
        .map(|(letters, name)| format!("{letters}{name}"));
    let old = OLD_WORDS
        .into_iter()
        .filter(move |(_, _, unit)| *unit == place)
        .map(|(word, _, _)| word.to_uppercase());
    plain.chain(old).chain(prefixed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn milli_and_mega_are_told_apart_by_the_capital() {
        assert_eq!(meaning("mV"), known(-3, Some(Unit::Volt)));
        assert_eq!(meaning("MΩ"), known(6, Some(Unit::Ohm)));
        for mega in ["M", "MEG", "meg", "Meg", "mega"] {
            assert_eq!(meaning(mega), known(6, None), "{mega}");
        }
        assert_eq!(meaning("megohms"), known(6, Some(Unit::Ohm)));
    }

    #[test]
    fn old_capacitor_marks_are_micro_and_pico() {
        for micro in ["MFD", "mfd", "uF", "µF", "μF", "UF", "ufd"] {
            assert_eq!(meaning(micro), known(-6, Some(Unit::Farad)), "{micro}");
        }
        for pico in ["MMF", "MMFD", "mmf", "uuF", "µµF", "μμF", "pF", "pf"] {
            assert_eq!(meaning(pico), known(-12, Some(Unit::Farad)), "{pico}");
        }
        assert_eq!(meaning("mF"), known(-3, Some(Unit::Farad)));
        for unclear in ["MF", "mf", "Mf"] {
            let two = Meaning::Ambiguous {
                small: "uF",
                large: "mF",
            };
            assert_eq!(meaning(unclear), two, "{unclear}");
        }
    }

    #[test]
    fn old_frequency_marks_and_both_ohm_signs() {
        assert_eq!(meaning("kc"), known(3, Some(Unit::Hertz)));
        assert_eq!(meaning("MC"), known(6, Some(Unit::Hertz)));
        assert_eq!(meaning("k\u{3a9}"), meaning("k\u{2126}"));
        assert_eq!(meaning("K ohms"), known(3, Some(Unit::Ohm)));
        assert_eq!(meaning("x"), Meaning::Unknown);
        assert_eq!(meaning("k o hm"), Meaning::Unknown);
    }

    #[test]
    fn the_nearest_suffix_is_of_the_places_unit() {
        assert_eq!(nearest("PF", Unit::Farad).as_deref(), Some("pF"));
        assert_eq!(nearest("vlots", Unit::Volt).as_deref(), Some("volts"));
        assert_eq!(nearest("omhs", Unit::Ohm).as_deref(), Some("ohms"));
        assert_eq!(nearest("MFS", Unit::Farad).as_deref(), Some("MFD"));
        assert_eq!(nearest("x", Unit::Volt), None);
        assert_eq!(nearest("xV", Unit::Volt), None);
        assert_eq!(nearest("bananas", Unit::Ohm), None);
    }
}
