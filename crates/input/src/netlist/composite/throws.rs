//! Switches with throws: `S2: a of a b c, common=det, a=am, b=phono, c=tape`.
//!
//! Each throw that leads somewhere is a contact of its own between the common and its node, closed
//! in the position that the line states. A throw without a node leads nowhere.

use circuit::{Contact, ContactKind, PartKind};

use super::pair::pairs;
use super::{Drawn, Piece};
use crate::nearest::near_or_all;
use crate::netlist::lex::Word;
use crate::netlist::values::Values;

const EXAMPLE: &str = "a of a b c";

/// Words that may stand before the position.
const KINDS: [&str; 4] = ["switch", "selector", "rotary", "contact"];

pub(super) fn read<'a>(
    values: &mut Values<'a, '_>,
    words: &[Word<'a>],
    connections: &[Word<'a>],
) -> Option<Drawn<'a>> {
    // The words are the throws' own names, whatever they look like.
    values.taken.fill(true);
    if !words.iter().any(|word| word.is("of")) {
        without_positions(values, connections);
        return None;
    }
    let (position, throws) = positions(values, words)?;
    let mut terminals = vec!["common"];
    terminals.extend(throws.iter().map(|throw| throw.text));
    let mut nodes = pairs(values, connections, &terminals, 1)?.into_iter();
    let common = nodes.next().flatten()?;
    let mut drawn = Drawn::default();
    for (throw, node) in throws.iter().zip(nodes) {
        let Some(node) = node else { continue };
        drawn.pieces.push(Piece {
            suffix: format!(".{}", throw.text),
            kind: PartKind::Contact(Contact {
                kind: ContactKind::Switch,
                closed: throw.is(position.text),
            }),
            nodes: vec![common.clone(), node.clone()],
        });
        drawn.leads.push((throw.text.to_owned(), node));
    }
    if drawn.pieces.is_empty() {
        let message = format!("no throw of {} leads anywhere", values.subject.name);
        let bytes = values.subject.bytes.clone();
        values.reject(&bytes, message, "name the node of each throw: `a=NODE`");
        return None;
    }
    drawn.leads.push(("common".to_owned(), common));
    Some(drawn)
}

/// Reports connections of throws in a line that states none.
fn without_positions(values: &mut Values<'_, '_>, connections: &[Word<'_>]) {
    let named = connections.windows(2).filter(|pair| pair[1].text == "=");
    let names: Vec<&str> = named
        .map(|pair| pair[0].text)
        .filter(|name| !name.eq_ignore_ascii_case("common"))
        .collect();
    let name = values.subject.name;
    let message = format!("{name} has a common contact and does not say in which position it is");
    let example = match names.first() {
        Some(first) if names.len() > 1 => format!("{first} of {}", names.join(" ")),
        _ => EXAMPLE.to_owned(),
    };
    let help = format!("state position and all throws after the colon, such as `{example}`");
    let bytes = values.subject.bytes.clone();
    values.reject(&bytes, message, help);
}

fn positions<'c, 'a>(
    values: &mut Values<'a, '_>,
    words: &'c [Word<'a>],
) -> Option<(&'c Word<'a>, &'c [Word<'a>])> {
    let of = words.iter().position(|word| word.is("of"))?;
    let (before, throws) = (words.get(..of)?, words.get(of + 1..)?);
    let before = match before {
        [kind, rest @ ..] if KINDS.iter().any(|known| kind.is(known)) && !rest.is_empty() => rest,
        other => other,
    };
    let name = values.subject.name;
    let help = format!("state position and throws, such as `{EXAMPLE}`");
    let [position] = before else {
        let message = format!("{name} does not say in which position it is");
        values.reject(&words[of].bytes, message, help);
        return None;
    };
    let reserved = throws.iter().find(|throw| throw.is("common"));
    let again = throws
        .iter()
        .enumerate()
        .find(|(index, throw)| throws.iter().take(*index).any(|other| other.is(throw.text)));
    if let Some(bad) = reserved.or(again.map(|(_, throw)| throw)) {
        let message = format!("'{}' cannot be the name of one throw", bad.text);
        values.reject(&bad.bytes, message, "give each throw a name of its own");
        return None;
    }
    if throws.len() < 2 {
        let message = format!("{name} needs two throws or more");
        let help = format!("{help}, or else `open` or `closed`");
        values.reject(&words[of].bytes, message, help);
        return None;
    }
    if !throws.iter().any(|throw| throw.is(position.text)) {
        let message = format!("'{}' is none of the throws", position.text);
        let names: Vec<&str> = throws.iter().map(|throw| throw.text).collect();
        let help = near_or_all(position.text, &names, "the throws are");
        values.reject(&position.bytes, message, help);
        return None;
    }
    Some((position, throws))
}
