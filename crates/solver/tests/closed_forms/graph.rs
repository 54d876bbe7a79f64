//! Graphs of resistors, drawn and solved, and the grids of `vectors/graphs.toml`.

use circuit::{
    CircuitBuilder, Conditions, NodeId, Origin, Part, PartKind, Port, Resistor, Supply, SupplyKind,
};
use serde::Deserialize;
use solver::{solve, Solution};

/// Allowed miss as a share of the exact value: the accuracy promised to users.
pub const PROMISED: f64 = 1e-9;

/// Resistors between numbered nodes; node 0 is the reference.
pub struct Graph {
    nodes: usize,
    edges: Vec<(usize, usize, f64)>,
    sources: Vec<(usize, usize, f64)>,
}

/// A graph with its solution.
pub struct Solved(Solution);

impl Graph {
    pub fn new(nodes: usize) -> Self {
        Graph {
            nodes,
            edges: Vec::new(),
            sources: Vec::new(),
        }
    }

    pub fn edge(&mut self, a: usize, b: usize, ohms: f64) {
        self.edges.push((a, b, ohms));
    }

    pub fn source(&mut self, plus: usize, minus: usize, volts: f64) {
        self.sources.push((plus, minus, volts));
    }

    pub fn edges(&self) -> &[(usize, usize, f64)] {
        &self.edges
    }

    pub fn solved(&self) -> Solved {
        let mut builder = CircuitBuilder::new();
        let nodes: Vec<NodeId> = (0..self.nodes)
            .map(|index| builder.node(&format!("n{index}")))
            .collect();
        builder.reference(nodes[0]);
        let mut part = |designator, kind, a: usize, b: usize| {
            builder.part(Part {
                designator,
                kind,
                nodes: vec![nodes[a], nodes[b]],
                origin: Origin::default(),
            });
        };
        for (index, (a, b, ohms)) in self.edges.iter().enumerate() {
            let resistor = Resistor {
                ohms: *ohms,
                tolerance: None,
            };
            part(format!("R{index}"), PartKind::Resistor(resistor), *a, *b);
        }
        for (index, (plus, minus, volts)) in self.sources.iter().enumerate() {
            let supply = Supply {
                kind: SupplyKind::Supply,
                volts: *volts,
                tolerance: None,
                source: 0.0,
                follows_line: false,
                off: None,
            };
            part(
                format!("PS{index}"),
                PartKind::Supply(supply),
                *plus,
                *minus,
            );
        }
        Solved(solve(&builder.finish(), &Conditions::default()).unwrap())
    }
}

impl Solved {
    pub fn volts(&self, node: usize) -> f64 {
        self.0.node_volts(NodeId(node))
    }

    /// The resistance between two nodes must be this one.
    pub fn expect(&self, a: usize, b: usize, want: f64, what: &str) {
        let port = Port {
            plus: NodeId(a),
            minus: NodeId(b),
        };
        let got = self.0.port(port).ohms;
        assert!(
            (got - want).abs() <= PROMISED * want,
            "{what}, {a} to {b}: got {got}, want {want}"
        );
    }
}

/// A grid and resistances between its nodes, as the graph library gives them.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Grid {
    pub name: String,
    edges: Vec<(usize, usize, f64)>,
    pub ports: Vec<(usize, usize, f64)>,
}

pub fn grids() -> Vec<Grid> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct File {
        grid: Vec<Grid>,
    }
    let text = include_str!("../vectors/graphs.toml");
    let file: File = toml::from_str(text).unwrap_or_else(|fault| panic!("{fault}"));
    file.grid
}

impl Grid {
    pub fn graph(&self) -> Graph {
        let ends = self.edges.iter().map(|(a, b, _)| 1 + *a.max(b));
        let mut graph = Graph::new(ends.max().unwrap_or(0));
        for (a, b, ohms) in &self.edges {
            graph.edge(*a, *b, *ohms);
        }
        graph
    }
}
