//! Reads a netlist: each line in turn, then the drawing as a whole.
//!
//! A text comes in; a circuit and every diagnostic go out. If there is an error among the
//! diagnostics, the circuit still has every name that could be read, so that other files can be
//! checked against it, but its values and connections may be stand-ins.

use std::collections::HashMap;

use circuit::{Circuit, CircuitBuilder, TubeType};

use super::check;
use super::connections::check_name;
use super::designator::{class_letters, is_test_point};
use super::draft::{NetlistDraft, Stated};
use super::findings::Findings;
use super::lex::{lines, Line, Word};
use super::socket::{tie, SocketRegistry};
use super::statement::{statement, Statement};
use crate::diagnostic::Diagnostic;
use crate::source::{SourceId, Sources};

/// The circuit of a netlist, and the diagnostics.
#[derive(Clone, Debug, PartialEq)]
pub struct Netlist {
    /// The circuit as far as it could be read; it must not be solved if there is an error.
    pub circuit: Circuit,
    /// Everything found, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
}

/// Bytes of the longest line that is read as a statement; a part with a hundred terminals has fewer.
const LONGEST_LINE: usize = 4096;

/// Reads one of the job's texts as a netlist. Tube types of the job, `own`, come before those of
/// the catalogue.
pub fn read_netlist(sources: &Sources, id: SourceId, own: &[TubeType]) -> Netlist {
    let source = sources.get(id);
    let mut findings = Findings::new(id);
    let mut sheet = NetlistDraft {
        text: &source.text,
        builder: CircuitBuilder::new(),
        stated: Vec::new(),
        grounds: Vec::new(),
        heaters: Vec::new(),
        feeds: Vec::new(),
        points: Vec::new(),
        ties: Vec::new(),
        file: &source.label,
        own,
        registry: SocketRegistry::default(),
        unreadable: Vec::new(),
        title: None,
        designators: HashMap::new(),
    };
    for line in lines(&source.text) {
        sheet.line(&line, &mut findings);
    }
    tie(&mut sheet);
    sheet.mention_in_passing();
    let circuit = check::drawing(sheet, &mut findings);
    Netlist {
        circuit,
        diagnostics: findings.into_sorted(),
    }
}

impl<'a> NetlistDraft<'a> {
    fn line(&mut self, line: &Line<'a>, findings: &mut Findings) {
        if line.text.len() > LONGEST_LINE {
            let start = line.bytes.start..line.bytes.start;
            let message = format!("this line has {} bytes, and is not read", line.text.len());
            let help = format!("a statement has {LONGEST_LINE} bytes at most");
            findings.refuse(&start, message, "begins here", help);
            return;
        }
        match statement(line, findings) {
            Statement::Title(keyword, text) => self.title(&keyword, text, findings),
            Statement::Ground(keyword, nodes) => {
                if nodes.is_empty() {
                    findings.refuse(
                        &keyword.bytes,
                        "'ground' names no node",
                        "a node belongs after this",
                        "write `ground NODE`",
                    );
                }
                let spelt = keyword.is("ground");
                self.grounds
                    .extend(nodes.into_iter().map(|node| (node, spelt)));
            }
            Statement::Heaters(keyword, members) => self.heaters.push((keyword, members)),
            Statement::Fed(place, supplies) => self.feeds.push((place, supplies)),
            Statement::Entry(name, body) => {
                self.designator(&name, findings);
                if is_test_point(name.text) {
                    self.test_point(name, body, findings);
                } else {
                    self.part(line, &name, &body, findings);
                }
            }
            Statement::Unreadable(words) => self.unreadable.push(words),
        }
    }

    fn title(&mut self, keyword: &Word<'_>, text: &str, findings: &mut Findings) {
        if let Some(first) = self.title.replace(keyword.bytes.clone()) {
            findings.doubt_beside(
                &keyword.bytes,
                "the title is stated twice",
                "this one counts",
                "leave one of them out",
                (&first, "the first one"),
            );
        }
        if text.is_empty() {
            let (label, help) = ("a text belongs after this", "write `title TEXT`");
            findings.doubt(&keyword.bytes, "the title is empty", label, help);
        }
        self.builder.title(text);
    }

    fn designator(&mut self, name: &Word<'_>, findings: &mut Findings) {
        let key = name
            .text
            .replace(char::is_whitespace, "")
            .to_ascii_uppercase();
        let Some(first) = self.designators.get(&key) else {
            self.designators.insert(key, name.bytes.clone());
            return;
        };
        findings.refuse_beside(
            &name.bytes,
            format!("the designation '{}' is used twice", name.text),
            "used again",
            match class_letters(&key).as_deref() {
                Some("V") => {
                    "give one of the two another number; the sections of one tube are V1A and V1B, or stand in one line"
                }
                _ => "give one of the two another number",
            },
            (first, "first used here"),
        );
    }

    fn test_point(&mut self, name: Word<'a>, body: Vec<Word<'a>>, findings: &mut Findings) {
        if let [node] = body.as_slice() {
            if check_name(node, findings) {
                self.points.push((name, node.clone()));
            }
            return;
        }
        findings.refuse(
            &name.bytes,
            format!("the test point {} needs one node", name.text),
            if body.is_empty() {
                "no node follows"
            } else {
                "more than a node follows"
            },
            format!("write `{}: NODE`", name.text),
        );
        self.unreadable.push(body);
    }

    /// Known nodes among the words of lines that could not be read count as mentioned there: one
    /// mistake must not make every node of its line look unconnected.
    fn mention_in_passing(&mut self) {
        for words in std::mem::take(&mut self.unreadable) {
            let circuit = self.builder.peek();
            let known = |word: &Word<'_>| {
                let node = circuit.node_exactly(word.text)?;
                Some((node, word.bytes.clone()))
            };
            let mentions: Vec<_> = words.iter().filter_map(known).collect();
            self.stated.push(Stated::unconnected(0..0, None, mentions));
        }
    }
}
