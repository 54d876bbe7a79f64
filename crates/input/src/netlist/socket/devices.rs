//! The devices of a tube's line: one for each section.
//!
//! The slots of a tube with what is connected there come in; devices with their units and the node words of
//! their terminals go out. One line for a whole socket draws the same parts as a line for each section: `V1A`
//! and `V1B` of `V1: 12AX7, 6=a, ...`. A diode on the cathode of a section before it is one device with that
//! section: both diodes of a duo-diode triode, both plates of a rectifier.

use circuit::{Device, DeviceUnit, Glow, PartKind, Terminal};

use super::placing::Placed;
use super::seat::{Seated, Seating};
use super::slot_names::names;
use super::slots::{Layout, Role, Slot};
use crate::netlist::designator::letter;
use crate::netlist::part::class_of;

/// Share of the least current of a glow regulator below which it goes out. From the least current on it
/// regulates; below, its glow shrinks and it holds its volts less well (common practice, no source).
const OUT_BELOW: f64 = 0.2;

/// The devices of a line, of which the sections `drawn` are connected. Where none is, as of a rectifier of which
/// only the rectified side is named, one device without units.
pub(super) fn devices<'a>(
    seating: &Seating<'_>,
    placed: &[Placed<'_, 'a>],
    drawn: &[bool],
) -> Vec<Seated<'a>> {
    let layout = seating.layout;
    let groups = match drawn.contains(&true) && is_numbered(seating) {
        true => groups(layout),
        false => vec![(0..layout.sections.len()).collect()],
    };
    let several = groups.len() > 1;
    let is_drawn = |group: &Vec<usize>| !several || group.iter().any(|at| drawn[*at]);
    let mut seated = Vec::new();
    for group in groups.into_iter().filter(is_drawn) {
        let with_others = seated.is_empty();
        let section = several.then(|| layout.sections[group[0]].0);
        let slots = slots_of(seating, &group, with_others);
        let sections: Vec<usize> = group.into_iter().filter(|at| drawn[*at]).collect();
        seated.push(device(seating, placed, (&slots, &sections), section));
    }
    seated
}

/// Whether letters behind the designation name sections of a socket; none would behind `V1-x`.
fn is_numbered(seating: &Seating<'_>) -> bool {
    let last = seating.subject.name.chars().last();
    last.is_some_and(|last| last.is_ascii_digit())
}

/// Whether sections that would be devices of their own are one, for want of a number that letters can stand behind.
pub(super) fn are_kept_together(seating: &Seating<'_>) -> bool {
    !is_numbered(seating) && groups(seating.layout).len() > 1
}

/// The sections of each device, by their places in the layout.
fn groups(layout: &Layout) -> Vec<Vec<usize>> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (at, (_, own)) in layout.sections.iter().enumerate() {
        let cathode = own.last().filter(|_| own.len() == 2);
        let shares = |group: &&mut Vec<usize>| {
            let mut before = group.iter().flat_map(|known| &layout.sections[*known].1);
            cathode.is_some_and(|cathode| before.any(|slot| slot == cathode))
        };
        match groups.iter_mut().find(shares) {
            Some(group) => group.push(at),
            None => groups.push(vec![at]),
        }
    }
    groups
}

/// The slots of these sections, each once, then their suppressors, and the passive ones `with_others`.
fn slots_of(seating: &Seating<'_>, group: &[usize], with_others: bool) -> Vec<usize> {
    let (tube, layout) = (seating.socket.tube, seating.layout);
    let mut slots: Vec<usize> = Vec::new();
    for slot in group.iter().flat_map(|at| &layout.sections[*at].1) {
        if !slots.contains(slot) {
            slots.push(*slot);
        }
    }
    let others = layout.slots.iter().enumerate().filter(|(_, slot)| {
        let pin = slot.pins.first().and_then(|pin| tube.pin(*pin));
        let section = pin.and_then(|pin| pin.unit);
        let own = section.map(|unit| group.iter().any(|at| layout.sections[*at].0 == unit));
        slot.role != Role::Active && own.unwrap_or(with_others)
    });
    slots.extend(others.map(|(at, _)| at));
    slots
}

/// The device of these sections on these slots, lettered where it is one of several of the line.
fn device<'a>(
    seating: &Seating<'_>,
    placed: &[Placed<'_, 'a>],
    (slots, sections): (&[usize], &[usize]),
    lettered: Option<usize>,
) -> Seated<'a> {
    let (tube, layout) = (seating.socket.tube, seating.layout);
    // `plate` and not `plate2`, as in a line of the section.
    let name_of = |at: usize, slot: &Slot| {
        let mut owners = sections.iter().map(|section| &layout.sections[*section]);
        match owners.find(|(_, own)| lettered.is_some() && own.contains(&at)) {
            Some((section, _)) => names(tube, slot.electrode, *section).0,
            None => slot.name.clone(),
        }
    };
    let glow = tube.glow.map(|limits| Glow {
        strike_volts: limits.strike_volts,
        least_amperes: OUT_BELOW * limits.least_amperes,
        most_amperes: limits.most_amperes,
    });
    let mut terminals: Vec<Terminal> = Vec::new();
    let mut nodes = Vec::new();
    let mut ties = Vec::new();
    let mut terminal_of: Vec<Option<usize>> = vec![None; layout.slots.len()];
    for index in slots.iter().copied() {
        let slot = &layout.slots[index];
        let terminal = Terminal {
            name: name_of(index, slot),
            pins: slot.pins.clone(),
        };
        match (placed[index], slot.role) {
            (Some((_, node)), Role::Passive) => ties.push((terminal, node.clone())),
            (Some((_, node)), _) => {
                terminal_of[index] = Some(terminals.len());
                terminals.push(terminal);
                nodes.push(node.clone());
            }
            (None, Role::Suppressor) => {
                // At the cathode, as drawings without a third grid have it.
                let cathode = terminals.iter_mut().find(|at| at.name == "cathode");
                if let Some(cathode) = cathode {
                    cathode.pins.extend(&slot.pins);
                }
            }
            (None, _) => {}
        }
    }
    let units = sections.iter().filter_map(|at| {
        let (number, own) = &layout.sections[*at];
        let at: Option<Vec<usize>> = own.iter().map(|slot| terminal_of[*slot]).collect();
        Some(DeviceUnit {
            characteristic: tube.units.get(*number)?.characteristic,
            at: at?,
            series_ohms: 0.0,
            glow,
        })
    });
    let units = units.collect();
    Seated {
        suffix: lettered.map_or(String::new(), |section| letter(section).to_string()),
        kind: PartKind::Device(Device {
            type_name: tube.name.clone(),
            class: class_of(tube),
            terminals,
            units,
            tolerance: None,
        }),
        nodes: Some(nodes),
        ties,
    }
}
