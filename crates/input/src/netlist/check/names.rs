//! Node names: those that only a `ground` or test point knows, those of a single part, and those
//! that differ in capitals only.

use std::collections::{HashMap, HashSet};
use std::ops::Range;

use circuit::NodeId;

use crate::nearest::{nearest, MOST_HINTS};
use crate::netlist::connections::check_name;
use crate::netlist::draft::NetlistDraft;
use crate::netlist::findings::Findings;
use crate::netlist::lex::Word;

/// The reference statements, understood.
#[derive(Clone, Debug, Default)]
pub(super) struct Grounds {
    /// Reference nodes with the places that state them.
    pub stated: Vec<(NodeId, Range<usize>)>,
    /// Those of a misspelt statement, which is an error already.
    pub guessed: Vec<NodeId>,
    /// Whether one of them names no node, and none that is like it.
    pub lost: bool,
}

pub(super) fn exactly(sheet: &NetlistDraft<'_>, name: &str) -> Option<NodeId> {
    sheet.builder.peek().node_exactly(name)
}

pub(super) fn like(sheet: &NetlistDraft<'_>, name: &str) -> Option<String> {
    let nodes = sheet.builder.peek().nodes();
    nearest(name, nodes.iter().map(|node| node.name.as_str())).map(str::to_owned)
}

pub(super) fn unknown(word: &Word<'_>, like: Option<&String>, findings: &mut Findings) {
    let help = like.map_or_else(
        || "name a node that a part is connected to".to_owned(),
        |name| format!("did you mean '{name}'?"),
    );
    findings.refuse(
        &word.bytes,
        format!("no part is connected to node '{}'", word.text),
        "unknown node",
        help,
    );
}

/// Makes the nodes of `ground` statements references.
pub(super) fn grounds(sheet: &mut NetlistDraft<'_>, findings: &mut Findings) -> Grounds {
    let mut grounds = Grounds::default();
    for (word, spelt) in std::mem::take(&mut sheet.grounds) {
        if !check_name(&word, findings) {
            grounds.lost = true;
            continue;
        }
        let mut node = exactly(sheet, word.text);
        if node.is_none() {
            let like = like(sheet, word.text);
            unknown(&word, like.as_ref(), findings);
            // The node that was meant serves as the reference, so that its lack is not reported too.
            node = like.and_then(|name| exactly(sheet, &name));
        }
        let Some(node) = node else {
            grounds.lost = true;
            continue;
        };
        let again = grounds.stated.iter().find(|(known, _)| *known == node);
        if let Some((_, first)) = again {
            findings.doubt_beside(
                &word.bytes,
                format!("'{}' is the reference already", word.text),
                "stated again",
                "leave one of them out",
                (first, "first stated here"),
            );
            continue;
        }
        sheet.builder.reference(node);
        if !spelt {
            grounds.guessed.push(node);
        }
        grounds.stated.push((node, word.bytes));
    }
    grounds
}

/// Gives nodes their test-point names.
pub(super) fn test_points(sheet: &mut NetlistDraft<'_>, findings: &mut Findings) {
    for (name, word) in sheet.points.clone() {
        let Some(node) = exactly(sheet, word.text) else {
            let like = like(sheet, word.text);
            unknown(&word, like.as_ref(), findings);
            // The name is kept, so that a table that uses it is not blamed as well.
            if let Some(node) = like.and_then(|name| exactly(sheet, &name)) {
                sheet.builder.test_point(name.text, node);
            }
            continue;
        };
        let other = sheet
            .builder
            .peek()
            .node(name.text)
            .filter(|other| *other != node);
        if other.is_some() {
            findings.refuse(
                &name.bytes,
                format!("'{}' is also the name of a node", name.text),
                "two meanings",
                "give the test point or the node another name",
            );
        }
        sheet.builder.test_point(name.text, node);
    }
}

/// For each node the lines that mention it, each with the place.
type Mentions = Vec<Vec<(usize, Range<usize>)>>;

fn mentions(sheet: &NetlistDraft<'_>) -> Mentions {
    let mut mentioned = vec![Vec::new(); sheet.builder.peek().nodes().len()];
    for (index, stated) in sheet.stated.iter().enumerate() {
        for (node, bytes) in &stated.mentions {
            mentioned[node.0].push((index, bytes.clone()));
        }
    }
    mentioned
}

/// Nodes that only one part mentions.
fn mentioned_once(
    sheet: &NetlistDraft<'_>,
    mentioned: &Mentions,
    adrift: &HashSet<NodeId>,
) -> Vec<NodeId> {
    let circuit = sheet.builder.peek();
    let points = circuit.test_points().iter().map(|(_, node)| *node);
    let feeding = circuit.feeds().iter().map(|feed| feed.from);
    let pointed: HashSet<NodeId> = points.chain(feeding).collect();
    (0..mentioned.len())
        .map(NodeId)
        .filter(|node| {
            let places = &mentioned[node.0];
            let one = places.first().filter(|(first, word)| {
                // The sections at a tap are of one line, which mentions it once; two sections of a tube may meet in
                // one line that mentions their node twice.
                let line = |index: usize| &sheet.stated[index].bytes;
                places.iter().all(|(index, own)| {
                    index == first || line(*index) == line(*first) && own == word
                })
            });
            // A part whose ends meet has been reported for that, and one that is not fully
            // connected for what it lacks.
            let whole = one.is_some_and(|(index, _)| sheet.stated[*index].connected);
            let met = whole
                && places.len() > 1
                && one.is_some_and(|(index, _)| {
                    sheet.stated[*index]
                        .mentions
                        .iter()
                        .all(|(other, _)| other == node)
                });
            let named = circuit.nodes()[node.0].is_reference || pointed.contains(node);
            whole && !met && !named && !adrift.contains(node)
        })
        .collect()
}

/// Warns of nodes that only one part mentions, unless they are a reference, a test point or adrift; which they are.
pub(super) fn lonely(
    sheet: &NetlistDraft<'_>,
    adrift: &HashSet<NodeId>,
    findings: &mut Findings,
) -> Vec<NodeId> {
    let circuit = sheet.builder.peek();
    let mentioned = mentions(sheet);
    let lonely = mentioned_once(sheet, &mentioned, adrift);
    let mut told: HashSet<NodeId> = HashSet::new();
    for (index, node) in lonely.iter().rev().enumerate() {
        if told.contains(node) {
            continue;
        }
        let name = circuit.node_name(*node);
        // The other nodes of its own part are not meant: its ends would meet.
        let part = mentioned[node.0].first().map(|(stated, _)| *stated);
        let own: Vec<NodeId> = part.map_or(Vec::new(), |stated| {
            let mentions = sheet.stated[stated].mentions.iter();
            mentions.map(|(node, _)| *node).collect()
        });
        let others = circuit
            .nodes()
            .iter()
            .enumerate()
            .filter(|(other, _)| index < MOST_HINTS && !own.contains(&NodeId(*other)));
        let others = others.map(|(_, other)| other);
        let like = nearest(name, others.map(|other| other.name.as_str()));
        // Two lonely names that are alike are most likely one node, misspelt once.
        let twin = like.and_then(|like| lonely.iter().find(|id| circuit.node_name(**id) == like));
        told.extend(twin.copied());
        let Some((_, bytes)) = mentioned[node.0].first() else {
            continue;
        };
        let help = like.map_or_else(
            || {
                "join it to another part, or give it a test point if it is meant to be open"
                    .to_owned()
            },
            |like| format!("did you mean '{like}'?"),
        );
        let mut found = findings
            .warning(bytes, format!("node '{name}' is mentioned only here"))
            .label("nothing else connects to it")
            .help(help);
        if let Some((_, place)) = twin.and_then(|twin| mentioned[twin.0].first()) {
            found = found.related(findings.at(place), "nor to this one");
        }
        findings.push(found);
    }
    lonely
}

/// Warns of two nodes, each with several parts, whose names differ in capitals only.
pub(super) fn alike(sheet: &NetlistDraft<'_>, findings: &mut Findings) {
    let circuit = sheet.builder.peek();
    let mut several = vec![false; circuit.nodes().len()];
    let mut first: Vec<Option<(usize, &Range<usize>)>> = vec![None; circuit.nodes().len()];
    for (index, stated) in sheet.stated.iter().enumerate() {
        for (node, bytes) in &stated.mentions {
            let (earliest, _) = *first[node.0].get_or_insert((index, bytes));
            several[node.0] |= earliest != index;
        }
    }
    let mut known: HashMap<String, usize> = HashMap::new();
    for (index, node) in circuit.nodes().iter().enumerate() {
        let Some(earlier) = known.get(&node.name.to_lowercase()).copied() else {
            known.insert(node.name.to_lowercase(), index);
            continue;
        };
        let both = several[earlier] && several[index];
        if let (true, Some((_, here)), Some((_, there))) = (both, first[index], first[earlier]) {
            let other = &circuit.nodes()[earlier].name;
            findings.doubt_beside(
                here,
                format!(
                    "nodes '{}' and '{other}' differ in capitals only",
                    node.name
                ),
                "a second node",
                "write both alike if they are one node",
                (there, "the other one"),
            );
        }
    }
}
