//! A circuit: nodes, the parts between them, the reference of each island, and named test points.
//!
//! Built once by [`CircuitBuilder`] and not changed afterwards. A meter on a point or a broken part
//! is a view made by the solver, so that *as documented*, *on the bench* and *faulty* can exist
//! side by side. The place in a text where a part was written is known only as an [`Origin`].

use std::sync::Arc;

use crate::device::Terminal;
use crate::feed::Feed;
use crate::heater_string::HeaterString;
use crate::names::Names;
use crate::part::{Part, PartKind};
use crate::rating::Rating;

/// Where a part, row or other item was written: a file's label and its line, counted from 1.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Origin {
    /// The file as the user names it, such as `circuit.netlist`.
    pub file: String,
    /// Line number, from 1; 0 if it has no line.
    pub line: usize,
}

/// A node's place in [`Circuit::nodes`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(pub usize);

/// A part's place in [`Circuit::parts`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PartId(pub usize);

/// A junction of part terminals.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Node {
    /// The name written in the netlist.
    pub name: String,
    /// Whether the node is the reference (0 V) of its island.
    pub is_reference: bool,
}

/// Two nodes that a meter's probes touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Port {
    /// Where the positive probe goes.
    pub plus: NodeId,
    /// Where the common probe goes.
    pub minus: NodeId,
}

/// A drawn circuit, or several unconnected islands of one.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Circuit {
    title: String,
    nodes: Vec<Node>,
    parts: Vec<Part>,
    test_points: Vec<(String, NodeId)>,
    /// Names of the terminals of a line that is drawn as several parts, `CR1 plus`, and their
    /// nodes.
    leads: Vec<(String, NodeId)>,
    /// Parts that state a rating, in the order of the netlist.
    ratings: Vec<(PartId, Rating)>,
    /// Heaters in series.
    heater_strings: Vec<HeaterString>,
    /// Supplies fed from places of the drawing.
    feeds: Vec<Feed>,
    /// The place of each name. Copies of a circuit have the names of their original.
    names: Arc<CircuitNames>,
}

#[derive(Clone, Debug, Default, PartialEq)]
struct CircuitNames {
    nodes: Names,
    parts: Names,
    test_points: Names,
}

impl Circuit {
    /// The netlist's own title; empty when it has none.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// Every node, in order of first mention.
    pub fn nodes(&self) -> &[Node] {
        &self.nodes
    }

    /// Every part, in the order of the netlist.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// Names given to nodes by test-point statements.
    pub fn test_points(&self) -> &[(String, NodeId)] {
        &self.test_points
    }

    /// Names of the terminals of lines that are drawn as several parts, and their nodes.
    pub fn leads(&self) -> &[(String, NodeId)] {
        &self.leads
    }

    /// The node of such a terminal by its name, `CR1 plus`, ignoring case.
    pub fn lead(&self, name: &str) -> Option<NodeId> {
        let mut words = name.split_whitespace();
        let wanted: Vec<&str> = words.by_ref().collect();
        let wanted = wanted.join(" ");
        let mut leads = self.leads.iter();
        let found = leads.find(|(own, _)| own.eq_ignore_ascii_case(&wanted));
        found.map(|(_, node)| *node)
    }

    /// Parts that one line draws, by the line's designation: `S2.a` and `S2.b` of `S2`, and those
    /// of the sections `S2A` and `S2B`.
    pub fn pieces_of<'c>(&'c self, designator: &'c str) -> impl Iterator<Item = (PartId, &'c str)> {
        let parts = self.parts.iter().enumerate();
        parts.filter_map(move |(index, part)| {
            let (line, piece) = part.designator.split_once('.')?;
            let section = line.strip_suffix(|last: char| last.is_ascii_alphabetic());
            let is = |name: &str| name.eq_ignore_ascii_case(designator);
            (is(line) || section.is_some_and(is)).then_some((PartId(index), piece))
        })
    }

    /// Parts that state a rating, and what they state.
    pub fn ratings(&self) -> &[(PartId, Rating)] {
        &self.ratings
    }

    /// Strings of heaters in series, in the order of the netlist.
    pub fn heater_strings(&self) -> &[HeaterString] {
        &self.heater_strings
    }

    /// Supplies that are fed from places of the drawing, in the order of the netlist.
    pub fn feeds(&self) -> &[Feed] {
        &self.feeds
    }

    /// The name of a node.
    pub fn node_name(&self, id: NodeId) -> &str {
        &self.nodes[id.0].name
    }

    /// One part.
    pub fn part(&self, id: PartId) -> &Part {
        &self.parts[id.0]
    }

    /// One part, to be changed in a copy; it is still found by its original name.
    pub(crate) fn part_mut(&mut self, id: PartId) -> &mut Part {
        &mut self.parts[id.0]
    }

    /// The node of this name, ignoring case where that is unambiguous.
    pub fn node(&self, name: &str) -> Option<NodeId> {
        let names = &self.names.nodes;
        names.find(name, |at| &self.nodes[at].name).map(NodeId)
    }

    /// The node of exactly this name.
    pub fn node_exactly(&self, name: &str) -> Option<NodeId> {
        let names = &self.names.nodes;
        names.exactly(name, |at| &self.nodes[at].name).map(NodeId)
    }

    /// The part of this designator, ignoring case where that is unambiguous.
    pub fn part_named(&self, designator: &str) -> Option<PartId> {
        let names = &self.names.parts;
        let found = names.find(designator, |at| &self.parts[at].designator);
        found.map(PartId)
    }

    /// The node that a test-point statement calls by this name.
    pub fn test_point(&self, name: &str) -> Option<NodeId> {
        let names = &self.names.test_points;
        let found = names.find(name, |at| &self.test_points[at].0);
        found.map(|at| self.test_points[at].1)
    }

    /// Reference nodes, one for each grounded island.
    pub fn references(&self) -> impl Iterator<Item = NodeId> + '_ {
        self.nodes
            .iter()
            .enumerate()
            .filter(|(_, node)| node.is_reference)
            .map(|(index, _)| NodeId(index))
    }
}

/// Collects nodes and parts, then gives the finished [`Circuit`].
#[derive(Clone, Debug, Default)]
pub struct CircuitBuilder {
    circuit: Circuit,
}

impl CircuitBuilder {
    /// An empty circuit.
    pub fn new() -> Self {
        Self::default()
    }

    /// Continues from a finished circuit: what is added comes after what is there.
    pub fn continuing(circuit: Circuit) -> Self {
        CircuitBuilder { circuit }
    }

    /// Sets the title.
    pub fn title(&mut self, title: impl Into<String>) {
        self.circuit.title = title.into();
    }

    /// The node of exactly this name; it is made if there is none.
    pub fn node(&mut self, name: &str) -> NodeId {
        self.circuit.node_exactly(name).unwrap_or_else(|| {
            let place = self.circuit.nodes.len();
            self.names().nodes.add(name, place);
            self.circuit.nodes.push(Node {
                name: name.to_owned(),
                is_reference: false,
            });
            NodeId(place)
        })
    }

    /// Makes a node the reference of its island.
    pub fn reference(&mut self, id: NodeId) {
        self.circuit.nodes[id.0].is_reference = true;
    }

    /// Adds a part.
    pub fn part(&mut self, part: Part) -> PartId {
        let place = self.circuit.parts.len();
        self.names().parts.add(&part.designator, place);
        self.circuit.parts.push(part);
        PartId(place)
    }

    /// Names a terminal of a line that is drawn as several parts.
    pub fn lead(&mut self, name: String, node: NodeId) {
        self.circuit.leads.push((name, node));
    }

    /// Adds a terminal to a device.
    pub fn add_terminal(&mut self, part: PartId, terminal: Terminal, node: NodeId) {
        if let Some(part) = self.circuit.parts.get_mut(part.0) {
            if let PartKind::Device(device) = &mut part.kind {
                device.terminals.push(terminal);
                part.nodes.push(node);
            }
        }
    }

    /// States the rating of a part.
    pub fn rate(&mut self, part: PartId, rating: Rating) {
        if !rating.is_blank() {
            self.circuit.ratings.push((part, rating));
        }
    }

    pub(crate) fn add_heater_string(&mut self, string: HeaterString) {
        self.circuit.heater_strings.push(string);
    }

    pub(crate) fn add_feed(&mut self, feed: Feed) {
        self.circuit.feeds.push(feed);
    }

    /// Gives a node a second name.
    pub fn test_point(&mut self, name: impl Into<String>, node: NodeId) {
        let (name, place) = (name.into(), self.circuit.test_points.len());
        self.names().test_points.add(&name, place);
        self.circuit.test_points.push((name, node));
    }

    fn names(&mut self) -> &mut CircuitNames {
        Arc::make_mut(&mut self.circuit.names)
    }

    /// What has been collected so far.
    pub fn peek(&self) -> &Circuit {
        &self.circuit
    }

    /// The finished circuit.
    pub fn finish(self) -> Circuit {
        self.circuit
    }
}

#[cfg(test)]
#[path = "circuit_tests.rs"]
mod tests;
