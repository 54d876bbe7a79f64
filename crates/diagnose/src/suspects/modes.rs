//! The one table of fault modes: how often each kind of part fails in each way, how that grows with
//! age, and how large the fault may be. What a line of it means is said in [`crate::suspects::fault_mode`].
//!
//! Weight = rate of the kind of part × share of the fault × growth with age × factor of the job.
//! Rates are relative to a composition resistor. Two documents stand behind rates and shares, both
//! read in a public transcription and not themselves: MIL-HDBK-217F, Appendix A (ground, fixed), and
//! MIL-HDBK-338B. They speak of military parts in service; how much likelier a fault is in a set of
//! [`GROWN_AT`](crate::suspects::fault_mode::GROWN_AT) years is common practice, no source. A fault that no direct voltage shows, such as a
//! dry electrolytic, is left out, so the shares of a kind need not sum to one.

use crate::suspects::fault::Fault;
use crate::suspects::fault_mode::{even, mode, near, FaultMode, SizeOf};
use crate::suspects::part_class::PartClass;

const HANDBOOKS: &str = "rate MIL-HDBK-217F Appendix A, share MIL-HDBK-338B, both as transcribed; \
                         growth with age common practice, no source";
const SPLIT: &str = "rate MIL-HDBK-217F Appendix A, share MIL-HDBK-338B, both as transcribed; \
                     split between its forms and growth with age common practice, no source";
const RATE_ONLY: &str = "rate MIL-HDBK-217F Appendix A as transcribed; share and growth with age \
                         common practice, no source";
const PRACTICE: &str = "common practice, no source";

use SizeOf::{Amperes, Ohms, Share, Times, TimesAbove, TimesBelow, TravelAbove, TravelBelow};

// 0.0022 per 10⁶ h is 1.
const RESISTOR: (PartClass, f64) = (PartClass::Resistor, 1.0);
// The handbook's 50 counts noise, which no direct voltage shows, as most of it (common practice).
const POTENTIOMETER: (PartClass, f64) = (PartClass::Potentiometer, 10.0);
const ELECTROLYTIC: (PartClass, f64) = (PartClass::Electrolytic, 28.0);
const PAPER: (PartClass, f64) = (PartClass::Paper, 3.3);
const MICA: (PartClass, f64) = (PartClass::Mica, 0.68);
const COIL: (PartClass, f64) = (PartClass::Coil, 3.3);
const TRANSFORMER: (PartClass, f64) = (PartClass::Transformer, 21.0);
// A transformer and two rectifiers of 10.
const SUPPLY: (PartClass, f64) = (PartClass::Supply, 41.0);
const LAMP: (PartClass, f64) = (PartClass::Lamp, 10.0);
const CONTACT: (PartClass, f64) = (PartClass::Contact, 1.4);
// The handbook's 5 per 10⁶ h (from memory) are 2300 composition resistors. But tubes sit in sockets
// and are replaced as they fail, while what is soldered has been there from the beginning: a tube
// found in an old set is taken to have a sixtieth of the set's hours behind it (common practice,
// no source).
const TUBES: (PartClass, f64) = (PartClass::Tube, 38.0);
const DIODE: (PartClass, f64) = (PartClass::Diode, 13.0);
const REGULATOR: (PartClass, f64) = (PartClass::Regulator, 11.0);
const TRANSISTOR: (PartClass, f64) = (PartClass::Transistor, 0.5);
const FIELD_EFFECT: (PartClass, f64) = (PartClass::FieldEffect, 0.5);

/// Every fault that a direct voltage can show.
pub const FAULT_MODES: [FaultMode; 68] = [
    // Parameter change .66, open .31, short .03; drift is upward four times in five. Composition
    // rises with the years; a fall is rare.
    mode(
        RESISTOR,
        Fault::DriftedHigh,
        (0.53, 8.0),
        near(TimesAbove, 1.0, 100.0, 0.3),
        SPLIT,
    ),
    mode(
        RESISTOR,
        Fault::DriftedLow,
        (0.13, 2.0),
        near(TimesBelow, 0.05, 1.0, 0.25),
        SPLIT,
    ),
    // An earlier repair misread a ring of colour: no failure of the part, so beside its shares.
    mode(
        RESISTOR,
        Fault::TenTimes,
        (0.01, 1.0),
        even(Times, 9.0, 11.0),
        PRACTICE,
    ),
    mode(
        RESISTOR,
        Fault::ATenth,
        (0.01, 1.0),
        even(Times, 0.09, 0.11),
        PRACTICE,
    ),
    mode(RESISTOR, Fault::Open, (0.31, 3.0), None, HANDBOOKS),
    mode(RESISTOR, Fault::Shorted, (0.03, 2.0), None, HANDBOOKS),
    // Open .53, erratic .40, short .07; an erratic one shows as a wiper that is off its track.
    mode(
        POTENTIOMETER,
        Fault::TrackOpenAbove,
        (0.13, 1.0),
        None,
        SPLIT,
    ),
    mode(
        POTENTIOMETER,
        Fault::TrackOpenBelow,
        (0.13, 1.0),
        None,
        SPLIT,
    ),
    mode(POTENTIOMETER, Fault::WiperOpen, (0.27, 1.0), None, SPLIT),
    mode(
        POTENTIOMETER,
        Fault::DriftedHigh,
        (0.05, 4.0),
        near(TimesAbove, 1.0, 100.0, 0.3),
        SPLIT,
    ),
    mode(
        POTENTIOMETER,
        Fault::DriftedLow,
        (0.02, 2.0),
        near(TimesBelow, 0.05, 1.0, 0.25),
        SPLIT,
    ),
    // No failure of the part, so beside its shares: somebody has turned it. A logarithm of 1 below a position is how
    // far sizes that are even in the travel lie.
    mode(
        POTENTIOMETER,
        Fault::SetHigher,
        (0.15, 1.0),
        even(TravelAbove, 0.005, 0.995),
        PRACTICE,
    ),
    mode(
        POTENTIOMETER,
        Fault::SetLower,
        (0.15, 1.0),
        near(TravelBelow, 0.005, 0.995, 1.0),
        PRACTICE,
    ),
    // Short .53, of which leakage makes up the most.
    mode(
        ELECTROLYTIC,
        Fault::Leaky,
        (0.40, 1.5),
        even(Ohms, 30.0, 5e6),
        SPLIT,
    ),
    mode(ELECTROLYTIC, Fault::Shorted, (0.13, 1.0), None, SPLIT),
    // Short .63. Waxed paper takes up water.
    mode(
        PAPER,
        Fault::Leaky,
        (0.53, 8.0),
        even(Ohms, 3e3, 300e6),
        SPLIT,
    ),
    mode(PAPER, Fault::Shorted, (0.10, 3.0), None, SPLIT),
    // Short .72.
    mode(
        MICA,
        Fault::Leaky,
        (0.36, 3.0),
        even(Ohms, 3e3, 300e6),
        SPLIT,
    ),
    mode(MICA, Fault::Shorted, (0.36, 1.0), None, SPLIT),
    mode(COIL, Fault::Open, (0.42, 2.0), None, HANDBOOKS),
    mode(COIL, Fault::Shorted, (0.21, 1.0), None, SPLIT),
    mode(
        COIL,
        Fault::ShortedTurns,
        (0.21, 1.0),
        even(Times, 0.3, 0.98),
        SPLIT,
    ),
    mode(TRANSFORMER, Fault::PrimaryOpen, (0.21, 1.0), None, SPLIT),
    mode(TRANSFORMER, Fault::SecondaryOpen, (0.21, 1.0), None, SPLIT),
    mode(
        TRANSFORMER,
        Fault::ShortedTurns,
        (0.42, 0.5),
        even(Times, 0.3, 0.98),
        HANDBOOKS,
    ),
    // A drawn supply stands for a transformer and its rectifiers; selenium and tired rectifier
    // tubes drop more with the years.
    mode(
        SUPPLY,
        Fault::VoltsHigh,
        (0.10, 0.7),
        near(TimesAbove, 1.0, 1.3, 0.08),
        RATE_ONLY,
    ),
    mode(
        SUPPLY,
        Fault::VoltsLow,
        (0.20, 1.0),
        near(TimesBelow, 0.2, 1.0, 0.2),
        RATE_ONLY,
    ),
    mode(
        SUPPLY,
        Fault::WeakSource,
        (0.40, 1.0),
        even(Times, 1.5, 60.0),
        RATE_ONLY,
    ),
    mode(SUPPLY, Fault::Dead, (0.30, 1.0), None, RATE_ONLY),
    // Fuse, switch, cord, plug, and what all supplies have in common; counts once a set.
    mode(SUPPLY, Fault::Unfed, (0.15, 1.0), None, PRACTICE),
    mode(
        LAMP,
        Fault::Open,
        (0.67, 1.0),
        None,
        "rate common practice, no source; share MIL-HDBK-338B as transcribed",
    ),
    // Open .65, sticking .19, short .16.
    mode(CONTACT, Fault::StuckOpen, (0.65, 3.0), None, HANDBOOKS),
    mode(CONTACT, Fault::StuckClosed, (0.35, 1.0), None, SPLIT),
    // No failure of the handbook's, so beside its shares.
    mode(
        CONTACT,
        Fault::DirtyContact,
        (0.20, 4.0),
        even(Ohms, 2.0, 1e6),
        PRACTICE,
    ),
    mode(
        TUBES,
        Fault::LowEmission,
        (0.50, 1.0),
        even(Share, 0.03, 0.75),
        PRACTICE,
    ),
    mode(
        TUBES,
        Fault::Gassy,
        (0.12, 1.0),
        even(Amperes, 0.15e-6, 20e-6),
        PRACTICE,
    ),
    mode(TUBES, Fault::NoEmission, (0.08, 1.0), None, PRACTICE),
    mode(TUBES, Fault::HeaterOpen, (0.10, 1.0), None, PRACTICE),
    mode(
        TUBES,
        Fault::HeaterCathodeLeak,
        (0.10, 1.0),
        even(Ohms, 1e3, 10e6),
        PRACTICE,
    ),
    // Somebody plugged in what fits the socket.
    mode(TUBES, Fault::OtherType, (0.03, 1.0), None, PRACTICE),
    // An earlier repair soldered two leads of a socket the wrong way round.
    mode(TUBES, Fault::SectionsSwapped, (0.002, 1.0), None, PRACTICE),
    mode(TUBES, Fault::ElectrodeOpen, (0.02, 1.0), None, PRACTICE),
    mode(TUBES, Fault::GridCathodeShort, (0.03, 1.0), None, PRACTICE),
    mode(
        TUBES,
        Fault::GridCathodeLeak,
        (0.008, 1.0),
        even(Ohms, 1e3, 10e6),
        PRACTICE,
    ),
    mode(TUBES, Fault::PlateCathodeShort, (0.01, 1.0), None, PRACTICE),
    mode(TUBES, Fault::NotOscillating, (0.10, 1.0), None, PRACTICE),
    // Short .49, open .36, parameter change .15.
    mode(DIODE, Fault::Shorted, (0.49, 1.0), None, HANDBOOKS),
    mode(DIODE, Fault::Open, (0.36, 1.0), None, HANDBOOKS),
    mode(
        DIODE,
        Fault::Leaky,
        (0.15, 2.0),
        even(Ohms, 100.0, 2e6),
        HANDBOOKS,
    ),
    // Selenium plates rise in resistance with the years.
    mode(
        DIODE,
        Fault::Aged,
        (0.40, 5.0),
        even(Times, 2.0, 60.0),
        PRACTICE,
    ),
    mode(REGULATOR, Fault::NoStrike, (0.25, 1.0), None, RATE_ONLY),
    mode(REGULATOR, Fault::Open, (0.35, 1.0), None, RATE_ONLY),
    mode(REGULATOR, Fault::Shorted, (0.20, 1.0), None, RATE_ONLY),
    mode(
        REGULATOR,
        Fault::Leaky,
        (0.05, 1.0),
        even(Ohms, 300.0, 1e6),
        RATE_ONLY,
    ),
    // A discharge moves with the state of its cathode and its gas. Far off, another type is in its place: 75 V, 105 V
    // and 150 V fit one socket, and Zener diodes of all volts look alike.
    mode(
        REGULATOR,
        Fault::VoltsLow,
        (0.10, 2.0),
        near(TimesBelow, 0.45, 1.0, 0.08),
        PRACTICE,
    ),
    mode(
        REGULATOR,
        Fault::VoltsHigh,
        (0.05, 2.0),
        near(TimesAbove, 1.0, 2.1, 0.08),
        PRACTICE,
    ),
    // Short .73, open .27; of old germanium many leak.
    mode(TRANSISTOR, Fault::EndsShorted, (0.17, 5.0), None, SPLIT),
    mode(
        TRANSISTOR,
        Fault::CollectorEmitterLeak,
        (0.08, 5.0),
        even(Ohms, 30.0, 1e6),
        SPLIT,
    ),
    mode(
        TRANSISTOR,
        Fault::BaseEmitterShort,
        (0.09, 5.0),
        None,
        SPLIT,
    ),
    mode(
        TRANSISTOR,
        Fault::CollectorBaseShort,
        (0.09, 5.0),
        None,
        SPLIT,
    ),
    mode(
        TRANSISTOR,
        Fault::Leaky,
        (0.30, 10.0),
        even(Times, 2.5, 100.0),
        SPLIT,
    ),
    mode(TRANSISTOR, Fault::ElectrodeOpen, (0.09, 5.0), None, SPLIT),
    mode(
        TRANSISTOR,
        Fault::LowGain,
        (0.10, 10.0),
        even(Share, 0.03, 0.6),
        PRACTICE,
    ),
    // Short .51, most of which begins at the gate; output low .22, open .05.
    mode(FIELD_EFFECT, Fault::EndsShorted, (0.17, 5.0), None, SPLIT),
    mode(
        FIELD_EFFECT,
        Fault::GateSourceLeak,
        (0.17, 5.0),
        even(Ohms, 100.0, 100e6),
        SPLIT,
    ),
    mode(
        FIELD_EFFECT,
        Fault::GateDrainLeak,
        (0.17, 5.0),
        even(Ohms, 100.0, 100e6),
        SPLIT,
    ),
    mode(
        FIELD_EFFECT,
        Fault::LowGain,
        (0.22, 5.0),
        even(Share, 0.03, 0.6),
        HANDBOOKS,
    ),
    mode(FIELD_EFFECT, Fault::ElectrodeOpen, (0.02, 5.0), None, SPLIT),
];

/// The line of one fault of a kind of part; none if the table has none.
pub(crate) fn mode_of(class: PartClass, fault: Fault) -> Option<&'static FaultMode> {
    FAULT_MODES
        .iter()
        .find(|line| line.class == class && line.fault == fault)
}

#[cfg(test)]
#[path = "modes_tests.rs"]
mod tests;
