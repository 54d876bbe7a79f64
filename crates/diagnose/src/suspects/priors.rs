//! How often parts fail, and how: the weight of each fault before any reading is looked at.
//!
//! Weight = rate of the kind of part × share of the fault × age factor of its class. Rates are
//! relative to a composition resistor. Two documents stand behind the table, both read in a
//! public transcription and not themselves: the rates of MIL-HDBK-217F, Appendix A (ground,
//! fixed), and the shares of MIL-HDBK-338B. They speak of military parts in service, not of sets
//! of this age; that is what the age factors are for. A fault that no direct voltage shows, such
//! as a dry electrolytic, is left out, so the shares of a kind need not sum to one.

use crate::suspects::fault::Fault;

/// A kind of part with a rate of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PartClass {
    /// Fixed resistor.
    Resistor,
    /// Potentiometer.
    Potentiometer,
    /// Electrolytic capacitor, 1 µF and more (common practice, no source).
    Electrolytic,
    /// Paper capacitor, 1 nF to 1 µF (common practice, no source).
    Paper,
    /// Mica or ceramic capacitor, below 1 nF (common practice, no source).
    Mica,
    /// Choke or coil.
    Coil,
    /// Transformer.
    Transformer,
    /// Supply or battery.
    Supply,
    /// Lamp.
    Lamp,
    /// Switch or fuse.
    Contact,
    /// Tube.
    Tube,
    /// Diode or rectifier.
    Diode,
    /// Zener diode, glow tube or neon lamp.
    Regulator,
    /// Bipolar transistor.
    Transistor,
    /// Field-effect transistor.
    FieldEffect,
}

/// One line of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaultPrior {
    /// The kind of part.
    pub class: PartClass,
    /// The fault.
    pub fault: Fault,
    /// Rate of failure of the kind, relative to a composition resistor.
    pub rate: f64,
    /// Share of this fault among its failures.
    pub share: f64,
    /// Where rate and share come from.
    pub source: &'static str,
}

/// Factors on the rates, by class of part; 1 for those not named.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AgeFactors {
    factors: Vec<(PartClass, f64)>,
}

/// Weight of a set in order among all that may be found on a bench: common practice, no source.
/// Somebody brought the set in, so this is well below one half; but many tubes pulled from sets
/// were found good (one in three in an airline study), so it is not next to nothing.
pub const NOTHING_WRONG: f64 = 0.2;

/// How often a reading is not what it is taken for: one slip in a hundred readings (common practice,
/// no source). The set is then taken to be in order otherwise.
pub const READING_WRONG: f64 = 0.01;

const HANDBOOKS: &str = "rate MIL-HDBK-217F Appendix A, share MIL-HDBK-338B, both as transcribed";
const SPLIT: &str = "rate MIL-HDBK-217F Appendix A, share MIL-HDBK-338B, both as transcribed; \
                     split between its forms common practice, no source";
const RATE_ONLY: &str =
    "rate MIL-HDBK-217F Appendix A as transcribed; share common practice, no source";
const TUBE: &str = "rate a twentieth of MIL-HDBK-217F 7.1 (from memory), see TUBES; share common \
                    practice, no source";
const PRACTICE: &str = "common practice, no source";

const fn row(
    (class, rate): (PartClass, f64),
    fault: Fault,
    share: f64,
    source: &'static str,
) -> FaultPrior {
    FaultPrior {
        class,
        fault,
        rate,
        share,
        source,
    }
}

// 0.0022 per 10⁶ h is 1.
const RESISTOR: (PartClass, f64) = (PartClass::Resistor, 1.0);
const POTENTIOMETER: (PartClass, f64) = (PartClass::Potentiometer, 50.0);
const ELECTROLYTIC: (PartClass, f64) = (PartClass::Electrolytic, 28.0);
const PAPER: (PartClass, f64) = (PartClass::Paper, 3.3);
const MICA: (PartClass, f64) = (PartClass::Mica, 0.68);
const COIL: (PartClass, f64) = (PartClass::Coil, 3.3);
const TRANSFORMER: (PartClass, f64) = (PartClass::Transformer, 21.0);
const SUPPLY: (PartClass, f64) = (PartClass::Supply, 83.0);
const LAMP: (PartClass, f64) = (PartClass::Lamp, 10.0);
const CONTACT: (PartClass, f64) = (PartClass::Contact, 1.4);
// The handbook's 5 per 10⁶ h (from memory) are 2300 composition resistors. But tubes sit in sockets
// and are replaced as they fail, while what is soldered has been there from the beginning: a tube
// found in an old set is taken to have a twentieth of the set's hours behind it (common practice,
// no source).
const TUBES: (PartClass, f64) = (PartClass::Tube, 115.0);
const DIODE: (PartClass, f64) = (PartClass::Diode, 13.0);
const REGULATOR: (PartClass, f64) = (PartClass::Regulator, 11.0);
const TRANSISTOR: (PartClass, f64) = (PartClass::Transistor, 0.5);
const FIELD_EFFECT: (PartClass, f64) = (PartClass::FieldEffect, 0.5);

/// Every fault that a direct voltage can show, with rate, share and source.
pub const FAULT_PRIORS: [FaultPrior; 52] = [
    // Parameter change .66, open .31, short .03; drift is upward four times in five.
    row(RESISTOR, Fault::DriftedHigh, 0.53, SPLIT),
    row(RESISTOR, Fault::DriftedLow, 0.13, SPLIT),
    row(RESISTOR, Fault::Open, 0.31, HANDBOOKS),
    row(RESISTOR, Fault::Shorted, 0.03, HANDBOOKS),
    // Open .53, erratic .40, short .07; an erratic one shows as a wiper that is off its track.
    row(POTENTIOMETER, Fault::TrackOpenAbove, 0.13, SPLIT),
    row(POTENTIOMETER, Fault::TrackOpenBelow, 0.13, SPLIT),
    row(POTENTIOMETER, Fault::WiperOpen, 0.27, SPLIT),
    row(POTENTIOMETER, Fault::DriftedHigh, 0.05, SPLIT),
    row(POTENTIOMETER, Fault::DriftedLow, 0.02, SPLIT),
    // Short .53, of which leakage makes up the most.
    row(ELECTROLYTIC, Fault::Leaky, 0.40, SPLIT),
    row(ELECTROLYTIC, Fault::Shorted, 0.13, SPLIT),
    // Short .63.
    row(PAPER, Fault::Leaky, 0.53, SPLIT),
    row(PAPER, Fault::Shorted, 0.10, SPLIT),
    // Short .72.
    row(MICA, Fault::Leaky, 0.36, SPLIT),
    row(MICA, Fault::Shorted, 0.36, SPLIT),
    row(COIL, Fault::Open, 0.42, HANDBOOKS),
    row(COIL, Fault::Shorted, 0.21, SPLIT),
    row(COIL, Fault::ShortedTurns, 0.21, SPLIT),
    row(TRANSFORMER, Fault::PrimaryOpen, 0.21, SPLIT),
    row(TRANSFORMER, Fault::SecondaryOpen, 0.21, SPLIT),
    row(TRANSFORMER, Fault::ShortedTurns, 0.42, HANDBOOKS),
    // A drawn supply stands for a transformer and its rectifier: 73 and 10.
    row(SUPPLY, Fault::VoltsHigh, 0.10, RATE_ONLY),
    row(SUPPLY, Fault::VoltsLow, 0.20, RATE_ONLY),
    row(SUPPLY, Fault::WeakSource, 0.40, RATE_ONLY),
    row(SUPPLY, Fault::Dead, 0.30, RATE_ONLY),
    row(
        LAMP,
        Fault::Open,
        0.67,
        "rate common practice, no source; share MIL-HDBK-338B as transcribed",
    ),
    // Open .65, sticking .19, short .16.
    row(CONTACT, Fault::StuckOpen, 0.65, HANDBOOKS),
    row(CONTACT, Fault::StuckClosed, 0.35, SPLIT),
    row(TUBES, Fault::LowEmission, 0.50, TUBE),
    row(TUBES, Fault::Gassy, 0.12, TUBE),
    row(TUBES, Fault::NoEmission, 0.10, TUBE),
    row(TUBES, Fault::HeaterOpen, 0.10, TUBE),
    row(TUBES, Fault::HeaterCathodeLeak, 0.12, TUBE),
    row(TUBES, Fault::ElectrodeOpen, 0.01, TUBE),
    row(TUBES, Fault::GridCathodeShort, 0.02, TUBE),
    row(TUBES, Fault::PlateCathodeShort, 0.005, TUBE),
    // Short .49, open .36, parameter change .15.
    row(DIODE, Fault::Shorted, 0.49, HANDBOOKS),
    row(DIODE, Fault::Open, 0.36, HANDBOOKS),
    row(DIODE, Fault::Leaky, 0.15, HANDBOOKS),
    row(REGULATOR, Fault::NoStrike, 0.30, RATE_ONLY),
    row(REGULATOR, Fault::Open, 0.45, RATE_ONLY),
    row(REGULATOR, Fault::Shorted, 0.20, RATE_ONLY),
    row(REGULATOR, Fault::Leaky, 0.05, RATE_ONLY),
    // Short .73, open .27; of old germanium many leak.
    row(TRANSISTOR, Fault::EndsShorted, 0.25, SPLIT),
    row(TRANSISTOR, Fault::BaseEmitterShort, 0.09, SPLIT),
    row(TRANSISTOR, Fault::CollectorBaseShort, 0.09, SPLIT),
    row(TRANSISTOR, Fault::Leaky, 0.30, SPLIT),
    row(TRANSISTOR, Fault::ElectrodeOpen, 0.09, SPLIT),
    row(TRANSISTOR, Fault::LowGain, 0.05, PRACTICE),
    // Short .51, output low .22, open .05.
    row(FIELD_EFFECT, Fault::EndsShorted, 0.51, HANDBOOKS),
    row(FIELD_EFFECT, Fault::LowGain, 0.22, HANDBOOKS),
    row(FIELD_EFFECT, Fault::ElectrodeOpen, 0.02, SPLIT),
];

/// Classes by the names that a job uses ([`circuit::AGE_CLASSES`]).
const NAMED: [(&str, &[PartClass]); 11] = [
    ("resistor", &[PartClass::Resistor]),
    ("potentiometer", &[PartClass::Potentiometer]),
    ("paper capacitor", &[PartClass::Paper]),
    ("mica or ceramic capacitor", &[PartClass::Mica]),
    ("electrolytic capacitor", &[PartClass::Electrolytic]),
    (
        "coil or transformer",
        &[PartClass::Coil, PartClass::Transformer],
    ),
    ("supply", &[PartClass::Supply]),
    ("tube", &[PartClass::Tube]),
    (
        "semiconductor",
        &[
            PartClass::Diode,
            PartClass::Regulator,
            PartClass::Transistor,
            PartClass::FieldEffect,
        ],
    ),
    ("contact", &[PartClass::Contact]),
    ("lamp", &[PartClass::Lamp]),
];

impl AgeFactors {
    /// The factors of a job, by the names of [`circuit::AGE_CLASSES`]; other names are left aside.
    pub fn named(factors: &[(String, f64)]) -> Self {
        let mut ages = AgeFactors::default();
        for (name, factor) in factors {
            let classes = NAMED.iter().find(|(known, _)| known == name);
            for class in classes.map_or(&[][..], |(_, classes)| classes) {
                ages = ages.with(*class, *factor);
            }
        }
        ages
    }

    /// The same with one class's factor set.
    pub fn with(mut self, class: PartClass, factor: f64) -> Self {
        self.factors.retain(|(known, _)| *known != class);
        self.factors.push((class, factor));
        self
    }

    /// The factor of a class.
    pub fn of(&self, class: PartClass) -> f64 {
        let named = self.factors.iter().find(|(known, _)| *known == class);
        named.map_or(1.0, |(_, factor)| *factor)
    }
}

/// Rate × share × age of one fault of a kind of part; none if the table has no such line.
pub(crate) fn weight(class: PartClass, fault: Fault, ages: &AgeFactors) -> Option<f64> {
    let line = FAULT_PRIORS
        .iter()
        .find(|line| line.class == class && line.fault == fault)?;
    let age = ages.of(class);
    let factor = if age.is_finite() { age.max(0.0) } else { 1.0 };
    Some(line.rate * line.share * factor)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_of_a_kind_are_at_most_one_and_no_line_stands_twice() {
        for (place, line) in FAULT_PRIORS.iter().enumerate() {
            let kind = FAULT_PRIORS
                .iter()
                .filter(|other| other.class == line.class);
            let sum: f64 = kind.map(|other| other.share).sum();
            // Shares of two digits sum without visible rounding.
            assert!(sum <= 1.0 + 1e-9, "{:?}: {sum}", line.class);
            let twice = FAULT_PRIORS[place + 1..].iter();
            assert!(twice
                .filter(|other| other.class == line.class)
                .all(|other| other.fault != line.fault));
        }
    }

    #[test]
    fn every_class_that_a_job_can_name_is_known() {
        for name in circuit::AGE_CLASSES {
            let ages = AgeFactors::named(&[(name.to_owned(), 7.0)]);
            assert!(!ages.factors.is_empty(), "{name}");
        }
    }

    #[test]
    fn an_age_factor_scales_its_class_alone() {
        // Composition resistor open: 1 × .31, by hand; three times that with its age factor.
        let ages = AgeFactors::default().with(PartClass::Resistor, 3.0);
        let open = weight(PartClass::Resistor, Fault::Open, &ages).unwrap();
        assert!((open - 0.93).abs() < 1e-12);
        let coil = weight(PartClass::Coil, Fault::Open, &ages).unwrap();
        assert!((coil - 3.3 * 0.42).abs() < 1e-12);
        assert!(weight(PartClass::Coil, Fault::Gassy, &ages).is_none());
    }
}
