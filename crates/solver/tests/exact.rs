//! Node voltages and port resistances against exact rational arithmetic.
//!
//! Independently derived: the reference eliminates in big rationals (crates num-rational and
//! num-bigint), on a plain node formulation of its own, and shares no code with the solver.
//! Networks are random, seeded, connected, with whole-ohm values spread evenly over six decades.

use circuit::{
    Circuit, CircuitBuilder, Conditions, NodeId, Origin, Part, PartKind, Port, Resistor, Supply,
    SupplyKind,
};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Signed, ToPrimitive, Zero};
use solver::{solve, Load};

/// Allowed miss as a share of the exact value: the accuracy promised to users.
const PROMISED: f64 = 1e-9;

/// A small linear congruential generator (multiplier and increment of D. Knuth's MMIX), so that
/// the networks never change with a library's version.
struct Seeded(u64);

impl Seeded {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % bound
    }

    /// 10 Ω to 10 MΩ, two significant digits.
    fn ohms(&mut self) -> u64 {
        (10 + self.below(90) as u64) * 10u64.pow(self.below(6) as u32)
    }
}

struct Network {
    nodes: usize,
    volts: i64,
    resistors: Vec<(usize, usize, u64)>,
}

/// Node 0 is the reference, node 1 carries the source, a chain joins all, links are added.
fn network(seed: u64, nodes: usize) -> Network {
    let mut random = Seeded(seed);
    let mut resistors = Vec::new();
    for node in 1..nodes {
        resistors.push((node, random.below(node), random.ohms()));
    }
    for _ in 0..nodes {
        let (a, b) = (random.below(nodes), random.below(nodes));
        if a != b {
            resistors.push((a, b, random.ohms()));
        }
    }
    Network {
        nodes,
        volts: 50 + random.below(200) as i64,
        resistors,
    }
}

fn circuit(network: &Network) -> Circuit {
    let mut builder = CircuitBuilder::new();
    let nodes: Vec<NodeId> = (0..network.nodes)
        .map(|index| builder.node(&format!("n{index}")))
        .collect();
    builder.reference(nodes[0]);
    let mut add = |designator: String, kind, a: usize, b: usize| {
        builder.part(Part {
            designator,
            kind,
            nodes: vec![nodes[a], nodes[b]],
            origin: Origin::default(),
        });
    };
    let supply = Supply {
        kind: SupplyKind::Supply,
        volts: network.volts as f64,
        tolerance: None,
        source: 0.0,
        follows_line: false,
        off: None,
    };
    add("PS1".into(), PartKind::Supply(supply), 1, 0);
    for (index, (a, b, ohms)) in network.resistors.iter().enumerate() {
        let resistor = Resistor {
            ohms: *ohms as f64,
            tolerance: None,
        };
        add(format!("R{index}"), PartKind::Resistor(resistor), *a, *b);
    }
    builder.finish()
}

fn rational(value: i64) -> BigRational {
    BigRational::from_integer(BigInt::from(value))
}

/// Solves `G v = i` for every right side by elimination in exact fractions.
fn eliminate(mut rows: Vec<Vec<BigRational>>, unknowns: usize) -> Vec<Vec<BigRational>> {
    for pivot in 0..unknowns {
        let found = (pivot..unknowns)
            .find(|row| !rows[*row][pivot].is_zero())
            .expect("a connected network is not singular");
        rows.swap(pivot, found);
        let inverse = BigRational::one() / rows[pivot][pivot].clone();
        for cell in &mut rows[pivot] {
            *cell *= &inverse;
        }
        let pivot_row = rows[pivot].clone();
        for (index, row) in rows.iter_mut().enumerate() {
            if index != pivot && !row[pivot].is_zero() {
                let factor = row[pivot].clone();
                for (cell, above) in row.iter_mut().zip(&pivot_row) {
                    *cell -= &factor * above;
                }
            }
        }
    }
    rows.into_iter()
        .map(|row| row[unknowns..].to_vec())
        .collect()
}

/// Exact node voltages, and exact resistances from each node to the reference. Nodes 0 and 1 are
/// held by the source, so the unknowns are the others.
fn exact(network: &Network) -> (Vec<BigRational>, Vec<BigRational>) {
    let unknowns = network.nodes - 2;
    let mut rows = vec![vec![BigRational::zero(); 2 * unknowns + 1]; unknowns];
    for (index, row) in rows.iter_mut().enumerate() {
        row[unknowns + 1 + index] = BigRational::one();
    }
    for (a, b, ohms) in &network.resistors {
        let siemens = BigRational::new(BigInt::one(), BigInt::from(*ohms));
        for (here, there) in [(*a, *b), (*b, *a)] {
            if here < 2 {
                continue;
            }
            rows[here - 2][here - 2] += &siemens;
            match there {
                0 => {}
                1 => rows[here - 2][unknowns] += &siemens * rational(network.volts),
                _ => rows[here - 2][there - 2] -= &siemens,
            }
        }
    }
    let solved = eliminate(rows, unknowns);
    let mut volts = vec![BigRational::zero(), rational(network.volts)];
    let mut ohms = vec![BigRational::zero(), BigRational::zero()];
    for (index, row) in solved.iter().enumerate() {
        volts.push(row[0].clone());
        ohms.push(row[1 + index].clone());
    }
    (volts, ohms)
}

fn assert_close(got: f64, want: &BigRational, what: &str) {
    let got_exactly = BigRational::from_float(got).expect("a finite result");
    let miss = (got_exactly - want).abs().to_f64().unwrap();
    let allowed = PROMISED * want.abs().to_f64().unwrap();
    assert!(
        miss <= allowed,
        "{what}: got {got}, want {:?}, miss {miss:e}, allowed {allowed:e}",
        want.to_f64()
    );
}

#[test]
fn voltages_and_resistances_meet_exact_fractions() {
    for seed in 0..32 {
        let network = network(seed, 4 + (seed as usize % 8) * 2);
        let (volts, ohms) = exact(&network);
        let circuit = circuit(&network);
        let solution = solve(&circuit, &Conditions::default()).unwrap();
        for node in 0..network.nodes {
            let what = format!("seed {seed} node {node}");
            let port = Port {
                plus: NodeId(node),
                minus: NodeId(0),
            };
            assert_close(solution.port_volts(port), &volts[node], &what);
            let seen = solution.port(port);
            // Rounding leaves up to 1e-12 Ω where the exact resistance is 0.
            if ohms[node].is_zero() {
                assert!(seen.ohms <= 1e-9, "{what}: {} ohms", seen.ohms);
            } else {
                assert_close(seen.ohms, &ohms[node], &what);
            }
        }
    }
}

#[test]
fn a_meter_by_rank_one_equals_a_resistor_drawn() {
    // The meter as one more resistor in exact fractions, against the update on the factors.
    for seed in 100..140 {
        let mut network = network(seed, 12);
        let circuit = circuit(&network);
        let solution = solve(&circuit, &Conditions::default()).unwrap();
        let node = 2 + (seed as usize % 10);
        let meter = 250_000;
        let port = Port {
            plus: NodeId(node),
            minus: NodeId(0),
        };
        let load = Load {
            siemens: 1.0 / meter as f64,
            amperes: 0.0,
        };
        let loaded = solution.port(port).volts(load);
        network.resistors.push((node, 0, meter));
        let (volts, _) = exact(&network);
        assert_close(loaded, &volts[node], &format!("seed {seed} node {node}"));
    }
}

#[test]
fn scaling_every_source_scales_every_voltage() {
    let network = network(7, 30);
    let doubled = Network {
        volts: network.volts * 2,
        nodes: network.nodes,
        resistors: network.resistors.clone(),
    };
    let one = solve(&circuit(&network), &Conditions::default()).unwrap();
    let two = solve(&circuit(&doubled), &Conditions::default()).unwrap();
    for node in 0..network.nodes {
        let (a, b) = (one.node_volts(NodeId(node)), two.node_volts(NodeId(node)));
        // Doubling is exact in binary, so only the order of rounding can differ.
        assert!((b - 2.0 * a).abs() <= 1e-12 * b.abs(), "{a} {b}");
    }
}

#[test]
fn a_long_ladder_halves_at_every_step() {
    // Series R, shunt 2R, twice 2R at the end: every node sees R behind it, so each step halves
    // the voltage exactly, and the last voltage
    // is 2⁻¹¹⁹ of the first.
    let nodes = 120;
    let mut resistors = Vec::new();
    for node in 1..nodes {
        if node > 1 {
            resistors.push((node - 1, node, 10_000));
            resistors.push((node, 0, 20_000));
        }
    }
    resistors.push((nodes - 1, 0, 20_000));
    let ladder = Network {
        nodes,
        volts: 128,
        resistors,
    };
    let solution = solve(&circuit(&ladder), &Conditions::default()).unwrap();
    for node in 1..nodes {
        let want = 128.0 * 0.5_f64.powi(node as i32 - 1);
        let got = solution.node_volts(NodeId(node));
        assert!(
            (got - want).abs() <= PROMISED * want,
            "{node}: {got} {want}"
        );
    }
    // Seen from any node but the first: R behind it, and R before it where the ladder looks back
    // into itself; at the first the source holds.
    let last = Port {
        plus: NodeId(nodes - 1),
        minus: NodeId(0),
    };
    // Looking back from the end the ladder is R-2R with its source dead: 2R ∥ 2R ∥ (R + …) with
    // r = R + 2R∥r repeated 118 times from r = R, by that recursion.
    let mut behind = 10_000.0;
    for _ in 2..nodes - 1 {
        behind = 10_000.0 + 1.0 / (1.0 / 20_000.0 + 1.0 / behind);
    }
    let want = 1.0 / (2.0 / 20_000.0 + 1.0 / behind);
    let got = solution.port(last).ohms;
    assert!((got - want).abs() <= PROMISED * want, "{got} {want}");
}
