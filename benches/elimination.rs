//! The solver's elimination of nodes against a general sparse direct solver on the same networks.
//!
//! A resistor network with four to five entries a row: solved, and ten points looked at. The
//! reference factors the same matrix with a minimum-degree ordering and row exchanges and
//! substitutes for ten right sides. Medians of repeated runs in milliseconds.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

#[expect(dead_code, reason = "a network needs no texts read")]
mod bench_job;

use std::collections::BTreeMap;
use std::hint::black_box;

use bench_job::median;
use circuit::{
    Circuit, CircuitBuilder, Conditions, NodeId, Origin, Part, PartKind, Port, Resistor, Supply,
    SupplyKind,
};
use rsparse::data::Sprs;
use solver::solve;

/// Runs of each measurement; the median is printed.
const RUNS: usize = 9;

/// Points looked at.
const POINTS: usize = 10;

/// Minimum degree on the pattern of `A + Aᵀ`.
const ORDERING: i8 = 0;

/// Rows are exchanged for an entry this many times larger.
const PIVOT_SHARE: f64 = 0.1;

fn main() {
    println!("one solution and {POINTS} points, milliseconds, median of {RUNS} runs");
    println!(
        "{:>6} {:>9} {:>9} {:>10} {:>16}",
        "nodes", "resistors", "solver", "reference", "solver/reference"
    );
    for nodes in [100, 400, 1000, 2000, 5000, 10_000] {
        let resistors = network(nodes);
        let circuit = circuit(nodes, &resistors);
        let own = median(RUNS, || {
            black_box(solved(&circuit));
        });
        let matrix = matrix(nodes, &resistors);
        let reference = median(RUNS, || {
            black_box(reference(&matrix));
        });
        println!(
            "{nodes:>6} {:>9} {own:>9.3} {reference:>10.3} {:>16.2}",
            resistors.len(),
            own / reference
        );
    }
}

/// Ends and siemens of every resistor; node 0 is the reference.
type Resistors = Vec<(usize, usize, f64)>;

/// Every node hangs on two near ones, as stages on a rail do, and some on the reference.
fn network(nodes: usize) -> Resistors {
    let mut state = 99_u64;
    let mut random = |bound: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) as usize) % bound
    };
    let mut resistors = Vec::new();
    for node in 1..nodes {
        for link in 0..3 {
            let other = match link {
                2 if random(4) > 0 => continue,
                2 => 0,
                _ => node.saturating_sub(1 + random(6)),
            };
            let ohms = (10 + random(90)) as f64 * 10f64.powi(1 + random(5) as i32);
            resistors.push((node, other, 1.0 / ohms));
        }
    }
    resistors
}

fn circuit(nodes: usize, resistors: &Resistors) -> Circuit {
    let mut builder = CircuitBuilder::new();
    let all: Vec<NodeId> = (0..nodes)
        .map(|node| builder.node(&format!("n{node}")))
        .collect();
    builder.reference(all[0]);
    let mut add = |kind: PartKind, a: usize, b: usize| {
        builder.part(Part {
            designator: "X".into(),
            kind,
            nodes: vec![all[a], all[b]],
            origin: Origin::default(),
        });
    };
    let supply = Supply {
        kind: SupplyKind::Supply,
        volts: 250.0,
        tolerance: None,
        source: 100.0,
        follows_line: true,
        off: None,
    };
    add(PartKind::Supply(supply), 1, 0);
    for (a, b, siemens) in resistors {
        let resistor = Resistor {
            ohms: 1.0 / siemens,
            tolerance: None,
        };
        add(PartKind::Resistor(resistor), *a, *b);
    }
    builder.finish()
}

fn solved(circuit: &Circuit) -> f64 {
    let Ok(solution) = solve(circuit, &Conditions::default()) else {
        panic!("the network has no solution");
    };
    let step = circuit.nodes().len() / (POINTS + 1);
    let ports = (1..=POINTS).map(|k| Port {
        plus: NodeId(k * step),
        minus: NodeId(0),
    });
    ports.map(|port| solution.port(port).ohms).sum()
}

fn matrix(nodes: usize, resistors: &Resistors) -> Sprs<f64> {
    let mut columns = vec![BTreeMap::new(); nodes - 1];
    columns[0].insert(0, 1.0 / 100.0);
    for (a, b, siemens) in resistors {
        for (row, column, sign) in [(a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)] {
            if *row > 0 && *column > 0 {
                *columns[column - 1].entry(row - 1).or_insert(0.0) += sign * siemens;
            }
        }
    }
    let mut sparse = Sprs {
        nzmax: 0,
        m: nodes - 1,
        n: nodes - 1,
        p: vec![0],
        i: Vec::new(),
        x: Vec::new(),
    };
    for column in columns {
        for (row, value) in column {
            sparse.i.push(row);
            sparse.x.push(value);
        }
        sparse.p.push(sparse.i.len() as isize);
    }
    sparse.nzmax = sparse.i.len();
    sparse
}

fn reference(matrix: &Sprs<f64>) -> f64 {
    let mut symbolic = rsparse::sqr(matrix, ORDERING, false);
    let Ok(numeric) = rsparse::lu(matrix, &mut symbolic, PIVOT_SHARE) else {
        panic!("the reference does not factor");
    };
    let mut sum = 0.0;
    for point in 0..POINTS {
        let mut x = vec![0.0; matrix.n];
        x[point * matrix.n / POINTS] = 1.0;
        rsparse::lsolve(&numeric.l, &mut x);
        rsparse::usolve(&numeric.u, &mut x);
        sum += x[0];
    }
    sum
}
