//! Switches and fuses: `open`, `closed`.

use circuit::{Contact, ContactKind, PartKind};

use crate::netlist::values::Values;

/// `S1: open`, `F1: closed`.
pub(in crate::netlist) fn contact(kind: ContactKind, values: &mut Values<'_, '_>) -> PartKind {
    let closed = values.flag("closed");
    let open = values.flag("open");
    match (&closed, &open) {
        (Some(closed), Some(open)) => {
            let second = if closed.start > open.start {
                closed
            } else {
                open
            }
            .clone();
            let message = format!("{} cannot be both open and closed", values.subject.name);
            values.reject(&second, message, "keep one of the two words");
        }
        (None, None) => values.lacks("state", "closed"),
        _ => {}
    }
    PartKind::Contact(Contact {
        kind,
        closed: closed.is_some(),
    })
}
