//! Circuits without a trustworthy solution, and the ones that only look like it.

use circuit::{
    Capacitor, Circuit, CircuitBuilder, Conditions, Contact, ContactKind, Dielectric, Inductor,
    NodeId, PartKind, Port, Potentiometer, Resistor, Setting, SettingValue, Supply, SupplyKind,
};
use solver::{solve, solve_varied, SolveError};

use crate::sketch::Sketch;

/// Circuits here hold volts up to 100 with a handful of parts: sums round to 1e-13.
const ROUNDING: f64 = 1e-9;

fn ohms(ohms: f64) -> PartKind {
    PartKind::Resistor(Resistor {
        ohms,
        tolerance: None,
    })
}

fn volts(volts: f64, source: f64) -> PartKind {
    PartKind::Supply(Supply {
        kind: SupplyKind::Battery,
        volts,
        tolerance: None,
        source,
        follows_line: true,
        off: None,
    })
}

fn closed() -> PartKind {
    PartKind::Contact(Contact {
        kind: ContactKind::Switch,
        closed: true,
    })
}

fn node_volts(circuit: &Circuit, conditions: &Conditions, name: &str) -> f64 {
    let solution = solve(circuit, conditions).unwrap();
    solution.node_volts(circuit.node(name).unwrap())
}

#[test]
fn an_island_without_reference_names_its_nodes_and_parts() {
    let circuit = Sketch::new()
        .part("R1", ohms(1e3), &["a", "gnd"])
        .part("R2", ohms(1e3), &["x", "y"])
        .done();
    assert_eq!(
        solve(&circuit, &Conditions::default()).unwrap_err(),
        SolveError::NoReference {
            nodes: vec!["x".into(), "y".into()],
            parts: vec!["R2".into()],
        }
    );
}

#[test]
fn a_loop_that_holds_a_source_names_its_parts() {
    let circuit = Sketch::new()
        .part("BT1", volts(9.0, 0.0), &["a", "gnd"])
        .part("BT2", volts(6.0, 0.0), &["b", "gnd"])
        .part("S1", closed(), &["a", "b"])
        .part("R1", ohms(1e3), &["b", "gnd"])
        .done();
    let SolveError::SourceLoop { mut parts } = solve(&circuit, &Conditions::default()).unwrap_err()
    else {
        panic!("another error");
    };
    parts.sort();
    assert_eq!(parts, ["BT1", "BT2", "S1"]);
}

#[test]
fn two_closed_contacts_in_parallel_are_one_wire() {
    let circuit = Sketch::new()
        .part("BT1", volts(9.0, 0.0), &["a", "gnd"])
        .part("S1", closed(), &["a", "b"])
        .part("S2", closed(), &["a", "b"])
        .part("R1", ohms(1e3), &["b", "gnd"])
        .done();
    assert!((node_volts(&circuit, &Conditions::default(), "b") - 9.0).abs() < ROUNDING);
}

#[test]
fn a_point_behind_a_capacitor_floats_and_the_rest_is_untouched() {
    let circuit = Sketch::new()
        .part("BT1", volts(10.0, 0.0), &["a", "gnd"])
        .part("R1", ohms(1e6), &["a", "mid"])
        .part("R2", ohms(1e6), &["mid", "gnd"])
        .part(
            "C1",
            PartKind::Capacitor(Capacitor {
                farads: 1e-8,
                tolerance: None,
                leak: None,
                dielectric: Dielectric::Paper,
            }),
            &["mid", "out"],
        )
        .part("R3", ohms(1e6), &["out", "end"])
        .done();
    let solution = solve(&circuit, &Conditions::default()).unwrap();
    let port = |name: &str| Port {
        plus: circuit.node(name).unwrap(),
        minus: NodeId(0),
    };
    assert!(solution.floats(port("out")) && solution.floats(port("end")));
    assert!(!solution.floats(port("mid")));
    assert!((solution.port_volts(port("mid")) - 5.0).abs() < ROUNDING);
    assert!(solution.port_volts(port("end")).abs() < ROUNDING);
}

#[test]
fn controls_and_line_voltage_act_as_set() {
    let circuit = Sketch::new()
        .part("BT1", volts(10.0, 0.0), &["a", "gnd"])
        .part(
            "R9",
            PartKind::Potentiometer(Potentiometer {
                ohms: 10e3,
                tolerance: None,
                setting: 0.4,
                is_stated: true,
                offset: 0.0,
                taps: Vec::new(),
            }),
            &["a", "wiper", "gnd"],
        )
        .part("R1", ohms(1e6), &["wiper", "gnd"])
        .done();
    let at = |turn: f64, line_factor: f64| {
        let conditions = Conditions {
            settings: vec![Setting {
                part: circuit.part_named("R9").unwrap(),
                value: SettingValue::Turn(turn),
            }],
            line_factor,
        };
        node_volts(&circuit, &conditions, "wiper")
    };
    assert!((at(1.0, 1.0) - 10.0).abs() < ROUNDING);
    assert!(at(0.0, 1.0).abs() < ROUNDING);
    assert!((at(1.0, 1.1) - 11.0).abs() < ROUNDING);
    // 4 kΩ ∥ 1 MΩ under 6 kΩ, by hand.
    let lower = 1.0 / (1.0 / 4e3 + 1e-6);
    let by_default = node_volts(&circuit, &Conditions::default(), "wiper");
    assert!((by_default - 10.0 * lower / (lower + 6e3)).abs() < ROUNDING);
}

#[test]
fn the_current_of_a_winding_is_known() {
    let circuit = Sketch::new()
        .part("BT1", volts(10.0, 0.0), &["a", "gnd"])
        .part(
            "L1",
            PartKind::Inductor(Inductor {
                henries: Some(10.0),
                ohms: 400.0,
            }),
            &["a", "b"],
        )
        .part("R1", ohms(600.0), &["b", "gnd"])
        .done();
    let solution = solve(&circuit, &Conditions::default()).unwrap();
    let amperes = |name: &str| solution.branch_amperes(circuit.part_named(name).unwrap());
    assert!((amperes("L1").unwrap() - 0.01).abs() < 1e-12);
    assert!((amperes("BT1").unwrap() + 0.01).abs() < 1e-12);
    assert!(amperes("R1").is_none());
}

#[test]
fn nothing_drawn_is_solved_without_a_word() {
    let solution = solve(&CircuitBuilder::new().finish(), &Conditions::default()).unwrap();
    assert_eq!(solution.size(), 0);
}

#[test]
fn a_number_that_becomes_zero_ties_its_nodes() {
    let drawn = |middle: f64| {
        Sketch::new()
            .part("BT1", volts(10.0, 0.0), &["a", "gnd"])
            .part("R1", ohms(1e3), &["a", "b"])
            .part("R2", ohms(middle), &["b", "c"])
            .part("R3", ohms(1e3), &["c", "gnd"])
            .done()
    };
    let conditions = Conditions::default();
    let near = solve(&drawn(2e3), &conditions).unwrap();
    // By hand: a quarter of 10 V across R3, a fifth, and half of it where R2 is nothing.
    for (middle, across) in [(2e3, 2.5), (3e3, 2.0), (0.0, 5.0)] {
        let circuit = drawn(middle);
        let found = solve_varied(&circuit, &conditions, &near).unwrap();
        let across_found = found.node_volts(circuit.node("c").unwrap());
        assert!(
            (across_found - across).abs() < ROUNDING,
            "{middle}: {across_found}"
        );
    }
}
