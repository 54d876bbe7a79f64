//! What the slots of a tube are called.
//!
//! An electrode of a type comes in, its name and what else drawings call it go out; then the numbers of
//! those that several sections have.

use circuit::{Electrode, TubeClass, TubeType};

use super::slots::Slot;

/// The name of an electrode, and what else it is called on drawings.
pub(super) fn names(
    tube: &TubeType,
    electrode: Electrode,
    section: usize,
) -> (String, Vec<String>) {
    let direct = tube
        .pins
        .iter()
        .any(|pin| pin.electrode == Electrode::Filament);
    let (name, aliases): (&str, &[&str]) = match electrode {
        Electrode::Plate => ("plate", &["anode"]),
        Electrode::Grid => ("grid", &["grid1", "g1"]),
        Electrode::Screen if tube.class == TubeClass::OscillatorConverter => {
            ("screen", &["g3+5", "g3+g5"])
        }
        Electrode::SignalGrid if tube.class == TubeClass::OscillatorConverter => {
            ("grid4", &["signal-grid", "g4"])
        }
        Electrode::OscillatorAnode => (
            "oscillator-anode",
            &["oscillator-plate", "grid2", "g2", "po"],
        ),
        Electrode::Target => ("target", &["t"]),
        Electrode::Screen => ("screen", &["grid2", "g2"]),
        Electrode::Suppressor => ("suppressor", &["grid3", "g3"]),
        Electrode::OscillatorGrid if tube.class == TubeClass::JoinedTriodeHexode => match section {
            0 => ("grid3", &["oscillator-grid", "g3", "gt", "gt+g3"]),
            _ => ("grid", &["oscillator-grid", "gt", "grid3", "g3", "gt+g3"]),
        },
        Electrode::OscillatorGrid => ("grid1", &["oscillator-grid", "g1"]),
        Electrode::SignalGrid => ("grid3", &["signal-grid", "g3"]),
        Electrode::InjectionGrid => ("grid3", &["injection-grid", "g3"]),
        Electrode::Cathode if direct => ("cathode", &["filament", "f-"]),
        Electrode::Filament => ("filament", &["f+"]),
        Electrode::Cathode => ("cathode", &[]),
        Electrode::DiodePlate => {
            let aliases = ["diode", "plate"].map(str::to_owned).to_vec();
            return (format!("diode{section}"), aliases);
        }
        Electrode::DiodeCathode => {
            return (
                format!("diode{section}-cathode"),
                vec!["cathode".to_owned()],
            );
        }
        Electrode::Anode => ("anode", &["plate"]),
        Electrode::HeaterTap => ("heater-tap", &[]),
        Electrode::InternalShield => ("internal-shield", &[]),
        Electrode::NoConnection => ("nc", &[]),
        Electrode::InternalConnection => ("ic", &[]),
        Electrode::Heater | Electrode::Shield | Electrode::Jumper => (electrode.words(), &[]),
    };
    let aliases = aliases.iter().map(|alias| (*alias).to_owned()).collect();
    (name.to_owned(), aliases)
}

/// Electrodes of the same name in several sections get the number of their section: `plate2`.
pub(super) fn number(slots: &mut [Slot], owners: &[usize]) {
    let names: Vec<String> = slots.iter().map(|slot| slot.name.clone()).collect();
    let alone = slots.len() <= 1 || owners.iter().all(|owner| owner == &owners[0]);
    for (slot, owner) in slots.iter_mut().zip(owners) {
        if names.iter().filter(|name| **name == slot.name).count() > 1 {
            slot.name = format!("{}{}", slot.name, owner + 1);
            // `grid2` is the second section's grid there, and no screen.
            slot.aliases
                .retain(|alias| !alias.ends_with(|last: char| last.is_ascii_digit()));
            for alias in &mut slot.aliases {
                *alias = format!("{alias}{}", owner + 1);
            }
        } else if !alone && slot.electrode == Electrode::DiodePlate {
            slot.aliases.clear();
        }
    }
}
