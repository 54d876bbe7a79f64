//! Pins that no section of a tube needs, with nodes on them: heaters, shields, free pins that carry
//! a joint.
//!
//! Such a pin joins nothing, so it must not make a node of its own. It becomes a terminal only
//! where something else is on its node too.

use circuit::{CircuitBuilder, PartId, Terminal};

use crate::netlist::draft::NetlistDraft;
use crate::netlist::lex::Word;

/// A pin without a section, and the node on it.
#[derive(Clone, Debug)]
pub(in crate::netlist) struct Tie<'a> {
    pub part: PartId,
    pub terminal: Terminal,
    pub node: Word<'a>,
}

/// Adds the ties to the circuit, once all its nodes are known.
pub(in crate::netlist) fn tie(sheet: &mut NetlistDraft<'_>) {
    let ties = std::mem::take(&mut sheet.ties);
    if ties.is_empty() {
        return;
    }
    let drawn = std::mem::take(&mut sheet.builder).finish();
    let mut builder = CircuitBuilder::continuing(drawn);
    for tie in ties {
        let Some(node) = builder.peek().node_exactly(tie.node.text) else {
            continue;
        };
        builder.add_terminal(tie.part, tie.terminal, node);
        let line = sheet
            .stated
            .iter_mut()
            .find(|stated| stated.part == Some(tie.part));
        if let Some(line) = line {
            line.mentions.push((node, tie.node.bytes));
        }
    }
    sheet.builder = builder;
}
