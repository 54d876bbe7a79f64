//! A meter on a circuit with tubes and semiconductors, and derivatives of what it reads.
//!
//! Independently derived: a meter is a resistor drawn, and a derivative is a central difference
//! of whole solutions.

use crate::sketch::{beam_power, high_mu, Sketch};
use circuit::{
    Bipolar, Capacitor, Characteristic, Circuit, CircuitBuilder, Conditions, DeviceParameter,
    DeviceUnit, Dielectric, Inductor, Junction, Part, PartKind, PartParameter, Polarity, Port,
    Potentiometer, SoftKnee,
};
use solver::{solve, Load, Metered, Solution};

/// Two stages and a diode, with every kind of number in them.
fn set() -> Circuit {
    let triode = high_mu().varied(DeviceParameter::GasCurrent, 0.05e-6);
    let pentode = beam_power().varied(DeviceParameter::GasCurrent, 0.1e-6);
    let diode = DeviceUnit {
        characteristic: Characteristic::Junction(Junction {
            saturation: 3e-6,
            slope_volts: 1.3 * solver::THERMAL_VOLTS,
            leak_ohms: 1e6,
        }),
        at: vec![0, 1],
        series_ohms: 40.0,
        glow: None,
    };
    let transistor = Characteristic::Bipolar(Bipolar {
        polarity: Polarity::P,
        saturation: 3.029e-6,
        forward_gain: 100.0,
        reverse_gain: 15.0,
        leakage: 1.768e-6,
        early_volts: 50.0,
    });
    Sketch::new()
        .supply("PS1", 285.0, "raw", "gnd")
        .part(
            "L1",
            PartKind::Inductor(Inductor {
                henries: Some(10.0),
                ohms: 350.0,
            }),
            &["raw", "bplus"],
        )
        .resistor("R1", 220e3, "bplus", "plate1")
        .resistor("R2", 2.2e3, "cath1", "gnd")
        .device("V1", triode, &["plate1", "grid1", "cath1"])
        .resistor("R3", 1e6, "grid1", "gnd")
        .part(
            "C1",
            PartKind::Capacitor(Capacitor {
                farads: 0.05e-6,
                tolerance: None,
                leak: Some(300e6),
                dielectric: Dielectric::Paper,
            }),
            &["plate1", "grid2"],
        )
        .part(
            "R4",
            PartKind::Potentiometer(Potentiometer {
                ohms: 500e3,
                tolerance: None,
                setting: 0.4,
                is_stated: true,
                offset: 0.0,
                taps: Vec::new(),
            }),
            &["grid2", "arm", "gnd"],
        )
        .resistor("R5", 10e6, "arm", "gnd")
        .device("V2", pentode, &["plate2", "bplus", "grid2", "cath2"])
        .resistor("R6", 280.0, "bplus", "plate2")
        .resistor("R7", 330.0, "cath2", "gnd")
        .unit("CR1", diode, &["cath2", "det"])
        .resistor("R8", 47e3, "det", "gnd")
        .supply("BT1", -9.0, "batt", "gnd")
        .device("Q1", transistor, &["coll", "base", "emit"])
        .resistor("R9", 2.7e3, "coll", "batt")
        .resistor("R10", 120e3, "base", "batt")
        .resistor("R11", 27e3, "base", "gnd")
        .resistor("R12", 680.0, "emit", "gnd")
        .done()
}

const POINTS: [(&str, f64); 5] = [
    ("plate1", 1e6),
    ("grid2", 200e3),
    ("cath2", 50e3),
    ("det", 10e6),
    ("coll", 10e3),
];

fn port(circuit: &Circuit, name: &str) -> Port {
    Port {
        plus: circuit.node(name).unwrap(),
        minus: circuit.node("gnd").unwrap(),
    }
}

fn solved(circuit: &Circuit) -> Solution {
    solve(circuit, &Conditions::default()).unwrap()
}

#[test]
fn a_meter_is_a_resistor_drawn() {
    let circuit = set();
    let plain = solved(&circuit);
    for (name, ohms) in POINTS {
        let load = Load {
            siemens: 1.0 / ohms,
            amperes: 0.0,
        };
        let metered = plain.metered(port(&circuit, name), load, None).unwrap();
        let mut builder = CircuitBuilder::new();
        let drawn = {
            for node in circuit.nodes() {
                let id = builder.node(&node.name);
                if node.is_reference {
                    builder.reference(id);
                }
            }
            for part in circuit.parts() {
                builder.part(part.clone());
            }
            let nodes = vec![builder.node(name), builder.node("gnd")];
            builder.part(Part {
                designator: "METER".into(),
                kind: PartKind::Resistor(circuit::Resistor {
                    ohms,
                    tolerance: None,
                }),
                nodes,
                origin: circuit::Origin::default(),
            });
            builder.finish()
        };
        let want = solved(&drawn).port_volts(port(&circuit, name));
        // Both runs end within 1e-11 of the largest node voltage, 285 V.
        assert!(
            (metered.volts - want).abs() < 1e-8,
            "{name}: {} {want}",
            metered.volts
        );
    }
}

#[test]
fn an_anchored_meter_reads_what_it_is_told() {
    let circuit = set();
    let plain = solved(&circuit);
    for (name, ohms) in POINTS {
        let port = port(&circuit, name);
        let told = plain.port_volts(port) * 0.9;
        let anchored = plain.anchored(port, 1.0 / ohms, told, None).unwrap();
        assert!((anchored.volts - told).abs() < 1e-8, "{name}");
        let again = plain.metered(port, anchored.load, None).unwrap();
        assert!((again.volts - told).abs() < 1e-7, "{name}: {}", again.volts);
        // The current is needed: without it the meter reads something else.
        let without = plain
            .metered(
                port,
                Load {
                    siemens: 1.0 / ohms,
                    amperes: 0.0,
                },
                None,
            )
            .unwrap();
        assert!((without.volts - told).abs() > 1e-3, "{name}");
    }
}

#[test]
fn the_resistance_under_a_meter_is_the_slope_of_its_reading() {
    let circuit = set();
    let plain = solved(&circuit);
    for (name, ohms) in POINTS {
        let port = port(&circuit, name);
        let at = |amperes: f64| {
            let load = Load {
                siemens: 1.0 / ohms,
                amperes,
            };
            plain.metered(port, load, None).unwrap()
        };
        let here = at(0.0);
        // A current that moves the point by about 1 mV.
        let step = 1e-3 / here.ohms;
        let slope = (at(step).volts - at(-step).volts) / (2.0 * step);
        // Curvature over 1 mV and rounding of 1e-9 V in 2 mV: some parts in a million.
        assert!(
            (here.ohms - slope).abs() < 1e-4 * here.ohms.abs(),
            "{name}: {} {slope}",
            here.ohms
        );
    }
}

/// A step that moves things by about a part in ten thousand.
fn step(part: &Part, parameter: PartParameter) -> f64 {
    let size = match (&part.kind, parameter) {
        (PartKind::Resistor(resistor), _) => resistor.ohms,
        (PartKind::Potentiometer(pot), PartParameter::Resistance) => pot.ohms,
        (PartKind::Inductor(coil), _) => coil.ohms,
        (PartKind::Capacitor(capacitor), _) => capacitor.leak.unwrap(),
        (PartKind::Supply(supply), PartParameter::Volts) => supply.volts.abs(),
        (_, PartParameter::Device(DeviceParameter::GasCurrent)) => 1e-6,
        (_, PartParameter::Device(DeviceParameter::SeriesResistance)) => 40.0,
        _ => 1.0,
    };
    size * 1e-4
}

/// Compares every derivative at these points with central differences of whole solutions, and says
/// how many numbers really move a point.
fn derivatives_checked(circuit: &Circuit, points: &[(&str, f64)]) -> usize {
    let plain = solved(circuit);
    let mut checked = 0;
    for (name, ohms) in points {
        let port = port(circuit, name);
        let load = Load {
            siemens: 1.0 / ohms,
            amperes: 2e-6,
        };
        let metered: Metered = plain.metered(port, load, None).unwrap();
        let sensitivities = plain.sensitivities(circuit, &Conditions::default(), &metered);
        for sensitivity in sensitivities.iter() {
            let part = circuit.part(sensitivity.id.part);
            // A source without resistance can only be given more of it.
            if sensitivity.id.parameter == PartParameter::SourceResistance {
                continue;
            }
            let step = step(part, sensitivity.id.parameter);
            let reading = |change: f64| {
                let other =
                    circuit.varied([(sensitivity.id.part, sensitivity.id.parameter, change)]);
                solved(&other).metered(port, load, None).unwrap().volts
            };
            let slope = (reading(step) - reading(-step)) / (2.0 * step);
            // Change of the reading over the whole step: curvature leaves about 1e-6 of it, two
            // solutions a few 1e-9 V.
            let (got, want) = (-sensitivity.value * step, slope * step);
            let allowed = 1e-5 * want.abs() + 2e-8;
            assert!(
                (got - want).abs() <= allowed,
                "{name} {} {:?}: got {got:e}, want {want:e}",
                part.designator,
                sensitivity.id.parameter
            );
            checked += usize::from(want.abs() > 1e-6);
        }
    }
    checked
}

#[test]
fn adjoint_derivatives_meet_central_differences() {
    // Most numbers must really move some point, or the check would be empty.
    let checked = derivatives_checked(&set(), &POINTS);
    assert!(checked > 40, "{checked}");
}

/// Both halves of a Zener diode leak, and that is one number; no other part stands behind it.
#[test]
fn units_of_one_part_may_share_a_number() {
    let unit = |characteristic, at| DeviceUnit {
        characteristic,
        at,
        series_ohms: 0.0,
        glow: None,
    };
    let forward = Characteristic::Junction(Junction {
        saturation: 3e-9,
        slope_volts: 1.8 * solver::THERMAL_VOLTS,
        leak_ohms: 1e6,
    });
    let reverse = Characteristic::SoftKnee(SoftKnee {
        knee_volts: 11.9,
        slope_ohms: 20.0,
        softness: 0.05,
        leak_ohms: 1e6,
    });
    let units = vec![unit(forward, vec![0, 1]), unit(reverse, vec![1, 0])];
    let circuit = Sketch::new()
        .supply("PS1", 100.0, "raw", "gnd")
        .resistor("R1", 10e3, "raw", "ref")
        .resistor("R2", 2e3, "ref", "gnd")
        .units("VR1", units, &["gnd", "ref"])
        .done();
    // The supply, both resistors, knee, slope and leakage.
    let checked = derivatives_checked(&circuit, &[("ref", 50e3)]);
    assert!(checked >= 5, "{checked}");
}
