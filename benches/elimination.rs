//! Dense against sparse elimination on matrices of circuits: where do they cross?
//!
//! A resistor network with four to five entries a row, factored and solved once, medians of
//! repeated runs in microseconds. The solver takes the dense way below `SPARSE_FROM` unknowns.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

use std::hint::black_box;
use std::time::Instant;

use nalgebra::{DMatrix, DVector};
use solver::{Elimination, SPARSE_FROM};

/// Runs of each measurement; the median is printed.
const RUNS: usize = 41;

fn main() {
    println!(
        "factor and solve once, microseconds, median of {RUNS} runs; sparse from {SPARSE_FROM}"
    );
    println!(
        "{:>6} {:>9} {:>9} {:>9} {:>14}",
        "nodes", "entries", "dense", "sparse", "dense/sparse"
    );
    for nodes in [10, 20, 40, 60, 80, 100, 150, 250, 400] {
        let (matrix, entries) = network(nodes);
        let right = DVector::from_fn(nodes, |row, _| if row == 0 { 1.0 } else { 0.0 });
        let timed = |way: fn(&DMatrix<f64>) -> Option<Elimination>| {
            median(|| {
                black_box(way(&matrix).and_then(|factors| factors.solve(&right)));
            })
        };
        let (dense, sparse) = (timed(Elimination::dense), timed(Elimination::sparse));
        println!(
            "{nodes:>6} {entries:>9} {dense:>9.1} {sparse:>9.1} {:>14.2}",
            dense / sparse
        );
    }
}

/// A connected network of resistors, every node with some leakage to the reference.
fn network(nodes: usize) -> (DMatrix<f64>, usize) {
    let mut matrix = DMatrix::zeros(nodes, nodes);
    let mut state = 99_u64;
    let mut random = |bound: usize| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((state >> 33) as usize) % bound
    };
    for node in 0..nodes {
        matrix[(node, node)] += 1e-7;
        for _ in 0..2 {
            let other = node.saturating_sub(1 + random(6));
            if other != node {
                let siemens = 1.0 / ((10 + random(90)) as f64 * 10f64.powi(1 + random(5) as i32));
                matrix[(node, node)] += siemens;
                matrix[(other, other)] += siemens;
                matrix[(node, other)] -= siemens;
                matrix[(other, node)] -= siemens;
            }
        }
    }
    let entries = matrix.iter().filter(|entry| **entry != 0.0).count();
    (matrix, entries)
}

fn median(mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..RUNS)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1e6
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[RUNS / 2]
}
