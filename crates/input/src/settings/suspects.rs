//! The section `suspects` of `job.toml`: what makes a fault likelier in this set, and how strongly
//! hazardous points are avoided.

use circuit::AGE_CLASSES;

use crate::diagnostic::Diagnostic;
use crate::nearest::did_you_mean;

use super::bare::Wanted;
use super::tree::Section;

const KEYS: [&str; 3] = ["age", "ages", "hazard-penalty"];

const YEARS: Wanted = Wanted {
    fits: |years| (0.0..=150.0).contains(&years),
    words: "the years that the set is old, 0 to 150",
    example: "60",
};

const AGE: Wanted = Wanted {
    fits: |factor| factor > 0.0,
    words: "a number above zero",
    example: "5",
};

const PENALTY: Wanted = Wanted {
    fits: |share| (0.0..=1.0).contains(&share),
    words: "a number from 0 to 1",
    example: "0.5",
};

/// The section `suspects`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SuspectSettings {
    /// How many times likelier than usual a fault is in parts of a class, by the names in
    /// [`circuit::AGE_CLASSES`]; above 0.
    pub ages: Vec<(String, f64)>,
    /// How old the set is, in years.
    pub age: Option<f64>,
    /// Share of a probe's gain that a hazardous point loses, 0 to 1.
    pub hazard_penalty: Option<f64>,
}

pub(super) fn read_suspects(section: &Section<'_>, out: &mut Vec<Diagnostic>) -> SuspectSettings {
    section.only(&KEYS, out);
    SuspectSettings {
        ages: ages(section, out),
        age: section
            .entry("age")
            .and_then(|entry| entry.number_of(&YEARS, out).ok()),
        hazard_penalty: section
            .entry("hazard-penalty")
            .and_then(|entry| entry.number_of(&PENALTY, out).ok()),
    }
}

fn ages(section: &Section<'_>, out: &mut Vec<Diagnostic>) -> Vec<(String, f64)> {
    let Some(entry) = section.entry("ages") else {
        return Vec::new();
    };
    let Some(table) = entry.section() else {
        let error = entry.error("factors by class were expected here");
        out.push(error.help("write `ages = { \"paper capacitor\" = 5 }`"));
        return Vec::new();
    };
    let mut ages = Vec::new();
    for class in table.entries() {
        let factor = class.number_of(&AGE, out);
        if !AGE_CLASSES.contains(&class.key) {
            // If it were ignored like an unknown key, the factor would have no effect, and nobody
            // would notice.
            let message = format!("{}: '{}' is no class of parts", entry.what(), class.key);
            let known = format!("write one of: {}", AGE_CLASSES.join(", "));
            let error = Diagnostic::error(class.key_span.clone(), message).help(known);
            out.push(error.maybe_help(did_you_mean(class.key, AGE_CLASSES)));
        } else if let Ok(factor) = factor {
            ages.push((class.key.to_owned(), factor));
        }
    }
    ages
}
