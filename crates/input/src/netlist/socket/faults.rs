//! What is said of a tube's connections.
//!
//! A fault and its place come in, a diagnostic goes out.

use circuit::{Pin, TubeType};

use super::seat::Seating;
use super::slots::{layout as slots_of, Layout, Role, Slot};
use crate::nearest::near_or_all;
use crate::netlist::connections::Connection;
use crate::netlist::designator::letter;
use crate::netlist::findings::Findings;
use crate::netlist::lex::Word;
use crate::netlist::types::with_article;

/// How a line names the terminals of its tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Style {
    /// `plate=a`.
    Electrodes,
    /// `6=a`.
    Pins,
}

/// How the connections are written, for help.
pub(super) fn example(layout: &Layout) -> String {
    let each: Vec<String> = layout.active().map(|name| format!("{name}=NODE")).collect();
    each.join(", ")
}

/// `a to b` at a tube.
pub(super) fn no_terminal(
    connection: &Connection<'_>,
    seating: &Seating<'_>,
    findings: &mut Findings,
) {
    let message = format!("a {} is not connected like this", seating.subject.noun);
    findings.refuse(
        &connection.bytes(),
        message,
        "which electrodes?",
        format!("write `{}`, or base pins", example(seating.layout)),
    );
}

/// Pins and electrodes in one line.
pub(super) fn mixed(name: &Word<'_>, wanted: Style, findings: &mut Findings) {
    let (this, before) = match wanted {
        Style::Electrodes => ("a pin", "electrodes"),
        Style::Pins => ("an electrode", "pins"),
    };
    findings.refuse(
        &name.bytes,
        "pins and electrodes are mixed in one line",
        format!("{this} here, {before} before"),
        "name all terminals by electrode or all by base pin",
    );
}

/// A rectifier of which only the rectified side is named.
pub(super) fn no_plates(seating: &Seating<'_>, findings: &mut Findings) {
    let subject = seating.subject;
    let message = format!(
        "{} is drawn without its plates: no current goes through it",
        subject.name
    );
    findings.remark(
        &subject.bytes,
        message,
        "its rectified side alone",
        "nothing is missing where the supply behind it is drawn as a source, such as \
         `PS1: 285V source=120R line`",
    );
}

/// A pin that the base has not, or that belongs to another section.
pub(super) fn no_pin(name: &Word<'_>, tube: &TubeType, findings: &mut Findings) {
    let whole = slots_of(tube, None);
    let pin = Pin::number_of(name.text).and_then(|pin| tube.pin(pin));
    let (message, help) = match pin {
        Some(Pin {
            unit: Some(unit),
            electrode,
            ..
        }) => (
            format!(
                "pin {} of {} is the {electrode} of section {}",
                name.text,
                with_article(&tube.name),
                letter(unit)
            ),
            "a line of one section names the pins of that section".to_owned(),
        ),
        _ if tube.pins.is_empty() => (
            format!("the base of this {} is not known", tube.name),
            format!("name the electrodes: `{}`", example(&whole)),
        ),
        _ => {
            let active = whole.slots.iter().filter(|slot| slot.role == Role::Active);
            let pins: Vec<String> = active
                .map(|slot| format!("{} {}", numbers(slot, "/"), slot.name))
                .collect();
            (
                format!("{} has no pin {}", with_article(&tube.name), name.text),
                format!("its base, {}, has {}", tube.base, pins.join(", ")),
            )
        }
    };
    findings.refuse(&name.bytes, message, "not a pin here", help);
}

/// An electrode that the tube or section has not.
pub(super) fn no_electrode(name: &Word<'_>, seating: &Seating<'_>, findings: &mut Findings) {
    let (tube, layout) = (seating.socket.tube, seating.layout);
    let mut sections = 0..tube.units.len();
    let with_it = sections.find(|section| {
        let slots = slots_of(tube, Some(*section));
        tube.units.len() > 1 && slots.named(name.text).is_some()
    });
    let names: Vec<&str> = layout.active().collect();
    let help = match (with_it, seating.socket.section) {
        (Some(_), None) => format!(
            "write `{}A` for the first section, or number the electrodes: {}",
            seating.subject.name,
            names.join(", ")
        ),
        (Some(other), Some(_)) => format!(
            "section {} has it; the electrodes of this one are {}",
            letter(other),
            names.join(", ")
        ),
        _ => near_or_all(name.text, &names, "its electrodes are"),
    };
    let message = format!(
        "{} has no electrode '{}'",
        with_article(&tube.name),
        name.text
    );
    findings.refuse(&name.bytes, message, "unknown electrode", help);
}

/// Two pins that are one inside the tube, on two nodes.
pub(super) fn joined(
    first: (&Word<'_>, &Word<'_>),
    second: (&Word<'_>, &Word<'_>),
    tube: &TubeType,
    findings: &mut Findings,
) {
    let message = format!(
        "pins {} and {} of {} are joined inside, but are on '{}' and '{}'",
        first.0.text,
        second.0.text,
        with_article(&tube.name),
        first.1.text,
        second.1.text
    );
    findings.refuse_beside(
        &second.1.bytes,
        message,
        "another node",
        "name the same node at both, or only one of the two pins",
        (&first.1.bytes, "the first node"),
    );
}

/// Two nodes that the jumper in the base makes one.
pub(super) fn jumper(
    first: (&Word<'_>, &Word<'_>),
    second: (&Word<'_>, &Word<'_>),
    tube: &TubeType,
    findings: &mut Findings,
) {
    let message = format!(
        "pins {} and {} of {} are a jumper, which is not drawn as part of the tube",
        first.0.text,
        second.0.text,
        with_article(&tube.name)
    );
    findings.refuse_beside(
        &second.1.bytes,
        message,
        "the other end of the jumper",
        format!(
            "leave both pins out and draw a closed switch: `S99: closed, {} to {}`",
            first.1.text, second.1.text
        ),
        (&first.1.bytes, "one end of it"),
    );
}

/// Electrodes without a node.
pub(super) fn lacking(missing: &[&Slot], seating: &Seating<'_>, findings: &mut Findings) {
    let (style, subject) = (seating.style, seating.subject);
    let names: Vec<String> = missing
        .iter()
        .map(|slot| match style {
            Style::Electrodes => format!("'{}'", slot.name),
            Style::Pins => format!("'{}' (pin {})", slot.name, numbers(slot, " or ")),
        })
        .collect();
    let written: Vec<String> = missing
        .iter()
        .map(|slot| match (style, slot.pins.first()) {
            (Style::Pins, Some(pin)) => format!("{pin}=NODE"),
            _ => format!("{}=NODE", slot.name),
        })
        .collect();
    let plural = if missing.len() > 1 { "s" } else { "" };
    let message = format!(
        "{} lacks its electrode{plural} {}",
        subject.name,
        names.join(", ")
    );
    findings.refuse(
        &subject.bytes,
        message,
        "not fully connected",
        format!("add `{}`", written.join(", ")),
    );
}

pub(super) fn numbers(slot: &Slot, between: &str) -> String {
    let pins: Vec<String> = slot.pins.iter().map(|pin| Pin::name_of(*pin)).collect();
    pins.join(between)
}
