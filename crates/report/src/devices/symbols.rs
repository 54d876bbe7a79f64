//! Pins by the symbols of a basing diagram, and those symbols in words.
//!
//! A tube and a pin come in. Symbols are numbered where a tube has several of the kind: grids from
//! the cathode outwards, sections in the order of their letters.

use circuit::{Electrode, Pin, TubeClass, TubeType};

/// The letter of a section, counted from 0.
pub(crate) fn letter(unit: usize) -> char {
    u8::try_from(unit)
        .ok()
        .filter(|unit| *unit < 26)
        .map_or('?', |unit| char::from(b'A' + unit))
}

/// The symbol of a pin, such as `P2` or `H`.
pub(crate) fn symbol(tube: &TubeType, pin: Pin) -> String {
    let several = tube
        .units
        .iter()
        .filter(|unit| unit.electrodes.contains(&pin.electrode))
        .count()
        > 1;
    let numbered = |letter: &str| match pin.unit {
        Some(unit) if several => format!("{letter}{}", unit + 1),
        _ => letter.to_owned(),
    };
    if tube.class.is_triode_pentode() {
        if let Some(own) = triode_pentode(pin) {
            return own.to_owned();
        }
    }
    match pin.electrode {
        Electrode::Plate => numbered("P"),
        Electrode::Grid if has_screen(tube) => "G1".to_owned(),
        Electrode::Grid => numbered("G"),
        Electrode::Screen
            if tube.class.is_triode_mixer()
                || matches!(
                    tube.class,
                    TubeClass::PentagridConverter | TubeClass::TriodeHexode
                ) =>
        {
            "G2+4".to_owned()
        }
        Electrode::Screen if tube.class == TubeClass::OscillatorConverter => "G3+5".to_owned(),
        Electrode::SignalGrid if tube.class == TubeClass::OscillatorConverter => "G4".to_owned(),
        Electrode::OscillatorAnode if tube.class == TubeClass::TriodeHexode => "PO".to_owned(),
        Electrode::OscillatorAnode => "G2".to_owned(),
        Electrode::Target => "T".to_owned(),
        Electrode::Screen => "G2".to_owned(),
        Electrode::Suppressor | Electrode::SignalGrid | Electrode::InjectionGrid => "G3".to_owned(),
        Electrode::OscillatorGrid if tube.class == TubeClass::JoinedTriodeHexode => {
            "GT+G3".to_owned()
        }
        Electrode::OscillatorGrid => "G1".to_owned(),
        Electrode::Cathode if is_battery_tube(tube) => "F-".to_owned(),
        Electrode::Filament if is_battery_tube(tube) => "F+".to_owned(),
        Electrode::Cathode => match heated_end(tube) {
            Some(Electrode::Filament) => "F+K".to_owned(),
            Some(_) => "H+K".to_owned(),
            None => numbered("K"),
        },
        // The sections in front of the diodes have no diode plate: the first diode is number 1.
        Electrode::DiodePlate => format!("PD{}", pin.unit.unwrap_or(0)),
        Electrode::DiodeCathode => format!("KD{}", pin.unit.unwrap_or(0)),
        Electrode::Heater => "H".to_owned(),
        Electrode::HeaterTap => "Ht".to_owned(),
        Electrode::Filament => "F".to_owned(),
        Electrode::Anode => "A".to_owned(),
        Electrode::InternalShield => "IS".to_owned(),
        Electrode::Shield => "S".to_owned(),
        Electrode::NoConnection => "NC".to_owned(),
        Electrode::InternalConnection => "IC".to_owned(),
        Electrode::Jumper => "J".to_owned(),
    }
}

/// The symbol of a pin that both sections of a triode-pentode have.
fn triode_pentode(pin: Pin) -> Option<&'static str> {
    let [of_pentode, of_triode] = match pin.electrode {
        Electrode::Plate => ["PP", "PT"],
        Electrode::Grid => ["G1", "GT"],
        Electrode::Cathode => ["KP", "KT"],
        _ => return None,
    };
    Some(match pin.unit? {
        0 => of_pentode,
        _ => of_triode,
    })
}

/// What a pin leads to, in words.
pub(crate) fn words(tube: &TubeType, pin: Pin) -> String {
    let what = match pin.electrode {
        Electrode::Grid if pin.unit.is_some_and(|unit| is_triode(tube, unit)) => "control grid",
        Electrode::Grid if has_screen(tube) => "grid 1, control grid",
        Electrode::Grid => "control grid",
        Electrode::Screen
            if tube.class.is_triode_mixer()
                || matches!(
                    tube.class,
                    TubeClass::PentagridConverter | TubeClass::TriodeHexode
                ) =>
        {
            "screen, grids 2 and 4 joined"
        }
        Electrode::Screen if tube.class == TubeClass::OscillatorConverter => {
            "screen, grids 3 and 5 joined"
        }
        Electrode::SignalGrid if tube.class == TubeClass::OscillatorConverter => {
            "grid 4, signal grid"
        }
        Electrode::OscillatorAnode if tube.class == TubeClass::TriodeHexode => {
            "plate of the oscillator triode"
        }
        Electrode::OscillatorAnode => "grid 2, oscillator anode",
        Electrode::Screen => "grid 2, screen",
        Electrode::Suppressor => "grid 3, suppressor",
        Electrode::OscillatorGrid if tube.class == TubeClass::JoinedTriodeHexode => {
            "grid of the triode, joined to grid 3"
        }
        Electrode::OscillatorGrid => "grid 1, oscillator grid",
        Electrode::SignalGrid => "grid 3, signal grid",
        Electrode::InjectionGrid => "grid 3, injection grid",
        Electrode::Cathode if is_battery_tube(tube) => {
            "filament, the end from which volts are counted"
        }
        Electrode::Cathode => match heated_end(tube) {
            Some(Electrode::Filament) => {
                "filament, the end at which the rectified voltage is taken"
            }
            Some(_) => "cathode and one end of the heater",
            None => "cathode",
        },
        Electrode::Filament => "filament, the other end",
        Electrode::Shield => "shell or shield; in some bulbs not connected",
        Electrode::InternalConnection => "connected inside: use it for nothing",
        Electrode::NoConnection => "not connected",
        Electrode::Jumper => "jumper to the other J: opens when the tube is pulled",
        other => other.words(),
    };
    match pin.unit {
        Some(unit) if tube.units.len() > 1 => format!("{what}, section {}", letter(unit)),
        _ => what.to_owned(),
    }
}

/// The heater end that the cathode pin also is, if it is one.
pub(crate) fn heated_end(tube: &TubeType) -> Option<Electrode> {
    let mut ends = tube
        .pins
        .iter()
        .map(|pin| pin.electrode)
        .filter(|electrode| matches!(electrode, Electrode::Heater | Electrode::Filament));
    match (ends.next(), ends.next()) {
        (Some(only), None) => Some(only),
        _ => None,
    }
}

/// Whether the filament itself is the cathode of an amplifier.
fn is_battery_tube(tube: &TubeType) -> bool {
    let filament = tube
        .pins
        .iter()
        .any(|pin| pin.electrode == Electrode::Filament);
    filament && tube.units.iter().any(|unit| unit.electrodes.len() > 2)
}

fn is_triode(tube: &TubeType, unit: usize) -> bool {
    let unit = tube.units.get(unit);
    unit.is_some_and(|unit| !unit.electrodes.contains(&Electrode::Screen))
}

fn has_screen(tube: &TubeType) -> bool {
    tube.units
        .iter()
        .any(|unit| unit.electrodes.contains(&Electrode::Screen))
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::tube_type;

    /// Symbols of the pins that the base has, in their order.
    fn symbols(name: &str) -> Vec<String> {
        let tube = tube_type(name).unwrap();
        let mut pins = tube.pins.clone();
        pins.sort_by_key(|pin| pin.number);
        pins.iter()
            .map(|pin| format!("{} {}", pin.number, symbol(tube, *pin)))
            .collect()
    }

    /// Bases 9A, 7BZ, 8BD, 5BO, 5BS, 5T, 7CH, 7BT, 5DA and 9EX as receiving-tube manuals draw them
    /// (from memory).
    #[test]
    fn pins_go_by_the_symbols_of_basing_diagrams() {
        for (name, want) in [
            ("12AX7", "1 P2,2 G2,3 K2,4 H,5 H,6 P1,7 G1,8 K1,9 Ht"),
            ("6AQ5", "1 G1,2 K,3 H,4 H,5 P,6 G2,7 G1"),
            ("6SN7", "1 G2,2 P2,3 K2,4 G1,5 P1,6 K1,7 H,8 H"),
            ("0A2", "1 A,2 K,4 K,5 A,7 K"),
            ("6X4", "1 P2,3 H,4 H,6 P1,7 K"),
            ("5U4GB", "2 F,4 P2,6 P1,8 F+K"),
            ("6BE6", "1 G1,2 K,3 H,4 H,5 P,6 G2+4,7 G3"),
            ("6AV6", "1 G,2 K,3 H,4 H,5 PD2,6 PD1,7 P"),
            ("GZ34", "2 H,4 P2,6 P1,8 H+K"),
            ("ECL82", "1 GT,2 KP,3 G1,4 H,5 H,6 PP,7 G2,8 KT,9 PT"),
        ] {
            assert_eq!(symbols(name).join(","), want, "{name}");
        }
    }

    #[test]
    fn words_name_the_section_where_there_are_several() {
        let tube = tube_type("12AX7").unwrap();
        assert_eq!(words(tube, tube.pin(1).unwrap()), "plate, section B");
        let tube = tube_type("ECL82").unwrap();
        assert_eq!(words(tube, tube.pin(1).unwrap()), "control grid, section B");
        let tube = tube_type("6AQ5").unwrap();
        assert_eq!(words(tube, tube.pin(5).unwrap()), "plate");
        assert_eq!(words(tube, tube.pin(6).unwrap()), "grid 2, screen");
    }
}
