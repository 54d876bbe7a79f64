//! Ohmmeters on drawings without power.
//!
//! Networks of resistors stand against a general-purpose graph library (`vectors/ohms.py`);
//! semiconductors against what must hold of any: leads exchanged exchange a diode's readings,
//! and taking leakage away raises them.

use circuit::{
    Capacitor, Characteristic, Circuit, Conditions, Contact, ContactKind, Device, DeviceClass,
    DeviceUnit, Dielectric, Junction, OhmRange, PartKind, Port, Resistor, SoftKnee, Supply,
    SupplyKind, Terminal,
};
use serde::Deserialize;
use solver::{Lead, PowerOff, TestSource};

use crate::numbered::{numbered as circuit, port};

/// A share of the exact value: the accuracy promised to users of the direct-current solver.
const PROMISED: f64 = 1e-9;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Drawing {
    nodes: usize,
    parts: Vec<(String, usize, usize, f64)>,
    ports: Vec<(usize, usize, f64)>,
}

fn drawings() -> Vec<Drawing> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct File {
        drawing: Vec<Drawing>,
    }
    let file: File = toml::from_str(include_str!("vectors/ohms.toml")).unwrap();
    file.drawing
}

fn resistor(ohms: f64) -> PartKind {
    PartKind::Resistor(Resistor {
        ohms,
        tolerance: None,
    })
}

fn kind(name: &str, ohms: f64) -> PartKind {
    let supply = |off| {
        PartKind::Supply(Supply {
            kind: SupplyKind::Supply,
            volts: 250.0,
            tolerance: None,
            source: 10.0,
            follows_line: true,
            off,
        })
    };
    let capacitor = |leak| {
        PartKind::Capacitor(Capacitor {
            farads: 20e-6,
            tolerance: None,
            leak,
            dielectric: Dielectric::Electrolytic,
        })
    };
    let contact = |closed| {
        PartKind::Contact(Contact {
            kind: ContactKind::Switch,
            closed,
        })
    };
    match name {
        "resistor" => resistor(ohms),
        "open supply" => supply(None),
        "dead supply" => supply(Some(ohms)),
        "capacitor" => capacitor(None),
        "leak" => capacitor(Some(ohms)),
        "open switch" => contact(false),
        "closed switch" => contact(true),
        other => panic!("{other}"),
    }
}

fn off(circuit: &Circuit) -> PowerOff {
    PowerOff::new(circuit.powered_off(), &Conditions::default()).unwrap()
}

/// 1.5 V behind so many ohms.
fn range(ohms: f64) -> OhmRange {
    OhmRange {
        ohms,
        volts: 1.5,
        full_scale: None,
    }
}

fn reading(off: &PowerOff, port: Port, on: OhmRange, lead: Lead) -> f64 {
    let source = TestSource {
        volts: on.volts,
        ohms: on.ohms,
    };
    on.shown(off.tested(port, source, lead).unwrap().volts)
}

#[test]
fn networks_of_resistors_against_a_graph_library() {
    let mut compared = 0;
    for drawing in drawings() {
        let parts = drawing.parts.iter();
        let parts = parts.map(|(name, a, b, ohms)| (kind(name, *ohms), vec![*a, *b]));
        let off = off(&circuit(drawing.nodes, parts));
        for (a, b, want) in &drawing.ports {
            // Whatever the range and whichever lead: a resistance reads the same.
            for (ohms, lead) in [
                (10.0, Lead::Plus),
                (1200.0, Lead::Minus),
                (120e3, Lead::Plus),
            ] {
                let got = reading(&off, port(*a, *b), range(ohms), lead);
                // The pseudo-inverse keeps about ten digits; a reading far below the range's ohms is
                // a small difference of volts.
                let allowed = PROMISED * (want + 1e-3 * ohms);
                assert!(
                    (got - want).abs() <= allowed,
                    "{a} to {b}: {got}, want {want}"
                );
                compared += 1;
            }
        }
    }
    assert_eq!(compared, 4 * 6 * 3);
}

#[test]
fn a_reading_follows_each_resistor_as_its_difference_does() {
    let parts = |change: f64| {
        [
            (resistor(22e3 * (1.0 + change)), vec![1, 0]),
            (resistor(10e3), vec![1, 2]),
            (resistor(47e3), vec![2, 0]),
        ]
    };
    let on = range(12e3);
    let off_at = |change| off(&circuit(3, parts(change)));
    let source = TestSource {
        volts: on.volts,
        ohms: on.ohms,
    };
    let tested = off_at(0.0).tested(port(1, 0), source, Lead::Plus).unwrap();
    let sensitivity = tested
        .by_number
        .iter()
        .find(|sensitivity| sensitivity.id.part.0 == 0);
    let slope = sensitivity.unwrap().value * on.shown_slope(tested.volts);
    let at = |change| reading(&off_at(change), port(1, 0), on, Lead::Plus);
    let difference = (at(1e-5) - at(-1e-5)) / (2e-5 * 22e3);
    // By hand: R = 22k ∥ 57k, dR/dR₁ = (57/79)².
    assert!((slope - (57.0f64 / 79.0).powi(2)).abs() < 1e-9, "{slope}");
    assert!((slope - difference).abs() < 1e-6);
}

/// A junction of this leakage, anode on one node and cathode on the other.
fn diode(leak_ohms: f64) -> PartKind {
    rectifier(Characteristic::Junction(Junction {
        saturation: 1e-6,
        slope_volts: 0.031,
        leak_ohms,
    }))
}

/// A stack of ten selenium plates.
fn stack() -> PartKind {
    rectifier(Characteristic::SoftKnee(SoftKnee {
        knee_volts: 4.5,
        slope_ohms: 55.0,
        softness: 0.8,
        leak_ohms: 520e3,
    }))
}

fn rectifier(characteristic: Characteristic) -> PartKind {
    let terminal = |name: &str| Terminal {
        name: name.into(),
        pins: Vec::new(),
    };
    PartKind::Device(Device {
        type_name: "germanium".into(),
        class: DeviceClass::Diode,
        terminals: vec![terminal("anode"), terminal("cathode")],
        units: vec![DeviceUnit {
            characteristic,
            at: vec![0, 1],
            series_ohms: 0.0,
            glow: None,
        }],
        tolerance: None,
    })
}

#[test]
fn leads_exchanged_exchange_the_readings_of_a_diode() {
    let on = range(1200.0);
    let one = off(&circuit(2, [(diode(1e6), vec![1, 0])]));
    let other = off(&circuit(2, [(diode(1e6), vec![0, 1])]));
    let forward = reading(&one, port(1, 0), on, Lead::Plus);
    let reverse = reading(&one, port(1, 0), on, Lead::Minus);
    assert!(reverse > 20.0 * forward, "{forward} {reverse}");
    for (got, want) in [
        (reading(&other, port(1, 0), on, Lead::Plus), reverse),
        (reading(&other, port(1, 0), on, Lead::Minus), forward),
        (reading(&one, port(0, 1), on, Lead::Plus), reverse),
    ] {
        // The same equations with signs turned.
        assert!((got / want - 1.0).abs() < 1e-9, "{got} {want}");
    }
}

/// Selenium conducts a little from nothing on, and is no battery: with a resistor in series no lead
/// reads less than the resistor.
#[test]
fn a_selenium_stack_adds_to_what_is_in_series() {
    let parts = [(stack(), vec![1, 0]), (resistor(100e3), vec![2, 1])];
    let off = off(&circuit(3, parts));
    for lead in [Lead::Plus, Lead::Minus] {
        for volts in [0.2, 1.5, 7.5] {
            let on = OhmRange {
                volts,
                ..range(12e3)
            };
            let alone = reading(&off, port(1, 0), on, lead);
            let both = reading(&off, port(2, 0), on, lead);
            assert!(alone > 0.0 && alone < 520e3, "{alone}");
            // The stack's own ohms follow its volts, and are above nothing at any.
            assert!(both > 100e3, "{alone} {both}");
        }
    }
}

#[test]
fn leakage_taken_away_raises_the_reading() {
    let on = range(120e3);
    let at = |leak| {
        let off = off(&circuit(
            2,
            [(diode(leak), vec![1, 0]), (resistor(1e7), vec![1, 0])],
        ));
        reading(&off, port(1, 0), on, Lead::Minus)
    };
    let readings = [at(50e3), at(200e3), at(1e6), at(1e9)];
    let rises = readings.windows(2).all(|pair| pair[0] < pair[1]);
    assert!(rises, "{readings:?}");
}

#[test]
fn what_no_part_joins_is_open() {
    let parts = [
        (resistor(1e3), vec![1, 0]),
        (kind("open supply", 0.0), vec![2, 0]),
        (resistor(1e3), vec![2, 3]),
    ];
    let off = off(&circuit(4, parts));
    assert!(off.is_open(port(2, 0)) && off.is_open(port(3, 1)));
    assert!(!off.is_open(port(2, 3)) && !off.is_open(port(1, 0)));
    // What floats is still read between its own ends.
    let got = reading(&off, port(2, 3), range(1200.0), Lead::Plus);
    assert!((got - 1e3).abs() < 1e-5, "{got}");
}
