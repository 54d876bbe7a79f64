//! The section `on-the-bench` of `job.toml`: what the set is read with.

use crate::diagnostic::Diagnostic;

use super::bare::Wanted;
use super::tree::Section;
use super::{names, volts, Named};

const KEYS: [&str; 3] = ["meter", "line", "guard"];

/// With ten times the expanded uncertainty no reading could pass: more is a mistake.
const GUARD: Wanted = Wanted {
    fits: |guard| (0.0..=10.0).contains(&guard),
    words: "a number from 0 to 10",
    example: "1",
};

/// The section `on-the-bench`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BenchSettings {
    /// The meters, the first of them the one in use.
    pub meters: Vec<Named>,
    /// Line volts at the bench.
    pub line: Option<f64>,
    /// Guard band as a multiple of the expanded uncertainty, 0 to 10.
    pub guard: Option<f64>,
}

pub(super) fn read_bench(section: &Section<'_>, out: &mut Vec<Diagnostic>) -> BenchSettings {
    section.only(&KEYS, out);
    BenchSettings {
        meters: section
            .entry("meter")
            .and_then(|entry| names(&entry, out))
            .unwrap_or_default(),
        line: volts(section, "line", out),
        guard: section
            .entry("guard")
            .and_then(|entry| entry.number_of(&GUARD, out).ok()),
    }
}
