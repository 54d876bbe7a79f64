//! The contents of the lines of a netlist, before the drawing as a whole is checked.

use std::collections::HashMap;
use std::ops::Range;

use circuit::{CircuitBuilder, NodeId, Origin, Part, PartId, PartKind, TubeType};

use super::lex::{Line, Word};
use super::socket::{SocketRegistry, Tie};

/// A line that states a part, or that could not be read but may name nodes.
#[derive(Clone, Debug)]
pub(super) struct Stated {
    /// The part; none for a line without a part.
    pub part: Option<PartId>,
    /// The place of its designation.
    pub bytes: Range<usize>,
    /// Every mention of a node.
    pub mentions: Vec<(NodeId, Range<usize>)>,
    /// Whether all its terminals are on the nodes of the line.
    pub connected: bool,
    /// Whether its values are those of the line, and not stand-ins.
    pub valued: bool,
}

impl Stated {
    /// A line whose terminals are not all on its nodes.
    pub fn unconnected(
        bytes: Range<usize>,
        part: Option<PartId>,
        mentions: Vec<(NodeId, Range<usize>)>,
    ) -> Self {
        Stated {
            part,
            bytes,
            mentions,
            connected: false,
            valued: false,
        }
    }
}

/// The contents of all lines, before the drawing as a whole is checked.
pub(super) struct NetlistDraft<'a> {
    pub text: &'a str,
    /// Nodes and parts so far.
    pub builder: CircuitBuilder,
    /// Part lines and unreadable lines.
    pub stated: Vec<Stated>,
    /// Reference nodes, each with whether its `ground` is spelt right.
    pub grounds: Vec<(Word<'a>, bool)>,
    /// Heaters in series: the keyword and the members of each statement.
    pub heaters: Vec<(Word<'a>, Vec<Word<'a>>)>,
    /// Fed supplies: the place and the supplies of each statement.
    pub feeds: Vec<(Word<'a>, Vec<Word<'a>>)>,
    /// Test points: name and node.
    pub points: Vec<(Word<'a>, Word<'a>)>,
    /// Pins that no section of their tube needs.
    pub ties: Vec<Tie<'a>>,
    /// Label of the text.
    pub file: &'a str,
    /// Tube types of the job.
    pub own: &'a [TubeType],
    pub registry: SocketRegistry,
    /// Words of lines that could not be read.
    pub unreadable: Vec<Vec<Word<'a>>>,
    pub(super) title: Option<Range<usize>>,
    pub(super) designators: HashMap<String, Range<usize>>,
}

impl NetlistDraft<'_> {
    pub fn add(
        &mut self,
        line: &Line<'_>,
        designator: String,
        kind: PartKind,
        nodes: Vec<NodeId>,
    ) -> PartId {
        let origin = Origin {
            file: self.file.to_owned(),
            line: line.number,
        };
        self.builder.part(Part {
            designator,
            kind,
            nodes,
            origin,
        })
    }

    /// Whether every line could be read: one that could not may draw whatever seems to be missing.
    pub fn is_whole(&self) -> bool {
        self.unreadable.is_empty() && self.stated.iter().all(|stated| stated.connected)
    }
}
