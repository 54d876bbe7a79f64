//! Two thousand random stages: each has to find its operating point from zero volts.
//!
//! Independently derived: whatever the answer, Kirchhoff's current law must hold at every node,
//! and that is checked here from the element laws, not from the solver's own residual.

use crate::sketch::{beam_power, high_mu, Sketch};
use circuit::{Circuit, Conditions};
use solver::{solve, Path, Solution};

struct Seeded(u64);

impl Seeded {
    /// Evenly from 0 to 1.
    fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn volts(&mut self) -> f64 {
        -50.0 + 500.0 * self.share()
    }

    /// 1 Ω to 20 MΩ, evenly on a logarithmic scale.
    fn ohms(&mut self) -> f64 {
        20e6_f64.powf(self.share())
    }
}

/// Every electrode behind a random resistance on a random voltage.
fn stage(seed: u64) -> Circuit {
    let mut random = Seeded(seed);
    let pentode = random.share() < 0.5;
    let (characteristic, electrodes): (_, &[&str]) = if pentode {
        (beam_power(), &["plate", "screen", "grid", "cathode"])
    } else {
        (high_mu(), &["plate", "grid", "cathode"])
    };
    let mut sketch = Sketch::new();
    for electrode in electrodes {
        let rail = format!("{electrode}-rail");
        sketch = sketch
            .supply(&format!("PS-{electrode}"), random.volts(), &rail, "gnd")
            .resistor(&format!("R-{electrode}"), random.ohms(), &rail, electrode);
    }
    sketch.device("V1", characteristic, electrodes).done()
}

/// The most by which resistor and tube terminal disagree at any node, over what is allowed: 1e-9
/// of the stage's largest current, and what rounding leaves of node volts that are found together
/// with others of up to 450 V.
fn imbalance(circuit: &Circuit, solution: &Solution) -> f64 {
    let volts = |name: &str| solution.node_volts(circuit.node(name).unwrap());
    let device = circuit.part_named("V1").unwrap();
    let into = &solution.device_amperes(device)[0];
    let largest = into
        .iter()
        .fold(0.0, |most: f64, amperes| most.max(amperes.abs()));
    let names = circuit.part(device).kind.terminals();
    let mut worst: f64 = 0.0;
    for (name, amperes) in names.iter().zip(into) {
        let resistor = circuit.part_named(&format!("R-{name}")).unwrap();
        let circuit::PartKind::Resistor(resistor) = &circuit.part(resistor).kind else {
            panic!("not a resistor");
        };
        let rail = volts(&format!("{name}-rail"));
        let through = (rail - volts(name)) / resistor.ohms;
        let rounding = 8.0 * f64::EPSILON * 450.0 / resistor.ohms;
        worst = worst.max((through - amperes).abs() / (1e-9 * largest + rounding));
    }
    worst
}

#[test]
fn every_stage_finds_its_point_from_zero() {
    let mut steps = Vec::new();
    let mut detours = 0;
    for seed in 0..2000 {
        let circuit = stage(seed);
        let solution = solve(&circuit, &Conditions::default())
            .unwrap_or_else(|error| panic!("seed {seed}: {error}"));
        let imbalance = imbalance(&circuit, &solution);
        assert!(
            imbalance <= 1.0,
            "seed {seed}: {imbalance:e} of what is allowed"
        );
        steps.push(solution.convergence().steps);
        detours += usize::from(solution.convergence().path != Path::Direct);
    }
    steps.sort_unstable();
    let (median, most) = (steps[1000], steps[1999]);
    println!("steps: median {median}, most {most}; by detour {detours}");
    // Seven steps are usual; a stage that is cut off everywhere needs more, tail by tail.
    assert!(median <= 10 && most <= 150, "median {median}, most {most}");
    assert_eq!(detours, 0);
}
