//! Kinds of tube, and the sections of each.

use super::base::Electrode;

/// The class of a tube, by the usual names.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TubeClass {
    /// One triode.
    Triode,
    /// Two triodes.
    TwinTriode,
    /// A triode and two diodes on its cathode.
    DuoDiodeTriode,
    /// Beam tetrode for power.
    BeamPower,
    /// Pentode for power.
    PowerPentode,
    /// Pentode with an evenly wound grid.
    SharpCutoffPentode,
    /// The same, designed for low hum and noise.
    LowNoisePentode,
    /// Pentode with an unevenly wound grid.
    RemoteCutoffPentode,
    /// Mixer and oscillator in one tube.
    PentagridConverter,
    /// Two rectifying diodes on one cathode.
    FullWaveRectifier,
    /// One rectifying diode.
    HalfWaveRectifier,
    /// Two signal diodes.
    TwinDiode,
    /// Gas-filled regulator.
    GlowRegulator,
    /// A triode and one diode on its cathode.
    DiodeTriode,
    /// A pentode and one diode on its cathode.
    DiodePentode,
    /// A pentode and two diodes on its cathode.
    DuoDiodePentode,
    /// Mixer and oscillator in one tube, with a separate oscillator anode.
    OscillatorConverter,
    /// Hexode mixer and triode oscillator with a common cathode and a common grid.
    TriodeHexode,
    /// Heptode mixer and triode oscillator with a common cathode.
    TriodeHeptode,
    /// Hexode mixer and triode oscillator with a common cathode; the hexode's third grid is joined to the triode's.
    JoinedTriodeHexode,
    /// Tuning eye: a triode, and the target whose shadow it controls.
    TuningEye,
    /// A small pentode and a triode, each with its own cathode.
    TriodePentode,
    /// A pentode for power and a triode, each with its own cathode.
    TriodePowerPentode,
    /// A triode, two diodes on its cathode, and a third one with a cathode of its own.
    TripleDiodeTriode,
}

/// Classes with their words in tables and reports.
const WORDS: [(TubeClass, &str); 24] = [
    (TubeClass::Triode, "triode"),
    (TubeClass::TwinTriode, "twin triode"),
    (TubeClass::DuoDiodeTriode, "duo-diode triode"),
    (TubeClass::BeamPower, "beam power"),
    (TubeClass::PowerPentode, "power pentode"),
    (TubeClass::SharpCutoffPentode, "sharp-cutoff pentode"),
    (TubeClass::LowNoisePentode, "low-noise pentode"),
    (TubeClass::RemoteCutoffPentode, "remote-cutoff pentode"),
    (TubeClass::PentagridConverter, "pentagrid converter"),
    (TubeClass::FullWaveRectifier, "full-wave rectifier"),
    (TubeClass::HalfWaveRectifier, "half-wave rectifier"),
    (TubeClass::TwinDiode, "twin diode"),
    (TubeClass::GlowRegulator, "glow regulator"),
    (TubeClass::DiodeTriode, "diode triode"),
    (TubeClass::DiodePentode, "diode pentode"),
    (TubeClass::DuoDiodePentode, "duo-diode pentode"),
    (TubeClass::OscillatorConverter, "anode-grid converter"),
    (TubeClass::TriodeHexode, "triode-hexode"),
    (TubeClass::TriodeHeptode, "triode-heptode"),
    (TubeClass::JoinedTriodeHexode, "joined triode-hexode"),
    (TubeClass::TuningEye, "tuning eye"),
    (TubeClass::TriodePentode, "triode-pentode"),
    (TubeClass::TriodePowerPentode, "triode power pentode"),
    (TubeClass::TripleDiodeTriode, "triple-diode triode"),
];

const TRIODE: &[Electrode] = &[Electrode::Plate, Electrode::Grid, Electrode::Cathode];
const PENTODE: &[Electrode] = &[
    Electrode::Plate,
    Electrode::Screen,
    Electrode::Grid,
    Electrode::Cathode,
];
const PENTAGRID: &[Electrode] = &[
    Electrode::Plate,
    Electrode::Screen,
    Electrode::OscillatorGrid,
    Electrode::SignalGrid,
    Electrode::Cathode,
];
const HEPTODE: &[Electrode] = &[
    Electrode::Plate,
    Electrode::Screen,
    Electrode::Grid,
    Electrode::InjectionGrid,
    Electrode::Cathode,
];
const JOINED_HEXODE: &[Electrode] = &[
    Electrode::Plate,
    Electrode::Screen,
    Electrode::Grid,
    Electrode::OscillatorGrid,
    Electrode::Cathode,
];
const JOINED_TRIODE: &[Electrode] = &[
    Electrode::Plate,
    Electrode::OscillatorGrid,
    Electrode::Cathode,
];
const DIODE: &[Electrode] = &[Electrode::Plate, Electrode::Cathode];
const DIODE_SECTION: &[Electrode] = &[Electrode::DiodePlate, Electrode::Cathode];
const DIODE_ALONE: &[Electrode] = &[Electrode::DiodePlate, Electrode::DiodeCathode];
const OSCILLATOR_ANODE: &[Electrode] = &[Electrode::OscillatorAnode, Electrode::Cathode];
const TARGET: &[Electrode] = &[Electrode::Target, Electrode::Cathode];
const GLOW: &[Electrode] = &[Electrode::Anode, Electrode::Cathode];

impl TubeClass {
    /// Its name in words.
    pub fn words(self) -> &'static str {
        WORDS
            .iter()
            .find(|(class, _)| *class == self)
            .map_or("tube", |(_, words)| words)
    }

    /// The class with this name.
    pub(crate) fn from_words(text: &str) -> Option<Self> {
        WORDS
            .iter()
            .find(|(_, words)| *words == text)
            .map(|(class, _)| *class)
    }

    /// Whether its positive grids draw the grid current of a power type.
    pub fn is_power(self) -> bool {
        matches!(
            self,
            TubeClass::BeamPower | TubeClass::PowerPentode | TubeClass::TriodePowerPentode
        )
    }

    /// Whether one tube mixes and oscillates.
    pub fn is_converter(self) -> bool {
        matches!(
            self,
            TubeClass::PentagridConverter
                | TubeClass::OscillatorConverter
                | TubeClass::TriodeHexode
        )
    }

    /// Whether a triode of its own stands beside a pentode or mixer.
    pub fn is_triode_pentode(self) -> bool {
        let is_pentode = matches!(
            self,
            TubeClass::TriodePentode | TubeClass::TriodePowerPentode
        );
        is_pentode || self.is_triode_mixer()
    }

    /// Whether a triode that oscillates stands beside a mixer whose third grid takes the oscillation.
    pub fn is_triode_mixer(self) -> bool {
        matches!(
            self,
            TubeClass::TriodeHeptode | TubeClass::JoinedTriodeHexode
        )
    }

    /// Whether signal diodes share the cathode of an amplifier.
    pub fn has_signal_diodes(self) -> bool {
        matches!(
            self,
            TubeClass::DuoDiodeTriode
                | TubeClass::DiodeTriode
                | TubeClass::DiodePentode
                | TubeClass::DuoDiodePentode
                | TubeClass::TripleDiodeTriode
        )
    }

    /// Electrodes of each section, in the order of the terminals of its characteristic.
    pub(crate) fn sections(self) -> Vec<&'static [Electrode]> {
        match self {
            TubeClass::Triode => vec![TRIODE],
            TubeClass::TwinTriode => vec![TRIODE, TRIODE],
            TubeClass::DuoDiodeTriode => vec![TRIODE, DIODE_SECTION, DIODE_SECTION],
            // The second diode is the one that a detector of frequency modulation needs the other way round.
            TubeClass::TripleDiodeTriode => vec![TRIODE, DIODE_SECTION, DIODE_ALONE, DIODE_SECTION],
            TubeClass::BeamPower
            | TubeClass::PowerPentode
            | TubeClass::SharpCutoffPentode
            | TubeClass::LowNoisePentode
            | TubeClass::RemoteCutoffPentode => vec![PENTODE],
            TubeClass::PentagridConverter => vec![PENTAGRID],
            TubeClass::FullWaveRectifier | TubeClass::TwinDiode => vec![DIODE, DIODE],
            TubeClass::HalfWaveRectifier => vec![DIODE],
            TubeClass::GlowRegulator => vec![GLOW],
            TubeClass::DiodeTriode => vec![TRIODE, DIODE_SECTION],
            TubeClass::DiodePentode => vec![PENTODE, DIODE_SECTION],
            TubeClass::DuoDiodePentode => vec![PENTODE, DIODE_SECTION, DIODE_SECTION],
            TubeClass::OscillatorConverter | TubeClass::TriodeHexode => {
                vec![PENTAGRID, OSCILLATOR_ANODE]
            }
            TubeClass::TriodeHeptode => vec![HEPTODE, TRIODE],
            TubeClass::JoinedTriodeHexode => vec![JOINED_HEXODE, JOINED_TRIODE],
            TubeClass::TuningEye => vec![TRIODE, TARGET],
            TubeClass::TriodePentode | TubeClass::TriodePowerPentode => vec![PENTODE, TRIODE],
        }
    }
}
