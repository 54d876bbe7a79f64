//! Lines that draw several parts at once: a tapped winding, a transformer of many windings, a
//! switch with throws, a bridge of rectifiers, a can of several capacitors.
//!
//! The words of a line come in; pieces that the solver knows go out, each with a name of its own
//! behind the line's (`T1.primary`), and the names by which a table may call the line's terminals.
//! What a piece does to the circuit is not known here.

mod bridge;
mod can;
mod jack;
mod pair;
mod throws;
mod windings;

use circuit::PartKind;

use super::class::Class;
use super::draft::{NetlistDraft, Stated};
use super::findings::Findings;
use super::items::{Item, ItemKind};
use super::lex::{Line, Word};
use super::split::Halves;
use super::values::{is, Subject, Values};

pub(super) struct Piece<'a> {
    /// What stands behind the line's designation; empty for the designation itself.
    pub suffix: String,
    pub kind: PartKind,
    /// Its nodes, in the order of its terminals.
    pub nodes: Vec<Word<'a>>,
}

/// What a line draws.
#[derive(Default)]
pub(super) struct Drawn<'a> {
    /// Its parts; empty if something was wrong.
    pub pieces: Vec<Piece<'a>>,
    /// Names of its terminals, and where they are.
    pub leads: Vec<(String, Word<'a>)>,
}

/// Sorts of composite.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    Windings,
    Throws,
    Bridge,
    Can,
    Jack,
}

/// The sort of composite that a line of this class draws; none for a single part.
pub(super) fn form(class: Class, items: &[Item<'_>], halves: &Halves<'_>) -> Option<Form> {
    let says = |word: &str| items.iter().any(|item| is(item, word));
    match class {
        Class::Transformer | Class::Inductor => {
            windings::is_composite(class, items, &halves.connections).then_some(Form::Windings)
        }
        Class::Contact(_) if halves.values.iter().any(|word| word.is("of")) => Some(Form::Throws),
        Class::Contact(_) if has_common(&halves.connections) => Some(Form::Throws),
        Class::Contact(_) if says("jack") => {
            let named = halves.connections.iter().any(|word| word.text == "=");
            named.then_some(Form::Jack)
        }
        Class::Diode if says("bridge") => Some(Form::Bridge),
        Class::Capacitor => items
            .iter()
            .any(|item| item.kind == ItemKind::Value && can::sections(item.text).is_some())
            .then_some(Form::Can),
        _ => None,
    }
}

/// Whether a terminal is called `common`, as those of switches with throws are.
fn has_common(connections: &[Word<'_>]) -> bool {
    connections
        .windows(2)
        .any(|pair| pair[0].is("common") && pair[1].text == "=")
}

impl<'a> NetlistDraft<'a> {
    /// Reads a line that draws several parts.
    pub(super) fn composite(
        &mut self,
        (form, class): (Form, Class),
        (line, name): (&Line<'a>, &Word<'a>),
        items: Vec<Item<'a>>,
        halves: &Halves<'a>,
        findings: &mut Findings,
    ) {
        let subject = Subject {
            name: name.text,
            bytes: name.bytes.clone(),
            noun: class.noun(),
        };
        let mut values = Values::new(subject, items, findings);
        let connections = &halves.connections;
        let drawn = match form {
            Form::Windings => windings::read(&mut values, connections),
            Form::Throws => throws::read(&mut values, &halves.values, connections),
            Form::Bridge => bridge::read(self.own, &mut values, connections),
            Form::Can => can::read(&mut values, connections),
            Form::Jack => jack::read(&mut values, connections),
        }
        .unwrap_or_default();
        let rating = values.rating;
        let sound = values.finish() && !drawn.pieces.is_empty();
        let designator = name.text.replace(char::is_whitespace, "");
        let state = |sheet: &mut NetlistDraft<'a>, part, mentions| {
            sheet.stated.push(Stated {
                connected: sound,
                valued: sound,
                ..Stated::unconnected(name.bytes.clone(), part, mentions)
            });
        };
        if drawn.pieces.is_empty() {
            self.unreadable.push(connections.clone());
        }
        for piece in drawn.pieces {
            let mentions = self.register(piece.nodes.iter());
            let nodes = mentions.iter().map(|(node, _)| *node).collect();
            let designator = format!("{designator}{}", piece.suffix);
            let part = self.add(line, designator, piece.kind, nodes);
            self.builder.rate(part, rating);
            state(self, Some(part), mentions);
        }
        for (lead, word) in drawn.leads {
            let node = self.builder.node(word.text);
            self.builder.lead(format!("{designator} {lead}"), node);
            state(self, None, vec![(node, word.bytes.clone())]);
        }
    }
}

/// The pieces of connections between commas, none of them empty; none if that was reported.
pub(super) fn between_commas<'c, 'a>(
    values: &mut Values<'a, '_>,
    connections: &'c [Word<'a>],
    example: &str,
) -> Option<Vec<&'c [Word<'a>]>> {
    if connections.is_empty() {
        let Subject { name, bytes, .. } = values.subject.clone();
        let message = format!("{name} has no connections");
        let help = format!("write them after a comma: `{example}`");
        values.refuse(&bytes, message, "not connected", help);
        return None;
    }
    let pieces: Vec<&[Word<'_>]> = connections.split(|word| word.text == ",").collect();
    if pieces.iter().any(|piece| piece.is_empty()) {
        let comma = connections.iter().find(|word| word.text == ",");
        let bytes = comma.map_or(values.subject.bytes.clone(), |comma| comma.bytes.clone());
        let message = "a connection is missing beside a comma";
        let help = "write one comma between two connections and none at the end";
        values.refuse(&bytes, message, "one comma too many", help);
        return None;
    }
    Some(pieces)
}

/// Reports words that are no connection of this part; there is nothing to draw then.
pub(super) fn no_connection<T>(
    values: &mut Values<'_, '_>,
    words: &[Word<'_>],
    help: &str,
) -> Option<T> {
    let bytes = super::lex::stretch(words);
    let message = format!("this is no connection of a {}", values.subject.noun);
    values.refuse(&bytes, message, "not understood", help);
    None
}
