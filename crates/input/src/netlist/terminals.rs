//! The node of each terminal of a part.
//!
//! The kind of part and its written connections come in; the node words in the order of
//! [`PartKind::terminals`] go out. Terminals that are missing, connected twice or unknown are
//! reported.

use circuit::{is_electrode, PartKind};

use super::connections::{Connection, Connections};
use super::findings::Findings;
use super::lex::Word;
use super::split::WINDINGS;
use super::terminal_faults::{lacking, twice, unconnected, unknown};
use super::values::Subject;

/// How the terminals of a kind are written.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Form<'k> {
    /// `a to b`.
    Ends,
    /// `terminal=node` for each of these.
    Named(Vec<&'k str>),
    /// `winding a to b` for each of these.
    Windings(&'static [&'static str]),
}

fn form(kind: &PartKind) -> Form<'_> {
    match kind {
        PartKind::Potentiometer(_) | PartKind::Supply(_) => Form::Named(kind.terminals()),
        PartKind::Transformer(_) => Form::Windings(&WINDINGS),
        // A neon lamp or varistor has two equivalent ends.
        PartKind::Device(device)
            if device
                .terminals
                .iter()
                .all(|terminal| terminal.name != "first") =>
        {
            Form::Named(kind.terminals())
        }
        PartKind::Resistor(_)
        | PartKind::Capacitor(_)
        | PartKind::Inductor(_)
        | PartKind::Generator(_)
        | PartKind::Lamp(_)
        | PartKind::Contact(_)
        | PartKind::Device(_) => Form::Ends,
    }
}

impl Form<'_> {
    /// How the connections are written, for help.
    fn example(&self) -> String {
        let each = |names: &[&str], one: fn(&str) -> String| {
            names
                .iter()
                .map(|name| one(name))
                .collect::<Vec<_>>()
                .join(", ")
        };
        match self {
            Form::Ends => "NODE to NODE".to_owned(),
            Form::Named(names) => each(names, |name| format!("{name}=NODE")),
            Form::Windings(names) => each(names, |name| format!("{name} NODE to NODE")),
        }
    }
}

/// The node words of a part's terminals in order, or None if that is not possible, which has been
/// reported.
pub(super) fn place<'a>(
    kind: &PartKind,
    subject: &Subject<'_>,
    connections: &Connections<'a>,
    findings: &mut Findings,
) -> Option<Vec<Word<'a>>> {
    let form = form(kind);
    if connections.list.is_empty() {
        unconnected(&form.example(), subject, connections, findings);
        return None;
    }
    let slots: &[&str] = match &form {
        Form::Ends => return ends(subject, connections, findings),
        Form::Named(names) => names,
        Form::Windings(names) => names,
    };
    let mut placed: Vec<Option<&Connection<'a>>> = vec![None; slots.len()];
    let mut sound = !connections.faulty;
    for connection in &connections.list {
        let Some(name) = slot_name(&form, connection) else {
            findings.refuse(
                &connection.bytes(),
                format!("a {} is not connected like this", subject.noun),
                "which terminals?",
                help_of_form(kind, &form, connection),
            );
            return None;
        };
        match slots.iter().position(|slot| is_electrode(name.text, slot)) {
            None => {
                sound = false;
                unknown(name, slots, subject, findings);
            }
            Some(index) => match placed[index] {
                Some(first) => {
                    sound = false;
                    twice(name, &first.bytes(), subject, findings);
                }
                None => placed[index] = Some(connection),
            },
        }
    }
    let missing: Vec<&str> = slots
        .iter()
        .zip(&placed)
        .filter(|(_, placed)| placed.is_none())
        .map(|(slot, _)| *slot)
        .collect();
    // An unknown or repeated terminal may be the one that is missing.
    if sound && !missing.is_empty() {
        lacking(kind, &missing, subject, findings);
        return None;
    }
    let nodes = placed
        .into_iter()
        .flatten()
        .flat_map(Connection::nodes)
        .cloned();
    sound.then(|| nodes.collect())
}

/// How a part is connected; of a control from one node to another, as a rheostat is.
fn help_of_form(kind: &PartKind, form: &Form, connection: &Connection<'_>) -> String {
    let nodes: Vec<&str> = connection.nodes().iter().map(|node| node.text).collect();
    match (kind, nodes.as_slice()) {
        (PartKind::Potentiometer(_), [a, b]) => format!(
            "write `{}`; as a rheostat `cw={a}, wiper={a}, ccw={b}`",
            form.example()
        ),
        _ => format!("write `{}`", form.example()),
    }
}

/// The two nodes of a part with two ends.
fn ends<'a>(
    subject: &Subject<'_>,
    connections: &Connections<'a>,
    findings: &mut Findings,
) -> Option<Vec<Word<'a>>> {
    let noun = subject.noun;
    for (index, connection) in connections.list.iter().enumerate() {
        let (bytes, message) = match connection {
            Connection::Terminal { name, .. } => (
                name.bytes.clone(),
                format!("a {noun} has no terminal '{}'", name.text),
            ),
            Connection::Ends {
                label: Some(label), ..
            } => (
                label.bytes.clone(),
                format!("'{}' means nothing before the ends of a {noun}", label.text),
            ),
            Connection::Ends { .. } if index > 0 => (
                connection.bytes(),
                format!("a {noun} has two ends, and this is a second pair"),
            ),
            Connection::Ends { .. } => continue,
        };
        findings.refuse(
            &bytes,
            message,
            "not expected",
            format!("write `{}`", Form::Ends.example()),
        );
        return None;
    }
    let nodes = connections.list.first().map(|first| first.nodes().to_vec());
    nodes.filter(|_| !connections.faulty)
}

/// The terminal or winding that a connection names, if it has the form that the part needs.
fn slot_name<'c, 'a>(form: &Form<'_>, connection: &'c Connection<'a>) -> Option<&'c Word<'a>> {
    match (form, connection) {
        (Form::Named(_), Connection::Terminal { name, .. }) => Some(name),
        (Form::Windings(_), Connection::Ends { label, .. }) => label.as_ref(),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::netlist::connections::connections;
    use crate::netlist::lex::words;
    use circuit::Potentiometer;

    fn pot() -> PartKind {
        PartKind::Potentiometer(Potentiometer {
            ohms: 1e4,
            tolerance: None,
            setting: 0.5,
            is_stated: true,
            offset: 0.0,
            taps: Vec::new(),
        })
    }

    fn placed(kind: &PartKind, text: &str) -> (Option<Vec<String>>, Vec<String>) {
        let subject = Subject {
            name: "X1",
            bytes: 0..0,
            noun: kind.noun(),
        };
        Findings::of_test(|findings| {
            let read = connections(&words(text, 0), findings);
            let nodes = place(kind, &subject, &read, findings)?;
            Some(nodes.iter().map(|node| node.text.to_owned()).collect())
        })
    }

    #[test]
    fn terminals_come_in_their_order_however_written() {
        let (nodes, none) = placed(&pot(), "ccw=c, CW=a, wiper=b");
        assert_eq!(nodes.unwrap(), ["a", "b", "c"]);
        assert!(none.is_empty());
    }

    #[test]
    fn each_wrong_terminal_draws_one_message() {
        let resistor = PartKind::resistor(1.0);
        for (kind, text, start) in [
            (pot(), "", "X1 has no connections"),
            (
                pot(),
                "a to b",
                "a potentiometer is not connected like this",
            ),
            (
                pot(),
                "cw=a, wipr=b, ccw=c",
                "a potentiometer has no terminal 'wipr'",
            ),
            (
                pot(),
                "cw=a, cw=b, ccw=c",
                "terminal 'cw' of X1 is connected twice",
            ),
            (pot(), "cw=a", "X1 lacks its terminals 'wiper' and 'ccw'"),
            (
                resistor.clone(),
                "plus=a, minus=b",
                "a resistor has no terminal 'plus'",
            ),
            (
                resistor.clone(),
                "primary a to b",
                "'primary' means nothing",
            ),
            (resistor, "a to b, b to c", "a resistor has two ends"),
        ] {
            let (nodes, found) = placed(&kind, text);
            assert_eq!((nodes, found.len()), (None, 1), "{text}: {found:?}");
            assert!(found[0].starts_with(start), "{text}: {found:?}");
        }
    }
}
