//! A part line: its values, its terminals, its place in the circuit.
//!
//! The words of a line come in; a part of the drawing goes out, or at least the nodes that the line
//! mentions. A faulty part keeps its name, so that other files can refer to it.

use std::ops::Range;

use circuit::{NodeId, PartId, PartKind};

use super::class::{classify, known_letters, Unclassed};
use super::composite;
use super::connections::{connections, is_node_name, Connections};
use super::designator::class_letters;
use super::draft::{NetlistDraft, Stated};
use super::findings::Findings;
use super::items::{items, ItemKind};
use super::lex::{Line, Word};
use super::part::{self, class_of, Drawn};
use super::socket::{as_stated, seat, section_of, NoSuchSection, Seated, Socket, Tie};
use super::split::split;
use super::terminals::place;
use super::values::{Subject, Values};

impl<'a> NetlistDraft<'a> {
    pub(super) fn part(
        &mut self,
        line: &Line<'a>,
        name: &Word<'a>,
        body: &[Word<'a>],
        findings: &mut Findings,
    ) {
        let Some(halves) = split(body, findings) else {
            self.unreadable.push(body.to_vec());
            return;
        };
        let letters = class_letters(&name.text.replace(char::is_whitespace, ""));
        let items = items(self.text, &halves.values);
        let class = match classify(&letters.unwrap_or_default(), &items) {
            Ok(class) => class,
            Err(unclassed) => {
                say_unclassed(name, unclassed, findings);
                let read = connections(&halves.connections, findings);
                let mentions = self.mentions(&read);
                let bytes = name.bytes.clone();
                self.stated.push(Stated::unconnected(bytes, None, mentions));
                return;
            }
        };
        if let Some(form) = composite::form(class, &items, &halves) {
            return self.composite((form, class), (line, name), items, &halves, findings);
        }
        let subject = Subject {
            name: name.text,
            bytes: name.bytes.clone(),
            noun: class.noun(),
        };
        // `220k a b`: the unknown words among the values are the missing connections, and are
        // reported.
        let ends_in_word = items.last().is_some_and(|item| item.kind == ItemKind::Word);
        let values = Values::new(subject.clone(), items, findings);
        let (drawn, valued, rating) = part::read(class, self.own, values);
        let mut read = connections(&halves.connections, findings);
        read.faulty |= !valued && ends_in_word && halves.connections.is_empty();
        let seated = self.connect(drawn, &subject, &read, findings);
        if read.faulty {
            self.unreadable.push(body.to_vec());
        }
        for part in seated {
            let mentions = match &part.nodes {
                Some(words) => self.register(words.iter()),
                None => self.mentions(&read),
            };
            let connected = part.nodes.is_some();
            let designator = format!("{}{}", subject.name, part.suffix);
            let id = self.built(line, &designator, part.kind, &mentions);
            if let Some(part_id) = id {
                self.builder.rate(part_id, rating);
                let ties = part.ties.into_iter();
                self.ties.extend(ties.map(|(terminal, node)| Tie {
                    part: part_id,
                    terminal,
                    node,
                }));
            }
            self.stated.push(Stated {
                connected: connected && id.is_some(),
                valued: valued && id.is_some(),
                ..Stated::unconnected(name.bytes.clone(), id, mentions)
            });
        }
    }

    /// Adds a part at the nodes that its line mentions; none if there is no node at all.
    fn built(
        &mut self,
        line: &Line<'a>,
        name: &str,
        kind: PartKind,
        mentions: &[(NodeId, Range<usize>)],
    ) -> Option<PartId> {
        let count = kind.terminals().len();
        let mut nodes: Vec<NodeId> = mentions.iter().map(|(node, _)| *node).take(count).collect();
        // A part without any node still keeps its name, so that other files can refer to it.
        let some = (!self.builder.peek().nodes().is_empty()).then_some(NodeId(0));
        nodes.resize(count, nodes.last().copied().or(some)?);
        let designator = name.replace(char::is_whitespace, "");
        Some(self.add(line, designator, kind, nodes))
    }

    /// The parts of a line with the node words of their terminals.
    fn connect(
        &mut self,
        drawn: Drawn,
        subject: &Subject<'_>,
        read: &Connections<'a>,
        findings: &mut Findings,
    ) -> Vec<Seated<'a>> {
        let part = match drawn {
            Drawn::Part(kind) => Seated {
                nodes: place(&kind, subject, read, findings),
                ..Seated::without_nodes(kind)
            },
            Drawn::Tube(tube) => {
                self.registry.seat(&tube, subject, findings);
                match section_of(&tube, subject, findings) {
                    Ok(section) => {
                        let tube = &tube;
                        return seat(Socket { tube, section }, subject, read, findings);
                    }
                    Err(NoSuchSection) => {
                        Seated::without_nodes(as_stated(&tube.name, class_of(&tube), read))
                    }
                }
            }
            Drawn::Unknown(class) => Seated::without_nodes(as_stated("", class, read)),
        };
        vec![part]
    }

    /// The nodes of connections, whatever the terminals; words that cannot name a node are left
    /// out.
    fn mentions(&mut self, read: &Connections<'a>) -> Vec<(NodeId, Range<usize>)> {
        let words = read.list.iter().flat_map(|connection| connection.nodes());
        self.register(words.filter(|word| is_node_name(word.text)))
    }

    /// The nodes of words, made if they are new.
    pub(super) fn register<'w>(
        &mut self,
        words: impl Iterator<Item = &'w Word<'a>>,
    ) -> Vec<(NodeId, Range<usize>)>
    where
        'a: 'w,
    {
        words
            .map(|word| (self.builder.node(word.text), word.bytes.clone()))
            .collect()
    }
}

fn say_unclassed(name: &Word<'_>, unclassed: Unclassed, findings: &mut Findings) {
    let (message, help) = match unclassed {
        Unclassed::Later(kind) => (
            format!("{} cannot be read: this version knows no {kind}", name.text),
            "leave the part out for now, and say so in a comment".to_owned(),
        ),
        Unclassed::Letters(letters) => (
            format!("what {} is cannot be told from '{letters}'", name.text),
            format!(
                "say it after the colon (`resistor`, `lamp`), or use one of {}",
                known_letters()
            ),
        ),
    };
    findings.refuse(&name.bytes, message, "unknown part", help);
}
