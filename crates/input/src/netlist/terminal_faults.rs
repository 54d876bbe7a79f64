//! Diagnostics for terminals that are missing, connected twice or unknown.
//!
//! A part and the words in question come in; diagnostics go out. The callers know how the terminals
//! of a part are written.

use std::ops::Range;

use circuit::PartKind;

use super::connections::Connections;
use super::findings::Findings;
use super::lex::Word;
use super::values::Subject;
use crate::nearest::near_or_all;

/// Reports that a part has no connections, unless they were reported as unreadable.
pub(super) fn unconnected(
    example: &str,
    subject: &Subject<'_>,
    connections: &Connections<'_>,
    findings: &mut Findings,
) {
    if connections.faulty {
        return;
    }
    findings.refuse(
        &subject.bytes,
        format!("{} has no connections", subject.name),
        "connected to nothing",
        format!("after the values write a comma and `{example}`"),
    );
}

/// Reports a terminal that the part does not have.
pub(super) fn unknown(
    name: &Word<'_>,
    slots: &[&str],
    subject: &Subject<'_>,
    findings: &mut Findings,
) {
    let help = near_or_all(name.text, slots, "its terminals are");
    let message = format!("a {} has no terminal '{}'", subject.noun, name.text);
    findings.refuse(&name.bytes, message, "unknown terminal", help);
}

/// Reports a terminal that has been connected before.
pub(super) fn twice(
    name: &Word<'_>,
    first: &Range<usize>,
    subject: &Subject<'_>,
    findings: &mut Findings,
) {
    let message = format!(
        "terminal '{}' of {} is connected twice",
        name.text, subject.name
    );
    findings.refuse_beside(
        &name.bytes,
        message,
        "the second time",
        "a terminal is on one node: leave one of them out",
        (first, "the first time"),
    );
}

pub(super) fn lacking(
    kind: &PartKind,
    missing: &[&str],
    subject: &Subject<'_>,
    findings: &mut Findings,
) {
    let quoted: Vec<String> = missing.iter().map(|name| format!("'{name}'")).collect();
    let plural = if missing.len() > 1 { "s" } else { "" };
    let quoted = quoted.join(" and ");
    let message = format!("{} lacks its terminal{plural} {quoted}", subject.name);
    let help = match kind {
        PartKind::Potentiometer(_) => {
            "of a rheostat, put the free end on the node of the wiper".to_owned()
        }
        PartKind::Transformer(_) => format!("add `{} NODE to NODE`", missing.join("`, `")),
        _ => format!("add `{}=NODE`", missing.join("=NODE`, `")),
    };
    findings.refuse(&subject.bytes, message, "not fully connected", help);
}
