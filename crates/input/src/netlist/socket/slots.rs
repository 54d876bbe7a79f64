//! What a tube can be connected at: its electrodes by name and by base pin.
//!
//! A type and the section drawn come in, slots go out. An electrode that two sections share is one
//! slot, and so are pins that are joined inside the tube.

use circuit::{is_electrode, system_letters, Electrode, TubeClass, TubeType};

use super::slot_names::{names, number};

/// What becomes of a slot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    /// A section needs it.
    Active,
    /// A suppressor brought out by itself: at the cathode unless it is connected.
    Suppressor,
    /// No section needs it: heaters, shields, pins that lead nowhere.
    Passive,
}

/// One electrode or passive pin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Slot {
    pub name: String,
    pub aliases: Vec<String>,
    pub pins: Vec<u8>,
    pub electrode: Electrode,
    pub role: Role,
}

/// The slots of a tube or of one of its sections.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Layout {
    /// Electrodes that sections need, in their order, then the others.
    pub slots: Vec<Slot>,
    /// For each section drawn its number in the type, and its slots in the order of the terminals
    /// of its characteristic.
    pub sections: Vec<(usize, Vec<usize>)>,
    /// For each of them whether it is the triode of a tube that has one other system with grids.
    is_triode: Vec<Option<bool>>,
}

/// Slots of one section, counted from 0, or of all.
pub(super) fn layout(tube: &TubeType, section: Option<usize>) -> Layout {
    let mut slots: Vec<Slot> = Vec::new();
    // The section by which an electrode is numbered; none for one that sections share.
    let mut owners: Vec<usize> = Vec::new();
    let mut sections = Vec::new();
    for (index, unit) in tube.units.iter().enumerate() {
        if section.is_some_and(|wanted| wanted != index) {
            continue;
        }
        let mut own = Vec::new();
        for electrode in unit.electrodes {
            let pins: Vec<u8> = tube.pins_of(index, *electrode).collect();
            let known = slots.iter().zip(&owners).position(|(slot, owner)| {
                slot.electrode == *electrode
                    && if pins.is_empty() {
                        *owner == index || shares_cathode(tube, *electrode)
                    } else {
                        slot.pins == pins
                    }
            });
            own.push(known.unwrap_or_else(|| {
                let (name, aliases) = names(tube, *electrode, index);
                slots.push(Slot {
                    name,
                    aliases,
                    pins,
                    electrode: *electrode,
                    role: Role::Active,
                });
                owners.push(index);
                slots.len() - 1
            }));
        }
        sections.push((index, own));
    }
    number(&mut slots, &owners);
    passive(tube, section, &mut slots);
    let is_triode = sections.iter().map(|(at, _)| triode_of_two(tube, *at));
    Layout {
        is_triode: is_triode.collect(),
        slots,
        sections,
    }
}

impl Layout {
    /// Names of the electrodes that sections need.
    pub fn active(&self) -> impl Iterator<Item = &str> {
        let active = self.slots.iter().filter(|slot| slot.role == Role::Active);
        active.map(|slot| slot.name.as_str())
    }

    /// The slot of this name, letter case aside.
    pub fn named(&self, word: &str) -> Option<usize> {
        let is = |name: &String| name.eq_ignore_ascii_case(word);
        self.slots
            .iter()
            .position(|slot| is(&slot.name))
            .filter(|index| self.slots[*index].role != Role::Passive)
            .or_else(|| {
                self.slots
                    .iter()
                    .position(|slot| slot.aliases.iter().any(is) || is(&slot.name))
            })
            .or_else(|| {
                // The number of the only one of its kind may be left out.
                let is_only = |slot: &Slot| {
                    let kind = slot.name.trim_end_matches(|c: char| c.is_ascii_digit());
                    is_electrode(word, &slot.name) || kind.eq_ignore_ascii_case(word)
                };
                let mut found = (0..self.slots.len()).filter(|at| is_only(&self.slots[*at]));
                found.next().filter(|_| found.next().is_none())
            })
            .or_else(|| self.of_system(word))
    }

    /// `PT`, `GT`, `PP` of a triode beside another system.
    fn of_system(&self, word: &str) -> Option<usize> {
        let (electrode, of_triode) = system_letters(word)?;
        let mut systems = self.sections.iter().zip(&self.is_triode);
        let ((_, own), _) = systems.find(|(_, is_triode)| **is_triode == Some(of_triode))?;
        own.iter().copied().find(|at| {
            let kind = self.slots[*at]
                .name
                .trim_end_matches(|c: char| c.is_ascii_digit());
            is_electrode(electrode, kind)
        })
    }

    pub fn at_pin(&self, pin: u8) -> Option<usize> {
        self.slots.iter().position(|slot| slot.pins.contains(&pin))
    }
}

/// Whether a section is the triode of two systems with grids, or the other one; none of any other tube.
fn triode_of_two(tube: &TubeType, section: usize) -> Option<bool> {
    let grids = |unit: &usize| tube.units[*unit].electrodes.len() - 2;
    let systems: Vec<usize> = (0..tube.units.len())
        .filter(|unit| grids(unit) > 0)
        .collect();
    let [one, other] = systems[..] else {
        return None;
    };
    let alike = grids(&one) == grids(&other);
    (!alike && systems.contains(&section)).then(|| grids(&section) == 1)
}

/// Where no base says it: all sections of these are on one cathode.
fn shares_cathode(tube: &TubeType, electrode: Electrode) -> bool {
    let one = tube.class.has_signal_diodes() || tube.class == TubeClass::FullWaveRectifier;
    one && electrode == Electrode::Cathode
}

/// Adds what no section needs.
fn passive(tube: &TubeType, section: Option<usize>, slots: &mut Vec<Slot>) {
    let first = slots.len();
    for pin in &tube.pins {
        let elsewhere = pin.unit.is_some() && pin.unit != section && section.is_some();
        let drawn = slots.iter().any(|slot| slot.pins.contains(&pin.number));
        if drawn || elsewhere {
            continue;
        }
        let role = match pin.electrode {
            Electrode::Suppressor => Role::Suppressor,
            electrode if electrode.is_active() => continue,
            _ => Role::Passive,
        };
        let (name, aliases) = names(tube, pin.electrode, 0);
        slots.push(Slot {
            name,
            aliases,
            pins: vec![pin.number],
            electrode: pin.electrode,
            role,
        });
    }
    let names: Vec<String> = slots.iter().map(|slot| slot.name.clone()).collect();
    for index in first..slots.len() {
        let alike = |range: &[String]| range.iter().filter(|name| **name == names[index]).count();
        if alike(&names[first..]) > 1 {
            slots[index].name = format!("{}{}", names[index], alike(&names[first..=index]));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::tube_type;

    fn shown(name: &str, section: Option<usize>) -> Vec<String> {
        let slots = layout(tube_type(name).unwrap(), section).slots;
        let show = |slot: Slot| {
            let pins: Vec<String> = slot.pins.iter().map(u8::to_string).collect();
            let mark = if slot.role == Role::Passive { "-" } else { "" };
            format!("{mark}{} {}", slot.name, pins.join("/"))
        };
        slots.into_iter().map(show).collect()
    }

    // Basings 9A, 7BT, 5T, 8N, 7BZ, 7CH and 5BO as tube manuals print them.
    #[test]
    fn sections_are_numbered_and_what_they_share_is_not() {
        assert_eq!(
            shown("12AX7", None)[..6],
            [
                "plate1 6",
                "grid1 7",
                "cathode1 8",
                "plate2 1",
                "grid2 2",
                "cathode2 3"
            ]
        );
        assert_eq!(
            shown("12AX7", Some(1))[..3],
            ["plate 1", "grid 2", "cathode 3"]
        );
        assert_eq!(
            shown("12AV6", None)[..5],
            ["plate 7", "grid 1", "cathode 2", "diode1 6", "diode2 5"]
        );
        // Base 9E: the second diode has a cathode of its own at pin 3 (from memory).
        assert_eq!(
            shown("6T8", None)[..7],
            [
                "plate 9",
                "grid 8",
                "cathode 7",
                "diode1 6",
                "diode2 2",
                "diode2-cathode 3",
                "diode3 1"
            ]
        );
        assert_eq!(
            shown("5Y3GT", None),
            ["plate1 6", "cathode 8", "plate2 4", "-filament 2"]
        );
    }

    #[test]
    fn joined_pins_are_one_slot_and_passive_pins_have_their_own() {
        assert_eq!(
            shown("6AQ5", None),
            [
                "plate 5",
                "screen 6",
                "grid 1/7",
                "cathode 2",
                "-heater1 3",
                "-heater2 4"
            ]
        );
        assert_eq!(
            shown("6SJ7", None)[4..],
            ["-shield 1", "-heater1 2", "suppressor 3", "-heater2 7"]
        );
        assert_eq!(shown("0A2", None), ["anode 1/5", "cathode 2/4/7"]);
    }

    #[test]
    fn electrodes_go_by_their_other_names_too() {
        let six = layout(tube_type("6AQ5").unwrap(), None);
        assert_eq!(six.named("GRID1"), six.named("grid"));
        assert_eq!(six.named("g2"), six.named("screen"));
        let twin = layout(tube_type("12AX7").unwrap(), None);
        assert_eq!(twin.named("grid2"), twin.at_pin(2));
        assert_eq!(twin.named("anode2"), twin.at_pin(1));
        assert_eq!(twin.named("plate"), None);
        let converter = layout(tube_type("6BE6").unwrap(), None);
        assert_eq!(converter.named("signal-grid"), converter.at_pin(7));
        assert_eq!(converter.named("grid1"), converter.at_pin(1));
        let direct = layout(tube_type("5Y3GT").unwrap(), None);
        assert_eq!(direct.named("filament"), direct.at_pin(8));
        let diode = layout(tube_type("12AV6").unwrap(), Some(2));
        assert_eq!(diode.named("plate"), diode.at_pin(5));
        let alone = layout(tube_type("6T8").unwrap(), Some(2));
        assert_eq!(alone.named("cathode"), alone.at_pin(3));
        let whole = layout(tube_type("6T8").unwrap(), None);
        assert_eq!(whole.named("cathode"), whole.at_pin(7));
        // One diode needs no number, two do.
        let single = layout(tube_type("1S5").unwrap(), None);
        assert_eq!(single.named("diode"), single.named("diode1"));
        assert!(single.named("diode").is_some());
        let two = layout(tube_type("12AV6").unwrap(), None);
        assert_eq!(two.named("diode"), None);
    }
}
