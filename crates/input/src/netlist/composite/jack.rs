//! Jacks by their contacts: `J1: jack, tip=a, sleeve=chassis, break=b`.
//!
//! An empty jack joins its tip to its break contact, a plug parts the two. Without a break contact
//! the tip leads nowhere else.

use circuit::{Contact, ContactKind, PartKind};

use super::pair::pairs;
use super::{Drawn, Piece};
use crate::netlist::lex::Word;
use crate::netlist::values::Values;

const TERMINALS: [&str; 4] = ["tip", "sleeve", "break", "ring"];

pub(super) fn read<'a>(values: &mut Values<'a, '_>, connections: &[Word<'a>]) -> Option<Drawn<'a>> {
    values.flag("jack");
    let plugged = values.flag("plugged").is_some();
    let empty = values.flag("empty").is_some();
    let nodes = pairs(values, connections, &TERMINALS, 1)?;
    let [Some(tip), sleeve, contact, _] = nodes.as_slice() else {
        return None;
    };
    let (other, closed) = match (contact, sleeve) {
        (Some(contact), _) => (contact, empty || !plugged),
        (None, Some(sleeve)) => (sleeve, false),
        (None, None) => {
            let help = "name its sleeve or its break contact as well";
            values.reject_part("has a tip and nothing else", help);
            return None;
        }
    };
    if plugged && empty {
        let help = "keep one of the two words";
        values.reject_part("cannot be both plugged and empty", help);
    }
    let pieces = vec![Piece {
        suffix: String::new(),
        kind: PartKind::Contact(Contact {
            kind: ContactKind::Jack,
            closed,
        }),
        nodes: vec![tip.clone(), other.clone()],
    }];
    let names = TERMINALS.iter().zip(nodes);
    let leads = names.filter_map(|(name, node)| Some(((*name).to_owned(), node?)));
    let leads = leads.collect();
    Some(Drawn { pieces, leads })
}
