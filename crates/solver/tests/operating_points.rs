//! Operating points of whole circuits against an independent program.
//!
//! Independently derived: `vectors/operating_points.py` writes the published device equations
//! afresh, sets up a plain nodal analysis without derivatives and settles it at 50 digits; its
//! answers are in `vectors/operating_points.toml`, to 13 digits. Beside them stand two laws that
//! every circuit must keep, whatever the answer.

use std::collections::HashMap;

use crate::vectors::{vectors, Vector};
use circuit::{Circuit, Conditions, PartKind, Port};
use solver::{elements, solve, ElementKind, Load, Metered, Solution, SolveError};

/// Newton's method ends with a step below 1e-11 of the largest node volts, and is quadratic by
/// then; what is left is rounding. A wrong term of a law moves a point by far more.
const SHARE: f64 = 1e-8;

/// Rounding of a node's balance next to nodes of 300 V, through stages that amplify it: volts.
const VOLTS_FLOOR: f64 = 1e-9;

/// A current is a difference of terms up to the largest of its unit, whose volts are right to the
/// floor above: its share of that largest.
const AMPERES_SHARE_OF_LARGEST: f64 = 1e-10;

/// Femtoamperes: what an element lets through at the floor of its volts, where all is cut off.
const AMPERES_FLOOR: f64 = 1e-15;

fn solved(vector: &Vector, circuit: &Circuit) -> Solution {
    solve(circuit, &Conditions::default())
        .unwrap_or_else(|error| panic!("{} ({}): {error}", vector.name, vector.about))
}

fn port(circuit: &Circuit, plus: &str, minus: &str) -> Port {
    Port {
        plus: circuit.node(plus).unwrap(),
        minus: circuit.node(minus).unwrap(),
    }
}

/// What misses by more than is allowed, as lines.
#[derive(Default)]
struct Misses {
    checked: usize,
    lines: Vec<String>,
}

impl Misses {
    fn compare(&mut self, what: &str, (got, want): (f64, f64), allowed: f64) {
        self.checked += 1;
        let miss = (got - want).abs();
        // Not a number must not pass.
        if !matches!(miss.partial_cmp(&allowed), Some(order) if order.is_le()) {
            self.lines.push(format!(
                "{what}: want {want:e}, got {got:e}, miss {miss:e}, allowed {allowed:e}"
            ));
        }
    }

    /// The state, or a line that says why there is none.
    fn found(&mut self, what: &str, state: Result<Metered, SolveError>) -> Option<Metered> {
        state
            .map_err(|error| self.lines.push(format!("{what}: {error}")))
            .ok()
    }

    fn none_of(self, at_least: usize) {
        assert!(self.lines.is_empty(), "{}", self.lines.join("\n"));
        assert!(self.checked >= at_least, "only {} figures", self.checked);
    }
}

#[test]
fn node_volts_meet() {
    let mut misses = Misses::default();
    for vector in vectors() {
        let circuit = vector.circuit();
        let solution = solved(&vector, &circuit);
        for want in &vector.volts {
            let got = solution.node_volts(circuit.node(&want.node).unwrap());
            let allowed = SHARE * want.volts.abs() + VOLTS_FLOOR;
            let what = format!("{}, {}", vector.name, want.node);
            misses.compare(&what, (got, want.volts), allowed);
        }
    }
    misses.none_of(150);
}

#[test]
fn device_currents_meet() {
    let mut misses = Misses::default();
    for vector in vectors() {
        let circuit = vector.circuit();
        let solution = solved(&vector, &circuit);
        for want in &vector.amperes {
            let got = solution.device_amperes(circuit.part_named(&want.device).unwrap());
            assert_eq!(got.len(), want.units.len(), "{}", vector.name);
            for (got, into) in got.iter().zip(&want.units) {
                assert_eq!(got.len(), into.len(), "{} {}", vector.name, want.device);
                let largest = into.iter().fold(0.0, |most: f64, i| most.max(i.abs()));
                for (terminal, (got, into)) in got.iter().zip(into).enumerate() {
                    let allowed =
                        SHARE * into.abs() + AMPERES_SHARE_OF_LARGEST * largest + AMPERES_FLOOR;
                    let what = format!("{}, {} {terminal}", vector.name, want.device);
                    misses.compare(&what, (*got, *into), allowed);
                }
            }
        }
    }
    misses.none_of(120);
}

#[test]
fn metered_volts_meet() {
    let mut misses = Misses::default();
    for vector in vectors() {
        let circuit = vector.circuit();
        let solution = solved(&vector, &circuit);
        for want in &vector.metered {
            let port = port(&circuit, &want.node, &want.to);
            let load = Load {
                siemens: 1.0 / want.ohms,
                amperes: 0.0,
            };
            let what = format!("{}, meter on {} and {}", vector.name, want.node, want.to);
            let Some(metered) = misses.found(&what, solution.metered(port, load, None)) else {
                continue;
            };
            let allowed = SHARE * want.volts.abs() + VOLTS_FLOOR;
            misses.compare(&what, (metered.volts, want.volts), allowed);
            // The meter must be felt, or this is the test of the node volts over again.
            let open = solution.port_volts(port);
            assert!((open - want.volts).abs() > 10.0 * allowed, "{what}");
        }
    }
    misses.none_of(25);
}

#[test]
fn held_currents_meet() {
    let mut misses = Misses::default();
    for vector in vectors() {
        let circuit = vector.circuit();
        let solution = solved(&vector, &circuit);
        for want in &vector.held {
            let port = port(&circuit, &want.node, "gnd");
            let what = format!("{}, {} held", vector.name, want.node);
            let held = solution.anchored(port, 1.0 / want.ohms, want.volts, None);
            let Some(held) = misses.found(&what, held) else {
                continue;
            };
            // The current that moves the reading by what is allowed to the volts.
            let allowed = SHARE * want.amperes.abs()
                + (SHARE * want.volts.abs() + VOLTS_FLOOR) / held.ohms.abs();
            misses.compare(&what, (held.load.amperes, want.amperes), allowed);
        }
    }
    misses.none_of(15);
}

/// Kirchhoff's current law, summed from the parts and not from the solver's own residual.
#[test]
fn currents_vanish_at_every_node() {
    let mut misses = Misses::default();
    for vector in vectors() {
        let circuit = vector.circuit();
        let solution = solved(&vector, &circuit);
        // Amperes that leave a node, the largest of them, and what rounding of volts makes of it.
        let mut leave: HashMap<usize, [f64; 3]> = HashMap::new();
        let mut flow = |node: usize, amperes: f64, rounding: f64| {
            let [sum, largest, rounded] = leave.entry(node).or_default();
            *sum += amperes;
            *largest = largest.max(amperes.abs());
            *rounded += rounding;
        };
        for element in elements(&circuit, &Conditions::default()) {
            let ends = [element.plus, element.minus];
            let [plus, minus] = ends.map(|node| solution.node_volts(node));
            let most = plus.abs().max(minus.abs());
            let (amperes, rounding) = match element.kind {
                ElementKind::Conductance { siemens } => (
                    (plus - minus) * siemens,
                    8.0 * f64::EPSILON * most * siemens,
                ),
                // Two windings are two branches of one part: told apart by their own drop.
                ElementKind::Branch { volts, ohms } if ohms > 0.0 => (
                    (plus - minus - volts) / ohms,
                    8.0 * f64::EPSILON * most / ohms,
                ),
                ElementKind::Branch { .. } => (solution.branch_amperes(element.part).unwrap(), 0.0),
            };
            flow(element.plus.0, amperes, rounding);
            flow(element.minus.0, -amperes, rounding);
        }
        for (index, part) in circuit.parts().iter().enumerate() {
            let PartKind::Device(device) = &part.kind else {
                continue;
            };
            let into = solution.device_amperes(circuit::PartId(index));
            for (unit, into) in device.units.iter().zip(into) {
                let sum: f64 = into.iter().sum();
                let largest = into.iter().fold(0.0, |most: f64, i| most.max(i.abs()));
                // Sums of at most five terms round to a few units in the last place.
                let what = format!("{}, {} as a whole", vector.name, part.designator);
                misses.compare(&what, (sum, 0.0), 8.0 * f64::EPSILON * largest);
                for (terminal, amperes) in unit.at.iter().zip(into) {
                    flow(part.nodes[*terminal].0, amperes, 0.0);
                }
            }
        }
        for (node, [sum, largest, rounding]) in leave {
            let name = &circuit.nodes()[node].name;
            // The last step leaves less than 1e-9 of a node's largest current.
            let allowed = 1e-9 * largest + rounding + AMPERES_FLOOR;
            misses.compare(&format!("{}, {name}", vector.name), (sum, 0.0), allowed);
        }
    }
    misses.none_of(250);
}

/// With the tubes and semiconductors out, every voltage follows the line.
#[test]
fn a_linear_set_scales_with_its_supply() {
    let mut misses = Misses::default();
    for vector in vectors() {
        let circuit = vector.without_devices();
        let plain = solved(&vector, &circuit);
        assert!(plain.is_linear());
        for line_factor in [0.5, 0.9, 1.15, -1.0] {
            let conditions = Conditions {
                line_factor,
                ..Conditions::default()
            };
            let scaled = solve(&circuit, &conditions).unwrap();
            for (node, noun) in circuit.nodes().iter().enumerate() {
                let node = circuit::NodeId(node);
                let want = line_factor * plain.node_volts(node);
                // Two eliminations of a matrix whose rows range over some twelve decades.
                let allowed = 1e-12 * want.abs() + 1e-12;
                let what = format!("{}, {} at {line_factor}", vector.name, noun.name);
                let got = scaled.node_volts(node);
                if want.abs() > 1e-3 {
                    misses.compare(&what, (got, want), allowed);
                }
            }
        }
    }
    misses.none_of(400);
}
