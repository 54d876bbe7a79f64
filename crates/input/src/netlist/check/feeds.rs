//! Supplies fed from a place of the drawing: what the words of each statement name.
//!
//! The words of the statements come in, feeds of the circuit go out. What a dead place does to a set is not
//! known here.

use std::collections::HashMap;
use std::ops::Range;

use circuit::{Circuit, Feed, NodeId, Part, PartId, PartKind, SupplyKind};

use super::names::{exactly, like, unknown};
use crate::nearest::near_or_all;
use crate::netlist::draft::NetlistDraft;
use crate::netlist::findings::Findings;
use crate::netlist::lex::Word;

/// Puts the feeds into the circuit.
pub(super) fn feeds(sheet: &mut NetlistDraft<'_>, findings: &mut Findings) {
    let mut named: HashMap<PartId, Range<usize>> = HashMap::new();
    for (place, words) in std::mem::take(&mut sheet.feeds) {
        let from = place_of(sheet, &place, findings);
        let mut supplies = Vec::new();
        for word in words {
            let found = supply_of(sheet, &word, findings);
            let (Some(supply), Some(from)) = (found, from) else {
                continue;
            };
            let part = sheet.builder.peek().part(supply);
            if let Some(first) = named.get(&supply) {
                let message = format!("{} is fed already", part.designator);
                let help = "leave it out of one of them";
                let first = (first, "here first");
                findings.refuse_beside(&word.bytes, message, "named again", help, first);
            } else if part.nodes.contains(&from) {
                let message = format!("{} is fed from its own end", part.designator);
                let help = "name the place before what it stands for, such as the battery behind \
                            its fuse";
                findings.refuse(&word.bytes, message, "fed by itself", help);
            } else {
                named.insert(supply, word.bytes);
                supplies.push(supply);
            }
        }
        if let Some(from) = from {
            sheet.builder.feed(Feed { from, supplies });
        }
    }
}

/// The node of a place that is no reference.
fn place_of(sheet: &NetlistDraft<'_>, place: &Word<'_>, findings: &mut Findings) -> Option<NodeId> {
    let Some(node) = exactly(sheet, place.text) else {
        unknown(place, like(sheet, place.text).as_ref(), findings);
        return None;
    };
    if sheet.builder.peek().nodes()[node.0].is_reference {
        let message = format!("'{}' is the reference", place.text);
        let help = "name the place that is at volts while the set is on";
        findings.refuse(&place.bytes, message, "feeds nothing", help);
        return None;
    }
    Some(node)
}

/// The supply that a word names.
fn supply_of(sheet: &NetlistDraft<'_>, word: &Word<'_>, findings: &mut Findings) -> Option<PartId> {
    let circuit = sheet.builder.peek();
    let Some(id) = circuit.part_named(word.text) else {
        // A line that could not be read has been reported.
        let name = word.text.to_ascii_uppercase();
        if !sheet.designators.contains_key(&name) {
            let message = format!("no part is called '{}'", word.text);
            let names = supplies(circuit);
            let help = match names.is_empty() {
                true => {
                    "draw what stands for the rectifier, such as `PS1: 250V source=600R, plus=b, \
                         minus=chassis`"
                        .to_owned()
                }
                false => near_or_all(word.text, &names, "the supplies are"),
            };
            findings.refuse(&word.bytes, message, "unknown part", help);
        }
        return None;
    };
    let part = circuit.part(id);
    if is_supply(part) {
        return Some(id);
    }
    let message = format!(
        "{} is a {} and is fed by nothing",
        part.designator,
        part.kind.noun()
    );
    findings.refuse(
        &word.bytes,
        message,
        "no supply",
        "name supplies, such as `PS1`",
    );
    None
}

fn is_supply(part: &Part) -> bool {
    matches!(&part.kind, PartKind::Supply(supply) if supply.kind == SupplyKind::Supply)
}

fn supplies(circuit: &Circuit) -> Vec<&str> {
    let all = circuit.parts().iter().filter(|part| is_supply(part));
    all.map(|part| part.designator.as_str()).collect()
}
