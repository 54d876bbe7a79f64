//! Connections `terminal=NODE` of a composite, each terminal one of a list.

use super::{between_commas, no_connection};
use crate::nearest::near_or_all;
use crate::netlist::connections::check_name;
use crate::netlist::lex::Word;
use crate::netlist::values::Values;

/// The node of each terminal, in the order of the list; none if something was wrong. Terminals
/// from `needed` on may be missing.
pub(super) fn pairs<'a>(
    values: &mut Values<'a, '_>,
    connections: &[Word<'a>],
    terminals: &[&str],
    needed: usize,
) -> Option<Vec<Option<Word<'a>>>> {
    let example = format!("{}=NODE", terminals.join("=NODE, "));
    let pieces = between_commas(values, connections, &example)?;
    let mut found: Vec<Option<Word<'a>>> = vec![None; terminals.len()];
    let mut sound = true;
    for piece in pieces {
        let (name, node) = match piece {
            [name, equals, node] if equals.text == "=" => (name, node),
            _ => return no_connection(values, piece, &format!("write `{example}`")),
        };
        let Some(at) = terminals.iter().position(|known| name.is(known)) else {
            let message = format!("{} has no terminal '{}'", values.subject.name, name.text);
            let help = near_or_all(name.text, terminals, "its terminals are");
            values.reject(&name.bytes, message, help);
            sound = false;
            continue;
        };
        if found[at].is_some() {
            let message = format!(
                "terminal '{}' of {} is connected twice",
                terminals[at], values.subject.name
            );
            values.reject(&name.bytes, message, "leave one of them out");
            sound = false;
            continue;
        }
        sound &= check_name(node, values.findings);
        found[at] = Some(node.clone());
    }
    let missing: Vec<&str> = terminals
        .iter()
        .zip(&found)
        .take(needed)
        .filter(|(_, node)| node.is_none())
        .map(|(name, _)| *name)
        .collect();
    if sound && !missing.is_empty() {
        let message = format!("lacks its terminal '{}'", missing.join("' and '"));
        values.reject_part(&message, format!("write `{example}`"));
        sound = false;
    }
    values.faulty |= !sound;
    sound.then_some(found)
}
