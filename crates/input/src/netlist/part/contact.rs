//! Switches, fuses, contacts, jacks and jumpers: `open`, `closed`, `off`, `on`.

use circuit::{Contact, ContactKind, PartKind};

use crate::netlist::values::Values;

/// `S1: open`, `F1: closed`.
pub(in crate::netlist) fn contact(kind: ContactKind, values: &mut Values<'_, '_>) -> PartKind {
    // A jumper is there to be closed; the others say how they stand.
    let jumper = values.says("jumper");
    let closed = values.flag("closed").or_else(|| values.flag("on"));
    let open = values.flag("open").or_else(|| values.flag("off"));
    match (&closed, &open) {
        (Some(closed), Some(open)) => {
            let message = format!("{} cannot be both open and closed", values.subject.name);
            values.exclusive(closed, open, message);
        }
        (None, None) if jumper => {}
        (None, None) => values.lacks("state", "closed"),
        _ => {}
    }
    PartKind::Contact(Contact {
        kind,
        closed: closed.is_some() || (jumper && open.is_none()),
    })
}
