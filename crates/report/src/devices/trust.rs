//! How far the numbers of a device can be trusted, in sentences and in a word.

use circuit::{semiconductor, SemiconductorKind, SemiconductorType, TubeClass, TubeType};

/// Where numbers come from, in one word for the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Trust {
    /// All were read in a published source.
    Read,
    /// All are from memory of makers' manuals.
    Memory,
    /// Some of each.
    Partly,
}

impl Trust {
    /// Of a status as the catalogue words it, such as `memory / read; bias from memory`.
    pub(crate) fn of(status: &str) -> Trust {
        let words = || status.split(|c: char| !c.is_ascii_alphabetic());
        let known = words().any(|word| matches!(word, "read" | "measured"));
        let memory = words().any(|word| matches!(word, "memory" | "part"));
        match (known, memory) {
            (true, false) => Trust::Read,
            (true, true) => Trust::Partly,
            (false, _) => Trust::Memory,
        }
    }

    /// Of a semiconductor, whose source says which of its figures are from memory.
    pub(crate) fn of_semiconductor(own: &SemiconductorType) -> Trust {
        // `as BC107A` has the source of that type.
        let other = own.source.strip_prefix("as ").and_then(semiconductor);
        let source = other.map_or(&own.source, |other| &other.source);
        match Trust::of(&own.status) {
            Trust::Read if source.contains("from memory") => Trust::Partly,
            standing => standing,
        }
    }

    /// The word of the list.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Trust::Read => "read",
            Trust::Memory => "memory",
            Trust::Partly => "partly",
        }
    }
}

/// What the words of the list mean.
pub(crate) const WORDS: [&str; 3] = [
    "read: the figures were read in a published source, or measured.",
    "memory: from memory of makers' manuals; no page could be read.",
    "partly: some of each. The page of the type says which.",
];

/// Measurements behind it: docs/devices.md.
const SCATTER: &str = "Samples scatter more than the model misses: a good tube may carry anything \
    between 0.75 and 1.35 times the current of the nominal one (docs/devices.md has the measurements).";

pub(crate) fn of_tube(tube: &TubeType) -> Vec<String> {
    let mut lines = Vec::new();
    if !tube.base_status.contains("pins read") && !tube.base_status.contains("pins and") {
        lines.push("The pins are from memory: hold them against the set's own diagram.".to_owned());
    } else if tube.base_status.contains("another") {
        lines.push("The pins were read for another type on the same base.".to_owned());
    }
    lines.push(match Trust::of(&tube.data_status) {
        Trust::Read => "The points behind the model were read in a published source.".to_owned(),
        Trust::Partly => "Some of the points behind the model were read or measured, the others \
            are from memory."
            .to_owned(),
        Trust::Memory => "The points behind the model are from memory of makers' manuals: check \
            them against a paper manual before relying on them."
            .to_owned(),
    });
    if tube.class == TubeClass::GlowRegulator {
        lines.push(
            "Running volts differ from sample to sample; no published spread was read.".to_owned(),
        );
        return lines;
    }
    lines.push(SCATTER.to_owned());
    let is_diode = matches!(
        tube.class,
        TubeClass::FullWaveRectifier | TubeClass::HalfWaveRectifier | TubeClass::TwinDiode
    );
    if is_diode {
        lines.push(
            "That was measured on triodes and pentodes and is assumed for diodes.".to_owned(),
        );
    } else {
        lines.push(
            "Away from the points the model is worth less: with one of two points left out, it gave \
             the plate current there within \u{2212}26 to +19 % for triodes, \u{2212}9 to +5 % for \
             tubes with a screen."
                .to_owned(),
        );
    }
    lines
}

pub(crate) fn of_semiconductor(own: &SemiconductorType) -> Vec<String> {
    let source = match Trust::of_semiconductor(own) {
        Trust::Read => "Its figures were read in a published source.",
        Trust::Partly => "Some of its figures were read, the others are from memory.",
        Trust::Memory => {
            "Its figures are from memory of data sheets: check them before relying on them."
        }
    };
    let scatter = match own.kind {
        SemiconductorKind::Bipolar { .. } => {
            "Samples of one type differ by a factor of two to three in current gain, and more in \
             leakage; base-emitter volts at a current hardly differ (common practice, no source)."
        }
        SemiconductorKind::FieldEffect(_) => {
            "Samples of one type differ by a factor of five and more in drain current at zero gate \
             volts, and pinch-off goes with it, as the printed limits show."
        }
        SemiconductorKind::Diode { .. } => {
            "Forward volts at a current hardly differ between samples; leakage does, by a factor of \
             ten (common practice, no source)."
        }
        SemiconductorKind::Selenium(_) => {
            "A plate's forward volts rise with age, so an old stack drops more than this."
        }
        SemiconductorKind::Zener(_) => {
            "The marked volts hold within the tolerance of the mark, often 5 or 10 % (common \
             practice, no source)."
        }
    };
    vec![
        source.to_owned(),
        scatter.to_owned(),
        "The numbers are those at 27 °C.".to_owned(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::tube_type;

    #[test]
    fn a_status_becomes_one_word() {
        for (status, want) in [
            ("read", Trust::Read),
            ("memory", Trust::Memory),
            ("memory / read", Trust::Partly),
            ("measured / memory; limits read", Trust::Partly),
            ("read; slope from memory", Trust::Partly),
            ("part read", Trust::Partly),
        ] {
            assert_eq!(Trust::of(status), want, "{status}");
        }
    }

    #[test]
    fn a_figure_from_memory_in_the_source_counts() {
        let of = |name: &str| Trust::of_semiconductor(semiconductor(name).unwrap());
        for name in ["2N404", "BC107A", "BC107B"] {
            assert_eq!(of(name), Trust::Partly, "{name}");
        }
        assert_eq!(of("2N107"), Trust::Memory);
    }

    #[test]
    fn what_is_from_memory_is_said_to_be() {
        let said = |name: &str| of_tube(tube_type(name).unwrap()).join(" ");
        assert!(!said("12AX7").contains("from memory"));
        assert!(said("6AQ5").contains("pins are from memory"));
        assert!(said("6BE6").contains("another type"));
        assert!(said("6AQ5").contains("0.75 and 1.35"));
        assert!(!said("0A2").contains("1.35"));
    }
}
