//! The connections of a line at the slots of its tube.
//!
//! Connections come in, all by electrode or all by base pin; what is connected at each slot goes out, or
//! nothing once a fault has been reported.

use circuit::{Electrode, Pin, TubeType};

use super::faults::{self, Style};
use super::seat::Seating;
use super::section_faults;
use super::slots::{Layout, Slot};
use crate::netlist::connections::{Connection, Connections};
use crate::netlist::findings::Findings;
use crate::netlist::lex::Word;
use crate::netlist::terminal_faults::{twice, unconnected};

/// A connection at its slot: the word before the equals sign, and the node.
pub(super) type Placed<'c, 'a> = Option<(&'c Word<'a>, &'c Word<'a>)>;

/// How a connection names its terminal, if it does.
pub(super) fn style(connection: &Connection<'_>) -> Option<Style> {
    match connection {
        Connection::Terminal { name, .. } if is_pin(name) => Some(Style::Pins),
        Connection::Terminal { .. } => Some(Style::Electrodes),
        Connection::Ends { .. } => None,
    }
}

/// The pin that a connection names.
fn pin_of<'c, 'a>(connection: &'c Connection<'a>) -> Option<&'c Word<'a>> {
    match connection {
        Connection::Terminal { name, .. } if is_pin(name) => Some(name),
        Connection::Terminal { .. } | Connection::Ends { .. } => None,
    }
}

fn is_pin(name: &Word<'_>) -> bool {
    Pin::number_of(name.text).is_some() || name.text == "0"
}

/// What is connected at each slot; none if something was wrong.
pub(super) fn places<'c, 'a>(
    seating: &Seating<'_>,
    connections: &'c Connections<'a>,
    findings: &mut Findings,
) -> Option<Vec<Placed<'c, 'a>>> {
    let (layout, wanted) = (seating.layout, seating.style);
    let tube = seating.socket.tube;
    if connections.list.is_empty() {
        unconnected(
            &faults::example(layout),
            seating.subject,
            connections,
            findings,
        );
        return None;
    }
    let pins: Vec<&Word<'_>> = connections.list.iter().filter_map(pin_of).collect();
    let all_pins = pins.len() == connections.list.len();
    if all_pins && section_faults::other_section(&pins, seating, findings) {
        return None;
    }
    let mut placed: Vec<Placed<'c, 'a>> = vec![None; layout.slots.len()];
    let mut sound = !connections.faulty;
    for connection in &connections.list {
        let Connection::Terminal { name, node } = connection else {
            faults::no_terminal(connection, seating, findings);
            return None;
        };
        if style(connection) != Some(wanted) {
            faults::mixed(name, wanted, findings);
            return None;
        }
        let index = match wanted {
            Style::Pins => Pin::number_of(name.text).and_then(|pin| layout.at_pin(pin)),
            Style::Electrodes => layout.named(name.text),
        };
        let Some(index) = index else {
            sound = false;
            match wanted {
                Style::Pins => faults::no_pin(name, tube, findings),
                Style::Electrodes => faults::no_electrode(name, seating, findings),
            }
            continue;
        };
        match placed[index] {
            None => placed[index] = Some((name, node)),
            Some((first, other)) if first.text != name.text && wanted == Style::Pins => {
                if node.text != other.text {
                    sound = false;
                    faults::joined((first, other), (name, node), tube, findings);
                }
            }
            Some((first, other)) => {
                sound = false;
                let first = first.bytes.start..other.bytes.end;
                twice(name, &first, seating.subject, findings);
            }
        }
    }
    sound &= !jumper_parted(layout, &placed, tube, findings);
    sound.then_some(placed)
}

/// Reports a jumper with a node at each end: the two would be one node.
fn jumper_parted(
    layout: &Layout,
    placed: &[Placed<'_, '_>],
    tube: &TubeType,
    findings: &mut Findings,
) -> bool {
    let jumper = |slot: &Slot| slot.electrode == Electrode::Jumper;
    let mut ends = layout
        .slots
        .iter()
        .zip(placed)
        .filter(|(slot, _)| jumper(slot))
        .filter_map(|(_, placed)| *placed);
    match (ends.next(), ends.next()) {
        (Some(first), Some(second)) if first.1.text != second.1.text => {
            faults::jumper(first, second, tube, findings);
            true
        }
        _ => false,
    }
}
