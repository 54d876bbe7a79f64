//! What is said of the sections that a line draws of its tube.
//!
//! A fault and its place come in, a diagnostic goes out.

use circuit::Pin;

use super::faults::{numbers, Style};
use super::seat::Seating;
use super::slots::Slot;
use crate::netlist::designator::letter;
use crate::netlist::findings::Findings;
use crate::netlist::lex::Word;
use crate::netlist::types::with_article;
use crate::netlist::values::Subject;

/// Sections that are no parts of their own.
pub(super) fn kept_together(subject: &Subject<'_>, findings: &mut Findings) {
    let name = subject.name;
    let number = name.trim_end_matches(|last: char| !last.is_ascii_digit());
    findings.doubt(
        &subject.bytes,
        format!("the sections of {name} cannot be lettered, and are one part"),
        "ends in no number",
        format!("call the tube `{number}`, and its sections are {number}A, {number}B and so on"),
    );
}

/// A line of one section all of whose pins are those of the other: schematics letter the halves as they like.
/// Returns whether it is one.
pub(super) fn other_section(
    names: &[&Word<'_>],
    seating: &Seating<'_>,
    findings: &mut Findings,
) -> bool {
    let (tube, Some(section)) = (seating.socket.tube, seating.socket.section) else {
        return false;
    };
    let unit = |name: &&Word<'_>| Pin::number_of(name.text).and_then(|pin| tube.pin(pin)?.unit);
    let units: Vec<Option<usize>> = names.iter().map(unit).collect();
    let (Some(Some(other)), Some(first), Some(last)) = (units.first(), names.first(), names.last())
    else {
        return false;
    };
    let subject = &seating.subject.name;
    let (own, meant) = (letter(section), letter(*other));
    let socket = subject.strip_suffix(own);
    if *other == section || units.iter().any(|unit| *unit != Some(*other)) {
        return false;
    }
    let Some(socket) = socket else { return false };
    let pins: Vec<&str> = names.iter().map(|name| name.text).collect();
    let each = if pins.len() == 1 { "pin" } else { "pins" };
    let verb = if pins.len() == 1 { "belongs" } else { "belong" };
    let message = format!(
        "{each} {} of {} {verb} to section {meant}",
        pins.join(", "),
        with_article(&tube.name)
    );
    let help = format!(
        "schematics letter the halves as they like, here the pins decide: call this line \
         `{socket}{meant}`, and the other half `{socket}{own}`"
    );
    let place = first.bytes.start..last.bytes.end;
    findings.refuse(&place, message, "pins of the other section", help);
    true
}

/// A section none of whose own electrodes is connected.
pub(super) fn section_left_out(
    section: usize,
    slots: &[&Slot],
    seating: &Seating<'_>,
    findings: &mut Findings,
) {
    let (style, subject) = (seating.style, seating.subject);
    let names: Vec<String> = slots
        .iter()
        .map(|slot| match style {
            Style::Electrodes => slot.name.clone(),
            Style::Pins => format!("{} {}", numbers(slot, "/"), slot.name),
        })
        .collect();
    let message = format!(
        "section {} of {} is not drawn ({})",
        letter(section),
        subject.name,
        names.join(", ")
    );
    findings.remark(
        &subject.bytes,
        message,
        "one section is left out",
        "connect it too if the set uses it",
    );
}
