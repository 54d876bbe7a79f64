//! Resistor networks whose answer is known in closed form.
//!
//! Sources, all from memory unless said otherwise: the ladder and the cube are examples of many
//! physics courses; the ladder's fractions are quotients of Fibonacci numbers. The average over
//! edges is R. M. Foster, "The average impedance of an electrical network", Contributions to
//! Applied Mechanics (Reissner Anniversary Volume), 1949, pp. 333-340: the resistances across all
//! edges, each over its own, add up to one less than the nodes. Where all edges are alike under
//! the graph's symmetries, that settles each of them. The sum over wave numbers is the Laplacian's
//! spectrum on a torus. Grids stand against a general-purpose graph library, see
//! `vectors/graphs.py`.

mod graph;

use graph::{Graph, PROMISED};

/// Nodes along each side of the large torus. 100 is what is wanted, 10,000 nodes.
const LARGE_TORUS: usize = 40;

fn fibonacci(n: usize) -> f64 {
    // Whole numbers below 2⁵³ for n ≤ 78: exact.
    let (mut a, mut b) = (0.0, 1.0);
    for _ in 0..n {
        (a, b) = (b, a + b);
    }
    a
}

/// One ohm in series, one across, `steps` times; node 1 is the input.
fn ladder(steps: usize) -> Graph {
    let mut graph = Graph::new(steps + 2);
    for step in 1..=steps {
        graph.edge(step, step + 1, 1.0);
        graph.edge(step + 1, 0, 1.0);
    }
    graph
}

#[test]
fn a_ladder_nears_the_golden_ratio() {
    let golden = (1.0 + 5.0_f64.sqrt()) / 2.0;
    for steps in 1..=38 {
        let solved = ladder(steps).solved();
        let want = fibonacci(2 * steps + 1) / fibonacci(2 * steps);
        solved.expect(1, 0, want, &format!("{steps} steps"));
        // F(2n+1)/F(2n) − φ = √5 φ⁻⁴ⁿ/(1 − φ⁻⁴ⁿ), by Binet.
        let left = golden.powi(-4 * steps as i32);
        let above = 5.0_f64.sqrt() * left / (1.0 - left);
        solved.expect(1, 0, golden + above, &format!("{steps} steps, by Binet"));
    }
}

#[test]
fn a_ladder_divides_by_every_other_fibonacci_number() {
    let steps = 38;
    let mut graph = ladder(steps);
    graph.source(1, 0, 144.0);
    let solved = graph.solved();
    for step in 1..=steps {
        let want = 144.0 * fibonacci(2 * (steps - step) + 1) / fibonacci(2 * steps + 1);
        let got = solved.volts(step + 1);
        assert!(
            (got - want).abs() <= PROMISED * want,
            "{step}: {got} {want}"
        );
    }
}

/// Nodes by their bits: neighbours differ in one.
fn cube(dimensions: usize, ohms: f64) -> Graph {
    let nodes = 1 << dimensions;
    let mut graph = Graph::new(nodes);
    for node in 0..nodes {
        for bit in 0..dimensions {
            let other = node ^ (1 << bit);
            if node < other {
                graph.edge(node, other, ohms);
            }
        }
    }
    graph
}

#[test]
fn a_cube_has_three_resistances() {
    let solved = cube(3, 1e3).solved();
    for a in 0..8_usize {
        for b in 0..8 {
            let want = match (a ^ b).count_ones() {
                0 => continue,
                1 => 7.0 / 12.0,
                2 => 3.0 / 4.0,
                _ => 5.0 / 6.0,
            };
            solved.expect(a, b, want * 1e3, "cube");
        }
    }
}

#[test]
fn cubes_of_more_dimensions_obey_foster() {
    for dimensions in 2..=8 {
        let nodes = (1 << dimensions) as f64;
        let want = (nodes - 1.0) / (nodes * dimensions as f64 / 2.0);
        let solved = cube(dimensions, 1.0).solved();
        for bit in 0..dimensions {
            solved.expect(1, 1 ^ (1 << bit), want, &format!("{dimensions} dimensions"));
        }
    }
}

#[test]
fn a_complete_graph_has_two_nths_of_a_resistor() {
    for nodes in 2..=24 {
        let mut graph = Graph::new(nodes);
        for a in 0..nodes {
            for b in 0..a {
                graph.edge(a, b, 470.0);
            }
        }
        let solved = graph.solved();
        for a in 0..nodes {
            for b in 0..a {
                solved.expect(a, b, 2.0 * 470.0 / nodes as f64, &format!("K{nodes}"));
            }
        }
    }
}

#[test]
fn a_ring_is_two_arcs_in_parallel() {
    let nodes = 97;
    let mut graph = Graph::new(nodes);
    for node in 0..nodes {
        graph.edge(node, (node + 1) % nodes, 1.0);
    }
    let solved = graph.solved();
    for apart in 1..nodes {
        let want = (apart * (nodes - apart)) as f64 / nodes as f64;
        solved.expect(5, (5 + apart) % nodes, want, "ring");
    }
}

fn torus(side: usize, ohms: f64) -> Graph {
    let mut graph = Graph::new(side * side);
    for y in 0..side {
        for x in 0..side {
            let here = y * side + x;
            graph.edge(here, y * side + (x + 1) % side, ohms);
            graph.edge(here, (y + 1) % side * side + x, ohms);
        }
    }
    graph
}

/// Across an edge: (N² − 1) spread evenly over 2N² edges.
fn torus_edge(side: usize) -> f64 {
    (1.0 - 1.0 / (side * side) as f64) / 2.0
}

/// Between nodes `dx` and `dy` apart: the mean over all wave numbers but none of
/// (2 − 2 cos(p·dx + q·dy)) over the Laplacian's eigenvalue 4 − 2 cos p − 2 cos q.
fn torus_apart(side: usize, dx: usize, dy: usize) -> f64 {
    let turn = |k: usize| std::f64::consts::TAU * (k % side) as f64 / side as f64;
    // 1 − cos θ, without the cancellation.
    let fall = |k: usize| 2.0 * (turn(k) / 2.0).sin().powi(2);
    let mut sum = 0.0;
    for p in 0..side {
        for q in 0..side {
            if p + q > 0 {
                sum += fall(p * dx + q * dy) / (fall(p) + fall(q));
            }
        }
    }
    sum / (side * side) as f64
}

#[test]
fn a_small_torus_obeys_foster_on_every_edge() {
    for side in 3..=9 {
        let solved = torus(side, 1.0).solved();
        for (a, b, _) in torus(side, 1.0).edges() {
            solved.expect(*a, *b, torus_edge(side), &format!("torus of {side}"));
        }
    }
}

#[test]
fn a_small_torus_has_the_resistances_of_its_spectrum() {
    let side = 7;
    let solved = torus(side, 1.0).solved();
    for dx in 0..side {
        for dy in 0..side {
            if dx + dy > 0 {
                let want = torus_apart(side, dx, dy);
                let to = (2 + dy) % side * side + (3 + dx) % side;
                solved.expect(2 * side + 3, to, want, &format!("{dx}, {dy} apart"));
            }
        }
    }
}

#[test]
fn a_large_torus_obeys_foster_and_its_spectrum() {
    let side = LARGE_TORUS;
    let solved = torus(side, 1.0).solved();
    let corner = side * side - 1;
    for (a, b) in [(0, 1), (0, side), (corner, corner - 1), (corner, side - 1)] {
        solved.expect(a, b, torus_edge(side), "an edge of the large torus");
    }
    let middle = side / 2 * side + side / 2;
    let want = torus_apart(side, side / 2, side / 2);
    solved.expect(0, middle, want, "across the large torus");
}

#[test]
fn grids_meet_a_graph_library() {
    for grid in graph::grids() {
        let solved = grid.graph().solved();
        for (a, b, ohms) in &grid.ports {
            solved.expect(*a, *b, *ohms, &grid.name);
        }
    }
}
