//! Alternating volts at one frequency.
//!
//! Against an independent complex solver (`vectors/phasors.py`), worked examples, and closed forms
//! of a junction at rest.

use circuit::{
    Capacitor, Characteristic, Circuit, Conditions, Device, DeviceClass, DeviceUnit, Dielectric,
    Generator, Inductor, Junction, NodeId, PartKind, Resistor, Supply, SupplyKind, Terminal,
    Transformer,
};
use serde::Deserialize;
use solver::{solve, Phasor, Phasors};

use crate::numbered::{numbered as circuit, port};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    nodes: usize,
    hertz: f64,
    port: [usize; 2],
    volts: [f64; 2],
    ohms: [f64; 2],
    parts: Vec<Component>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Component {
    kind: String,
    nodes: Vec<usize>,
    numbers: Vec<f64>,
}

fn cases() -> Vec<Case> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct File {
        case: Vec<Case>,
    }
    let file: File = toml::from_str(include_str!("vectors/phasors.toml")).unwrap();
    file.case
}

fn kind(name: &str, n: &[f64], hertz: f64) -> PartKind {
    match name {
        "resistor" => PartKind::Resistor(Resistor {
            ohms: n[0],
            tolerance: None,
        }),
        "capacitor" => PartKind::Capacitor(Capacitor {
            farads: n[0],
            tolerance: None,
            leak: None,
            dielectric: Dielectric::Paper,
        }),
        "coil" => PartKind::Inductor(Inductor {
            henries: Some(n[0]),
            ohms: n[1],
        }),
        "transformer" => PartKind::Transformer(Transformer {
            ratio: n[0],
            primary_ohms: n[1],
            secondary_ohms: n[2],
        }),
        "generator" => PartKind::Generator(Generator {
            volts: n[0],
            hertz,
            source: n[1],
            off: None,
        }),
        other => panic!("{other}"),
    }
}

fn solved(circuit: &Circuit, hertz: f64) -> Phasors {
    Phasors::new(circuit, &Conditions::default(), hertz, 1.0).unwrap()
}

#[test]
fn linear_circuits_against_an_independent_solver() {
    let cases = cases();
    assert_eq!(cases.len(), 14);
    for case in cases {
        let parts = case.parts.iter();
        let parts = parts.map(|part| {
            let made = kind(&part.kind, &part.numbers, case.hertz);
            (made, part.nodes.clone())
        });
        let drawn = circuit(case.nodes, parts);
        let phasors = solved(&drawn, case.hertz);
        assert!(phasors.is_driven());
        let got = phasors.port(port(case.port[0], case.port[1]));
        let driven = case.parts.iter().find(|part| part.kind == "generator");
        let driven = driven.unwrap().numbers[0];
        for (got, want, whole) in [(got.volts, case.volts, driven), (got.ohms, case.ohms, 0.0)] {
            let want = Phasor::new(want[0], want[1]);
            // Both solve in double precision; a conductance of 1 pS at every node and 1 nΩ in branches
            // are ours alone, each below 1e-7 of impedances of 1 Ω to 100 kΩ, and so is what they let
            // through of the generator's volts.
            let miss = (got - want).norm();
            assert!(
                miss <= 1e-7 * (want.norm() + whole),
                "{} nodes: {got} {want}",
                case.nodes
            );
        }
    }
}

/// Volts across one part of a series string, in reading order from the generator.
fn string(volts: f64, hertz: f64, parts: Vec<PartKind>) -> Vec<f64> {
    let count = parts.len();
    let generator = kind("generator", &[volts, 0.0], hertz);
    let ends = |at: usize| vec![at + 1, if at + 1 == count { 0 } else { at + 2 }];
    let mut all = vec![(generator, vec![1, 0])];
    all.extend(
        parts
            .into_iter()
            .enumerate()
            .map(|(at, part)| (part, ends(at))),
    );
    let phasors = solved(&circuit(count + 1, all), hertz);
    (0..count)
        .map(|at| {
            let ends = ends(at);
            phasors.port(port(ends[0], ends[1])).volts.norm()
        })
        .collect()
}

#[test]
fn series_strings_of_a_physics_course() {
    // Bueche, Principles of Physics, ex. 20.4, p. 984: 80 V, 2 kHz, 300 Ω and 0.6 µF. Printed to
    // 0.1 V.
    let r = |ohms| kind("resistor", &[ohms], 0.0);
    let c = |farads| kind("capacitor", &[farads], 0.0);
    let got = string(80.0, 2e3, vec![r(300.0), c(0.6e-6)]);
    assert!((got[0] - 73.2).abs() < 0.05, "{got:?}");
    // ex. 20.5: 50 V, 600 Hz, 20 Ω, 4 mH, 10 µF; 43.4, 32.7 and 57.6 V, the last two from a rounded
    // current, so 0.06 V.
    let coil = kind("coil", &[4e-3, 0.0], 0.0);
    let got = string(50.0, 600.0, vec![r(20.0), coil, c(10e-6)]);
    for (got, want) in got.iter().zip([43.4, 32.7, 57.6]) {
        assert!((got - want).abs() < 0.06, "{got} {want}");
    }
}

#[test]
fn a_capacitive_input_halves_the_power_where_the_book_says() {
    // Bell, Electronic Instrumentation and Measurements, 2nd ed., ex. 9-10 and 9-11: 600 Ω with
    // 13 pF is 3 dB down at 20.4 MHz, with 3.5 pF at 75.8 MHz: three digits, half of the last.
    for (farads, printed, half) in [(13e-12, 20.4e6, 0.05e6), (3.5e-12, 75.8e6, 0.05e6)] {
        let at = |hertz: f64| {
            let parts = vec![
                (kind("generator", &[1.0, 600.0], hertz), vec![1, 0]),
                (kind("capacitor", &[farads], hertz), vec![1, 0]),
            ];
            solved(&circuit(2, parts), hertz)
                .port(port(1, 0))
                .volts
                .norm()
        };
        let level = 0.5f64.sqrt();
        assert!(at(printed - half) > level && at(printed + half) < level);
    }
}

#[test]
fn a_divider_through_a_rectifier_meter() {
    // Kalsi, Electronic Instrumentation, 3rd ed., ex. 4.19, p. 103: 10 V on 10 kΩ and 10 kΩ, read with
    // 90 kΩ: 4.74 V, printed to 0.01 V.
    let parts = vec![
        (kind("generator", &[10.0, 10e3], 50.0), vec![1, 0]),
        (kind("resistor", &[10e3], 50.0), vec![1, 0]),
    ];
    let seen = solved(&circuit(2, parts), 50.0).port(port(1, 0));
    let got = seen.under(Phasor::new(1.0 / 90e3, 0.0)).norm();
    assert!((got - 4.74).abs() < 0.005, "{got}");
}

#[test]
fn two_sources_a_quarter_turn_apart() {
    // Bird, Electrical Circuit Theory and Technology, 2nd ed., ch. 31 ex. 7, p. 554: 25 V behind 2 Ω to node 1,
    // −j4 Ω to ground; 5 Ω to node 2, j4 Ω to ground; j25 V behind 2.5 Ω to node 2. Printed 17.1 V at
    // −5.3° and 15.8 V. One generator at a time, the second turned by a quarter afterwards.
    let hertz = 50.0;
    let omega = std::f64::consts::TAU * hertz;
    let seen = |first: f64, second: f64| {
        let part =
            |name, numbers: &[f64], nodes: [usize; 2]| (kind(name, numbers, hertz), nodes.to_vec());
        let parts = vec![
            part("generator", &[first, 2.0], [1, 0]),
            part("capacitor", &[1.0 / (4.0 * omega)], [1, 0]),
            part("resistor", &[5.0], [1, 2]),
            part("coil", &[4.0 / omega, 0.0], [2, 0]),
            part("generator", &[second, 2.5], [2, 0]),
        ];
        let phasors = solved(&circuit(3, parts), hertz);
        [1, 2].map(|node| phasors.port(port(node, 0)).volts)
    };
    let (a, b) = (seen(25.0, 0.0), seen(0.0, 25.0));
    let turned = Phasor::new(0.0, 1.0);
    let [v1, v2] = [0, 1].map(|k| a[k] + turned * b[k]);
    // Half of the last printed digit.
    assert!((v1.norm() - 17.1).abs() < 0.05, "{v1}");
    assert!((v1.arg().to_degrees() + 5.3).abs() < 0.05, "{v1}");
    assert!((v2.norm() - 15.8).abs() < 0.05, "{v2}");
}

#[test]
fn generators_of_another_frequency_are_their_source() {
    let parts = vec![
        (kind("generator", &[10.0, 1e3], 400.0), vec![1, 0]),
        (kind("resistor", &[1e3], 400.0), vec![1, 0]),
    ];
    let drawn = circuit(2, parts);
    let phasors = solved(&drawn, 60.0);
    assert!(!phasors.is_driven());
    let seen = phasors.port(port(1, 0));
    assert!(seen.volts.norm() < 1e-12);
    // 1 kΩ beside 1 kΩ; the nΩ of the branch is below this.
    assert!((seen.ohms - Phasor::new(500.0, 0.0)).norm() < 1e-6);
}

/// A silicon diode of 1 nA with this slope in volts.
fn diode(slope_volts: f64) -> PartKind {
    let terminal = |name: &str| Terminal {
        name: name.into(),
        pins: Vec::new(),
    };
    PartKind::Device(Device {
        type_name: "silicon".into(),
        class: DeviceClass::Diode,
        terminals: vec![terminal("anode"), terminal("cathode")],
        units: vec![DeviceUnit {
            characteristic: Characteristic::Junction(Junction {
                saturation: 1e-9,
                slope_volts,
                leak_ohms: 1e12,
            }),
            at: vec![0, 1],
            series_ohms: 0.0,
            glow: None,
        }],
        tolerance: None,
    })
}

fn ten_volts() -> PartKind {
    PartKind::Supply(Supply {
        kind: SupplyKind::Supply,
        volts: 10.0,
        tolerance: None,
        source: 0.0,
        follows_line: false,
        off: None,
    })
}

#[test]
fn a_junction_at_rest_is_its_slope() {
    let slope_volts = 0.03;
    let (diode, supply) = (diode(slope_volts), ten_volts());
    let parts = vec![
        (supply, vec![2, 0]),
        (kind("generator", &[1e-3, 10e3], 1e3), vec![1, 2]),
        (diode, vec![1, 0]),
    ];
    let drawn = circuit(3, parts);
    let at_rest = solve(&drawn, &Conditions::default()).unwrap();
    let volts = at_rest.node_volts(NodeId(1));
    // i = I_s (e^(v/s) − 1), so r = s/(i + I_s), with i through 10 kΩ from 10 V.
    let amperes = (10.0 - volts) / 10e3;
    let ohms = slope_volts / (amperes + 1e-9);
    let seen = solved(&drawn, 1e3).port(port(1, 0));
    let want = 1e-3 * ohms / (ohms + 10e3);
    // The operating point is good to nanovolts; the nΩ of the branches lie below.
    assert!((seen.volts.norm() / want - 1.0).abs() < 1e-6);
    assert!((seen.ohms.norm() / (ohms * 10e3 / (ohms + 10e3)) - 1.0).abs() < 1e-6);
}

/// A diode at rest behind 10 kΩ, driven through a capacitor and read under 47 kΩ with 1 nF.
fn driven_diode(ohms: f64, farads: f64) -> Circuit {
    let (diode, supply) = (diode(0.03), ten_volts());
    let parts = vec![
        (supply, vec![2, 0]),
        (kind("resistor", &[ohms], 0.0), vec![2, 1]),
        (diode, vec![1, 0]),
        (kind("generator", &[0.01, 600.0], 1e3), vec![3, 0]),
        (kind("capacitor", &[farads], 0.0), vec![3, 1]),
        (kind("coil", &[0.1, 20.0], 0.0), vec![1, 4]),
        (kind("resistor", &[100.0], 0.0), vec![4, 0]),
    ];
    circuit(5, parts)
}

#[test]
fn a_reading_follows_small_changes_as_solving_anew_does() {
    let load = Phasor::new(1.0 / 47e3, std::f64::consts::TAU * 1e3 * 1e-9);
    let anew = |ohms, farads| {
        let drawn = driven_diode(ohms, farads);
        solved(&drawn, 1e3).port(port(4, 0)).under(load)
    };
    let phasors = solved(&driven_diode(10e3, 1e-6), 1e3);
    let reading = phasors.reading(port(4, 0), load).unwrap();
    let here = anew(10e3, 1e-6);
    assert!((reading.volts() - here).norm() < 1e-12 * here.norm());
    // A step of one in a thousand: what is quadratic in it is a thousandth of the difference, twice that
    // with the curvature of the diode.
    let resistor = reading.varied(&driven_diode(10.01e3, 1e-6)).unwrap();
    let capacitor = reading.with_reactances(&driven_diode(10e3, 1.001e-6));
    for (told, want) in [
        (resistor, anew(10.01e3, 1e-6)),
        (capacitor, anew(10e3, 1.001e-6)),
    ] {
        let moved = (want - here).norm();
        assert!(moved > 1e-6 * here.norm());
        assert!((told - want).norm() < 2e-3 * moved, "{told} {want} {here}");
    }
}
