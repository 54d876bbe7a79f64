//! The letters that basing diagrams and transistor charts print for electrodes.
//!
//! A word and the name of a terminal come in; whether the word may stand for the terminal goes out.
//! A letter with two meanings, `S` for screen or shell, stands for neither in a tube.

/// Letters and other words, and the terminals that they may stand for; no device has two terminals of one row.
const LETTERS: [(&str, &[&str]); 30] = [
    ("p", &["plate", "anode"]),
    ("a", &["anode", "plate"]),
    ("anode", &["plate"]),
    ("plate", &["anode"]),
    ("p1", &["plate1", "plate"]),
    ("p2", &["plate2"]),
    ("g", &["grid", "gate"]),
    ("g1", &["grid", "grid1"]),
    ("g2", &["screen", "grid2"]),
    ("g2+4", &["screen"]),
    ("g2+g4", &["screen"]),
    ("g3", &["suppressor", "grid3"]),
    ("k", &["cathode"]),
    ("f-", &["cathode"]),
    ("f+", &["filament"]),
    ("t", &["target"]),
    ("k1", &["cathode1", "cathode"]),
    ("k2", &["cathode2"]),
    ("pd1", &["diode1"]),
    ("pd2", &["diode2"]),
    ("d1", &["diode1"]),
    ("d2", &["diode2"]),
    ("pd3", &["diode3"]),
    ("d3", &["diode3"]),
    ("kd2", &["diode2-cathode"]),
    ("e", &["emitter"]),
    ("b", &["base"]),
    ("c", &["collector"]),
    ("d", &["drain"]),
    ("s", &["source"]),
];

/// Whether a word stands for the terminal of this name, ignoring case.
pub fn is_electrode(word: &str, terminal: &str) -> bool {
    word.eq_ignore_ascii_case(terminal)
        || LETTERS.iter().any(|(letters, names)| {
            letters.eq_ignore_ascii_case(word)
                && names.iter().any(|name| name.eq_ignore_ascii_case(terminal))
        })
}

/// The letter of an electrode, and whether it is the triode's, of a word that basings print for a triode beside another
/// system with grids: `PT` and `GT` are the triode's, `PP`, `PH` and `G1` those of the pentode or heptode.
pub fn system_letters(word: &str) -> Option<(&'static str, bool)> {
    Some(match word.to_ascii_lowercase().as_str() {
        "pt" | "at" => ("p", true),
        "gt" => ("g", true),
        "kt" => ("k", true),
        "pp" | "ph" | "ap" | "ah" => ("p", false),
        "kp" | "kh" => ("k", false),
        "g1" => ("g", false),
        _ => return None,
    })
}

/// Whether a word is one of these letters, or the name of a terminal that has one.
pub fn names_electrode(word: &str) -> bool {
    LETTERS.iter().any(|(letters, names)| {
        letters.eq_ignore_ascii_case(word)
            || names.iter().any(|name| name.eq_ignore_ascii_case(word))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_stand_for_the_electrodes_of_base_pictures() {
        for (word, terminal) in [
            ("P", "plate"),
            ("K", "cathode"),
            ("G2+4", "screen"),
            ("g2", "grid2"),
            ("E", "emitter"),
            ("S", "source"),
            ("Plate", "plate"),
        ] {
            assert!(is_electrode(word, terminal), "{word} {terminal}");
        }
        assert!(!is_electrode("S", "screen"));
        assert!(!is_electrode("E", "source"));
        assert!(names_electrode("c") && names_electrode("Collector") && !names_electrode("type"));
    }
}
