//! A tube's base: what each pin leads to.
//!
//! The symbols of a basing diagram come in (`1 P2;2 G2;3 K2`), and pins with their electrodes and
//! sections go out. Bases are named by their EIA/JEDEC designation.

use std::fmt;

use super::class::TubeClass;

/// What a pin leads to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Electrode {
    /// Plate.
    Plate,
    /// Control grid.
    Grid,
    /// Screen grid.
    Screen,
    /// Suppressor grid with a pin of its own.
    Suppressor,
    /// Oscillator grid of a converter, its grid 1.
    OscillatorGrid,
    /// Signal grid of a converter, its grid 3.
    SignalGrid,
    /// Third grid of a heptode mixer, at which the oscillation is injected.
    InjectionGrid,
    /// Cathode, with everything that is connected to it inside: beam plates, suppressor, one end of
    /// the heater, or the end of a filament at which the rectified voltage is taken.
    Cathode,
    /// Anode of a converter's oscillator.
    OscillatorAnode,
    /// Target of a tuning eye.
    Target,
    /// Plate of a signal diode beside an amplifier, most often on its cathode.
    DiodePlate,
    /// Cathode of a signal diode that does not share that of the amplifier.
    DiodeCathode,
    /// Heater.
    Heater,
    /// Tap of the heater.
    HeaterTap,
    /// The other end of a directly heated cathode.
    Filament,
    /// Anode of a glow tube.
    Anode,
    /// Shield between sections.
    InternalShield,
    /// Metal shell, base sleeve or outer shield.
    Shield,
    /// Not connected.
    NoConnection,
    /// Connected inside, not to be used.
    InternalConnection,
    /// One end of a jumper that opens the circuit when the tube is pulled.
    Jumper,
}

/// One pin of a base.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pin {
    /// Its number; [`Pin::CAP`] is the cap on top of the bulb.
    pub number: u8,
    /// What it leads to.
    pub electrode: Electrode,
    /// The section it belongs to, counted from 0; none for an electrode that all sections share.
    pub unit: Option<usize>,
}

impl Pin {
    /// The number used for the cap on top of the bulb, which has no number on the base.
    pub const CAP: u8 = 0;

    /// The name of the pin with this number.
    pub fn name_of(number: u8) -> String {
        match number {
            Pin::CAP => "cap".to_owned(),
            number => number.to_string(),
        }
    }

    /// The number of a pin of this name: a number, or a word for the cap.
    pub fn number_of(name: &str) -> Option<u8> {
        if ["cap", "tc"]
            .iter()
            .any(|cap| name.eq_ignore_ascii_case(cap))
        {
            return Some(Pin::CAP);
        }
        let digits = !name.is_empty() && name.bytes().all(|byte| byte.is_ascii_digit());
        name.parse()
            .ok()
            .filter(|number| digits && *number != Pin::CAP)
    }
}

impl Electrode {
    /// Whether only some classes of tube have one, each in certain sections; a heater, a shield or a
    /// suppressor may be in any.
    pub fn is_active(self) -> bool {
        matches!(
            self,
            Electrode::Plate
                | Electrode::Grid
                | Electrode::Screen
                | Electrode::OscillatorGrid
                | Electrode::SignalGrid
                | Electrode::InjectionGrid
                | Electrode::Cathode
                | Electrode::OscillatorAnode
                | Electrode::Target
                | Electrode::DiodePlate
                | Electrode::DiodeCathode
                | Electrode::Anode
        )
    }

    /// Its name in words.
    pub fn words(self) -> &'static str {
        match self {
            Electrode::Plate => "plate",
            Electrode::Grid => "grid",
            Electrode::Screen => "screen",
            Electrode::Suppressor => "suppressor",
            Electrode::OscillatorGrid => "oscillator grid",
            Electrode::SignalGrid => "signal grid",
            Electrode::InjectionGrid => "injection grid",
            Electrode::Cathode => "cathode",
            Electrode::OscillatorAnode => "oscillator anode",
            Electrode::Target => "target",
            Electrode::DiodePlate => "diode plate",
            Electrode::DiodeCathode => "diode cathode",
            Electrode::Heater => "heater",
            Electrode::HeaterTap => "heater tap",
            Electrode::Filament => "filament",
            Electrode::Anode => "anode",
            Electrode::InternalShield => "internal shield",
            Electrode::Shield => "shield",
            Electrode::NoConnection => "no connection",
            Electrode::InternalConnection => "internal connection",
            Electrode::Jumper => "jumper",
        }
    }
}

impl fmt::Display for Electrode {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(self.words())
    }
}

/// The pins of a base in the order of its diagram; none if a symbol or a number is not understood.
pub(crate) fn pins(text: &str, class: TubeClass) -> Option<Vec<Pin>> {
    text.split(';')
        .map(|entry| {
            let (number, symbol) = entry.split_once(' ')?;
            let (electrode, unit) = electrode(symbol, class)?;
            Some(Pin {
                number: Pin::number_of(number)?,
                electrode,
                unit,
            })
        })
        .collect()
}

/// The electrode of a symbol. Symbols joined by `+` are one pin, which counts as the electrode that
/// carries the current.
fn electrode(symbol: &str, class: TubeClass) -> Option<(Electrode, Option<usize>)> {
    let twin = class == TubeClass::TwinTriode;
    let converter = class.is_converter();
    let anode = class == TubeClass::OscillatorConverter;
    // The section of a triode that stands in front of everything else, or beside a pentode.
    let triode = usize::from(class.is_triode_pentode());
    Some(match symbol {
        "PT" => (Electrode::Plate, Some(triode)),
        "P" | "PP" | "P1" => (Electrode::Plate, Some(0)),
        "P2" => (Electrode::Plate, Some(1)),
        "PO" => (Electrode::OscillatorAnode, Some(1)),
        "G2" if anode => (Electrode::OscillatorAnode, Some(1)),
        "T" => (Electrode::Target, Some(1)),
        "PD" | "PD1" | "D" | "D1" => (Electrode::DiodePlate, Some(1)),
        "PD2" | "D2" => (Electrode::DiodePlate, Some(2)),
        "PD3" | "D3" => (Electrode::DiodePlate, Some(3)),
        "KD2" => (Electrode::DiodeCathode, Some(2)),
        "GT" => (Electrode::Grid, Some(triode)),
        "G" => (Electrode::Grid, Some(0)),
        "G1" if converter => (Electrode::OscillatorGrid, Some(0)),
        "G1" => (Electrode::Grid, Some(0)),
        "G2" if twin => (Electrode::Grid, Some(1)),
        "G2" | "G2+G4" | "G2+4" | "G3+G5" | "G3+5" => (Electrode::Screen, Some(0)),
        "G3" | "G4" if converter => (Electrode::SignalGrid, Some(0)),
        "G3" if class == TubeClass::TriodeHeptode => (Electrode::InjectionGrid, Some(0)),
        "G3" | "G3+IS" => (Electrode::Suppressor, Some(0)),
        // Both sections have it.
        "GT+G3" => (Electrode::OscillatorGrid, None),
        "KT" => (Electrode::Cathode, Some(triode)),
        "K1" | "KP" | "KP+IS" => (Electrode::Cathode, Some(0)),
        "K2" => (Electrode::Cathode, Some(1)),
        "K" | "K+BP" | "K+G3" | "K+G5" | "K+S" | "H+K" | "F+K" | "F-" => (Electrode::Cathode, None),
        "A" => (Electrode::Anode, Some(0)),
        "F" | "F+" => (Electrode::Filament, None),
        "H" => (Electrode::Heater, None),
        "Hct" | "Htap" | "HT" => (Electrode::HeaterTap, None),
        "IS" | "IS or free" => (Electrode::InternalShield, None),
        "S" | "S or BC" | "S or NC" | "S+G5" => (Electrode::Shield, None),
        "NC" => (Electrode::NoConnection, None),
        "IC" => (Electrode::InternalConnection, None),
        "jumper" => (Electrode::Jumper, None),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_symbol_means_a_section_in_a_twin_triode_and_a_screen_in_a_pentode() {
        let twin = pins("2 G2", TubeClass::TwinTriode).unwrap();
        let pentode = pins("2 G2", TubeClass::PowerPentode).unwrap();
        assert_eq!(
            (twin[0].electrode, twin[0].unit),
            (Electrode::Grid, Some(1))
        );
        assert_eq!(pentode[0].electrode, Electrode::Screen);
    }

    #[test]
    fn what_is_not_understood_is_refused() {
        assert!(pins("1 P;2 Q", TubeClass::Triode).is_none());
        assert!(pins("one P", TubeClass::Triode).is_none());
        assert!(pins("1P", TubeClass::Triode).is_none());
    }
}
