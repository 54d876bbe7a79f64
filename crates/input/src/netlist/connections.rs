//! The connections of a part as they are written: `a to b`, `primary a to b`, `terminal=node`.
//!
//! Words come in; connections go out, each with its node words. Words that are not a connection are
//! reported; whether a part has such terminals is not known here.

use std::ops::Range;

use super::findings::Findings;
use super::lex::{stretch, Word};
use super::split::WINDINGS;

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Connection<'a> {
    /// `a to b`, with the word before it if there is one.
    Ends {
        /// Name of the winding, or whatever is written in its place.
        label: Option<Word<'a>>,
        nodes: [Word<'a>; 2],
    },
    /// `terminal=node`.
    Terminal { name: Word<'a>, node: Word<'a> },
}

/// All connections of a part.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Connections<'a> {
    /// The connections that could be read.
    pub list: Vec<Connection<'a>>,
    /// Whether some could not be read.
    pub faulty: bool,
}

impl<'a> Connection<'a> {
    /// Its place.
    pub fn bytes(&self) -> Range<usize> {
        match self {
            Connection::Ends { label, nodes } => {
                let first = label.as_ref().unwrap_or(&nodes[0]);
                first.bytes.start..nodes[1].bytes.end
            }
            Connection::Terminal { name, node } => name.bytes.start..node.bytes.end,
        }
    }

    pub fn nodes(&self) -> &[Word<'a>] {
        match self {
            Connection::Ends { nodes, .. } => nodes,
            Connection::Terminal { node, .. } => std::slice::from_ref(node),
        }
    }
}

/// Reads the words after the comma that ends the values.
pub(super) fn connections<'a>(words: &[Word<'a>], findings: &mut Findings) -> Connections<'a> {
    let mut found = Connections::default();
    if words.is_empty() {
        return found;
    }
    let mut start = 0;
    for piece in words.split(|word| word.text == ",") {
        let end = start + piece.len();
        if piece.is_empty() {
            // The comma that ends the empty piece, or the one that began it.
            let comma = words.get(end).or_else(|| words.get(end.wrapping_sub(1)));
            if let Some(comma) = comma {
                findings.refuse(
                    &comma.bytes,
                    "a connection is missing beside this comma",
                    "one comma too many",
                    "write one comma between two connections and none at the end",
                );
            }
            found.faulty = true;
        } else {
            match connection(piece, findings) {
                Some(connection) => found.list.push(connection),
                None => found.faulty = true,
            }
        }
        start = end + 1;
    }
    // Bad names are reported after everything is read, and do not become nodes.
    for connection in &found.list {
        for node in connection.nodes() {
            found.faulty |= !check_name(node, findings);
        }
    }
    found
}

fn connection<'a>(words: &[Word<'a>], findings: &mut Findings) -> Option<Connection<'a>> {
    if let [name, equals, node] = words {
        if equals.text == "=" && name.text != "=" && node.text != "=" {
            let (name, node) = (name.clone(), node.clone());
            return Some(Connection::Terminal { name, node });
        }
    }
    if words.iter().any(|word| word.text == "=") {
        say(
            findings,
            words,
            "this is no connection of a terminal",
            "write `terminal=NODE`, with a comma between two of them",
        );
        return None;
    }
    match words {
        [a, to, b] if to.is("to") => Some(Connection::Ends {
            label: None,
            nodes: [a.clone(), b.clone()],
        }),
        [label, a, to, b] if to.is("to") => Some(Connection::Ends {
            label: Some(label.clone()),
            nodes: [a.clone(), b.clone()],
        }),
        [label, a, between, b] if WINDINGS.iter().any(|known| label.is(known)) => {
            expected_to(findings, between, a, b)
        }
        [a, between, b] if !WINDINGS.iter().any(|known| a.is(known)) => {
            expected_to(findings, between, a, b)
        }
        [.., a, b] if words.len() <= 3 && !a.is("to") && !b.is("to") => {
            let help = format!("write `{} to {}`", a.text, b.text);
            say(findings, words, "'to' is missing between two nodes", &help);
            None
        }
        _ => {
            say(
                findings,
                words,
                "this is no connection of two nodes",
                "write `NODE to NODE`, with a comma between two connections",
            );
            None
        }
    }
}

fn expected_to<'a>(
    findings: &mut Findings,
    between: &Word<'a>,
    a: &Word<'a>,
    b: &Word<'a>,
) -> Option<Connection<'a>> {
    findings.refuse(
        &between.bytes,
        format!("expected 'to', found '{}'", between.text),
        "'to' belongs here",
        format!("write `{} to {}`", a.text, b.text),
    );
    None
}

fn say(findings: &mut Findings, words: &[Word<'_>], message: &str, help: &str) {
    findings.refuse(&stretch(words), message, "not understood", help);
}

/// Whether the word can name a node.
pub(super) fn is_node_name(word: &str) -> bool {
    !word.is_empty() && word.chars().all(is_node_letter)
}

fn is_node_letter(letter: char) -> bool {
    letter.is_alphanumeric() || "_+-.".contains(letter)
}

/// Characters that are typed or printed in place of a hyphen.
const DASHES: [char; 5] = ['\u{2212}', '\u{2013}', '\u{2014}', '\u{2010}', '\u{2011}'];

/// Whether the word can name a node; reports it if not.
pub(super) fn check_name(word: &Word<'_>, findings: &mut Findings) -> bool {
    let Some(strange) = word.text.chars().find(|letter| !is_node_letter(*letter)) else {
        return true;
    };
    // A dash of any length is part of the name, and often its sign. Other characters are not left
    // out, because that would give another name.
    let plain: String = word
        .text
        .chars()
        .map(|letter| {
            if DASHES.contains(&letter) {
                '-'
            } else {
                letter
            }
        })
        .collect();
    let rule = "a node's name has letters, digits and `_ + - .` only".to_owned();
    let help = match is_node_name(&plain) {
        true => format!("{rule}: write `{plain}`"),
        false => rule,
    };
    findings.refuse(
        &word.bytes,
        format!("'{}' cannot name a node", word.text),
        format!("'{strange}' is not allowed"),
        help,
    );
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::netlist::lex::words;

    fn read(text: &str) -> (usize, Vec<String>) {
        let read = |findings: &mut Findings| connections(&words(text, 0), findings);
        let (found, messages) = Findings::of_test(read);
        assert_eq!(found.faulty, !messages.is_empty(), "{text}");
        (found.list.len(), messages)
    }

    #[test]
    fn the_three_forms_are_read() {
        assert_eq!(read("a to b"), (1, vec![]));
        assert_eq!(read("primary a to b, secondary c to d"), (2, vec![]));
        assert_eq!(read("cw=out1, wiper = grid2,ccw=B+.1-x_µ"), (3, vec![]));
    }

    #[test]
    fn what_is_no_connection_is_said_once() {
        for (text, start) in [
            ("a tp b", "expected 'to', found 'tp'"),
            ("primary a - b", "expected 'to', found '-'"),
            ("a b", "'to' is missing"),
            ("primary a b", "'to' is missing"),
            ("a", "this is no connection of two nodes"),
            ("a to b to c", "this is no connection of two nodes"),
            ("cw=", "this is no connection of a terminal"),
            ("cw=a wiper=b", "this is no connection of a terminal"),
            ("a to b,", "a connection is missing"),
            ("a to b!", "'b!' cannot name a node"),
            ("\u{2212}12V to b", "'\u{2212}12V' cannot name a node"),
        ] {
            let (_, found) = read(text);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!(found[0].starts_with(start), "{text}: {found:?}");
        }
    }
}
