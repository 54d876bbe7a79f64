//! Diodes and transistors off ground, between resistors many decades apart, against points that
//! an independent program settled at 50 digits: see `vectors/far_apart.py`.

use crate::twelve_decades::tally::Tally;
use crate::vectors::{Component, Vector};
use circuit::Conditions;
use serde::Deserialize;
use solver::{solve, SolveError};

/// Share of the sources' volts: the accuracy promised to users.
const PROMISED: f64 = 1e-9;

fn far_apart() -> Vec<Vector> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct File {
        circuit: Vec<Vector>,
    }
    let text = include_str!("vectors/far_apart.toml");
    let file: File = toml::from_str(text).unwrap_or_else(|fault| panic!("{fault}"));
    file.circuit
}

fn all_volts(vector: &Vector) -> f64 {
    let volts = vector.parts.iter().map(|part| match part {
        Component::Supply { volts, .. } => volts.abs(),
        _ => 0.0,
    });
    volts.sum()
}

/// The stray conductance of 1 pS that ties a supply which only devices join to its reference moves
/// it by this share: the devices leak some 10 µS backward there.
const STRAY_SHARE: f64 = 1e-8;

fn survey(wanted: impl Fn(&str) -> bool, at_least: usize, share: f64) {
    let mut tally = Tally::default();
    let mut burnt = 0;
    for vector in far_apart().iter().filter(|vector| wanted(&vector.name)) {
        let circuit = vector.circuit();
        match solve(&circuit, &Conditions::default()) {
            // The independent program follows the laws to any current.
            Err(SolveError::Unlimited { amperes, .. }) => {
                assert!(amperes > 1e3, "{}: {amperes:e} A", vector.name);
                burnt += 1;
            }
            Err(error) => tally.refused("refused", &vector.name, &error),
            Ok(solution) => {
                for want in &vector.volts {
                    let got = solution.node_volts(circuit.node(&want.node).unwrap());
                    let what = format!("{} {}", vector.name, want.node);
                    let allowed = share * all_volts(vector);
                    tally.compare("node volts", &what, (got, want.volts), allowed);
                }
            }
        }
    }
    assert!(burnt <= 4, "{burnt} refused for what they would carry");
    tally.none_of(at_least);
}

#[test]
fn a_diode_off_ground() {
    survey(|name| name.contains("off ground"), 36, PROMISED);
}

/// Nothing but diodes joins the supply to the load and to ground, so that what leaks backward
/// through them says where it floats.
#[test]
fn a_bridge_on_a_supply_of_its_own() {
    survey(|name| name.contains("bridge"), 24, STRAY_SHARE);
}

#[test]
fn diodes_among_resistors() {
    survey(|name| name.starts_with("diodes"), 80, PROMISED);
}

#[test]
fn transistors_among_resistors() {
    survey(|name| name.starts_with("transistors"), 80, PROMISED);
}
