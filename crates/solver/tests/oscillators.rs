//! Triodes that oscillate, against a simulation in time (`vectors/oscillators.py`), and a heptode whose third
//! grid is at the cathode's volts against the pentode that it then is.

use circuit::{Characteristic, Conditions, GridCurrent, Heptode, OscillatorTriode, Triode, Wear};
use serde::Deserialize;
use solver::{evaluate, solve};

use crate::sketch::Sketch;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    perveance: f64,
    exponent: f64,
    mu: f64,
    softness: f64,
    contact: f64,
    emission: f64,
    swing: f64,
    leak_ohms: f64,
    supply_volts: f64,
    plate_ohms: f64,
    grid_volts: f64,
    plate_volts: f64,
}

fn cases() -> Vec<Case> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct File {
        case: Vec<Case>,
    }
    let file: File = toml::from_str(include_str!("vectors/oscillators.toml")).unwrap();
    file.case
}

#[test]
fn grid_and_plate_show_the_means_of_a_simulation_in_time() {
    for case in cases() {
        let triode = Triode {
            perveance: case.perveance,
            exponent: case.exponent,
            mu: case.mu,
            softness: case.softness,
            contact: case.contact,
            grid: GridCurrent::RECEIVING,
            wear: Wear {
                emission: case.emission,
                gas: 0.0,
            },
        };
        let law = Characteristic::Oscillator(OscillatorTriode {
            triode,
            swing: case.swing,
            fed_at: None,
        });
        let circuit = Sketch::new()
            .supply("PS1", case.supply_volts, "b", "gnd")
            .resistor("R1", case.plate_ohms, "b", "p")
            .resistor("R2", case.leak_ohms, "g", "gnd")
            .device("V1", law, &["p", "g", "gnd"])
            .done();
        let solution = solve(&circuit, &Conditions::default()).unwrap();
        for (node, want) in [("g", case.grid_volts), ("p", case.plate_volts)] {
            let node = circuit.node(node).unwrap();
            let got = solution.node_volts(node);
            // The capacitors of the simulation are finite: within a period the grid gives up a two hundredth
            // of its volts, of which the plate sees the same share as current.
            let enough = 5e-3 * f64::abs(want);
            assert!((got - want).abs() < enough, "{got} {want}");
        }
    }
}

/// Rounding of the onset of its third grid leaves `exp(−0.2 V·ln 2/14 V)`, a hundredth less plate current; the
/// screen takes that over.
#[test]
fn a_heptode_with_its_third_grid_at_the_cathode_is_a_pentode() {
    let Some(circuit::TubeUnit {
        characteristic: law @ Characteristic::Heptode(Heptode { pentode, .. }),
        ..
    }) = circuit::tube_type("ECH81").map(|tube| &tube.units[0])
    else {
        panic!("an ECH81 has a heptode");
    };
    let heptode = evaluate(law, &[250.0, 100.0, -2.0, 0.0, 0.0]).current;
    let alone = evaluate(
        &Characteristic::Pentode(*pentode),
        &[250.0, 100.0, -2.0, 0.0, 0.0],
    )
    .current;
    assert!((heptode[0] - alone[0]).abs() < 0.011 * alone[0]);
    let [space, of_pentode] = [heptode, alone].map(|current| current[0] + current[1]);
    assert!((space - of_pentode).abs() < 1e-12 * of_pentode);
}
