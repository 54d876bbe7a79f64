//! A sound netlist with every family of tube and semiconductor: what is read from it.

use crate::support::netlist;
use circuit::{
    resolve, semiconductor, spread_of, tube_type, Characteristic, Circuit, Commons, Device,
    DeviceClass, DeviceParameter, NodeId, PartKind, PartParameter, Polarity, SemiconductorKind,
    SpreadBasis,
};
use input::{read_netlist, Severity, Sources};

const TEXT: &str = include_str!("good/devices.netlist");

fn device<'c>(circuit: &'c Circuit, name: &str) -> &'c Device {
    let id = circuit.part_named(name).expect("a part of this name");
    match &circuit.part(id).kind {
        PartKind::Device(device) => device,
        other => panic!("{name} is a {}", other.noun()),
    }
}

/// Terminals with their pins and nodes: `plate 6 plate1`.
fn terminals(circuit: &Circuit, name: &str) -> Vec<String> {
    let id = circuit.part_named(name).expect("a part of this name");
    let nodes = &circuit.part(id).nodes;
    let device = device(circuit, name);
    assert_eq!(device.terminals.len(), nodes.len(), "{name}");
    let shown = device.terminals.iter().zip(nodes).map(|(terminal, node)| {
        let pins: Vec<String> = terminal.pins.iter().map(u8::to_string).collect();
        let node = circuit.node_name(*node);
        format!("{} {} {node}", terminal.name, pins.join("/"))
    });
    shown.collect()
}

fn characteristic(circuit: &Circuit, name: &str) -> Characteristic {
    device(circuit, name).units[0].characteristic
}

#[test]
fn a_sound_netlist_draws_no_message() {
    assert_eq!(netlist(TEXT).diagnostics, vec![]);
}

// Pins by the basing diagrams 9A, 7BZ, 7BT, 5T, 8N, 9AE and 5BO as tube manuals print them.
#[test]
fn terminals_carry_their_pins_and_nodes() {
    let circuit = netlist(TEXT).circuit;
    for (name, want) in [
        (
            "V1A",
            vec!["plate 6 plate1", "grid 7 grid1", "cathode 8 cath1"],
        ),
        (
            "V1B",
            vec![
                "plate 1 plate2",
                "grid 2 grid1",
                "cathode 3 cath1",
                "heater-tap 9 spare",
            ],
        ),
        (
            "V2",
            // 'heatstring' is on no other part: that heater pin joins nothing and is left out.
            vec![
                "plate 5 plate2",
                "screen 6 bplus",
                "grid 1/7 grid2",
                "cathode 2 cath2",
                "heater1 3 heat",
            ],
        ),
        (
            "V3",
            vec!["plate 1/5 plate1", "grid 6 grid1", "cathode 7 cath1"],
        ),
        (
            "V4",
            vec![
                "plate 7 plate1",
                "grid 1 grid1",
                "cathode 2 chassis",
                "diode1 6 avc",
                "diode2 5 chassis",
            ],
        ),
        (
            "V5",
            vec![
                "plate1 6 ac2",
                "cathode 8 raw",
                "plate2 4 ac1",
                "filament 2 heat",
            ],
        ),
        (
            "V6",
            vec![
                "plate 5 plate1",
                "screen 6 bplus",
                "grid 1 grid1",
                "cathode 7 cath1",
                "suppressor 2 chassis",
            ],
        ),
        // Without a word of it the suppressor is at the cathode.
        (
            "V7",
            vec![
                "plate 8 plate1",
                "screen 6 bplus",
                "grid 4 grid1",
                "cathode 5/3 cath1",
            ],
        ),
        (
            "V9A",
            vec!["plate  plate1", "grid  grid1", "cathode  cath1"],
        ),
        ("V11C", vec!["diode2 5 det", "cathode 2 chassis"]),
        // 9AE: the pentode is section A, the triode section B.
        (
            "V13A",
            vec![
                "plate 6 plate2",
                "screen 3 bplus",
                "grid 2 grid1",
                "cathode 7 cath2",
            ],
        ),
        (
            "V13B",
            vec!["plate 1 plate1", "grid 9 grid2", "cathode 8 cath1"],
        ),
        ("VR2", vec!["anode 1/5 reg", "cathode 2/4/7 chassis"]),
        ("CR2", vec!["anode  ac1", "cathode  raw"]),
        ("Q1", vec!["collector  c1", "base  b1", "emitter  e1"]),
        ("Q4", vec!["drain  c1", "gate  b1", "source  e1"]),
        ("DS2", vec!["first  reg", "second  ref"]),
    ] {
        assert_eq!(terminals(&circuit, name), want, "{name}");
    }
}

#[test]
fn places_at_pins_and_electrodes_are_found() {
    let circuit = netlist(TEXT).circuit;
    for (place, node) in [
        ("V1 pin 6", "plate1"),
        ("V1A plate", "plate1"),
        ("V1 pin 1", "plate2"),
        ("V2 pin 7", "grid2"),
        ("V2 pin 3", "heat"),
        ("V7 pin 3", "cath1"),
        ("V5 plate2", "ac1"),
        ("V8 grid3", "avc"),
        ("VR2 pin 1", "reg"),
        ("Q1 collector", "c1"),
    ] {
        let port = resolve(&circuit, place, "", &Commons::of(&circuit, None)).unwrap();
        assert_eq!(circuit.node_name(port.plus), node, "{place}");
    }
    assert!(resolve(&circuit, "V2 pin 4", "", &Commons::of(&circuit, None)).is_err());
}

#[test]
fn units_hang_on_the_terminals_of_their_sections() {
    let circuit = netlist(TEXT).circuit;
    let at = |name: &str| -> Vec<Vec<usize>> {
        let units = device(&circuit, name).units.iter();
        units.map(|unit| unit.at.clone()).collect()
    };
    assert_eq!(at("V1A"), [[0, 1, 2]]);
    assert_eq!(at("V2"), [[0, 1, 2, 3]]);
    assert_eq!(at("V4"), [vec![0, 1, 2], vec![3, 2], vec![4, 2]]);
    assert_eq!(at("V5"), [[0, 1], [2, 1]]);
    assert_eq!(at("V8"), [[0, 1, 2, 3, 4]]);
    assert_eq!(at("VR1"), [[0, 1], [1, 0]]);
    assert_eq!(at("DS2"), [[0, 1], [1, 0]]);
    assert_eq!(at("Q1"), [[0, 1, 2]]);
}

#[test]
fn the_condition_of_a_tube_is_in_its_numbers() {
    let circuit = netlist(TEXT).circuit;
    let (Characteristic::Triode(good), Characteristic::Triode(weak)) = (
        characteristic(&circuit, "V1A"),
        characteristic(&circuit, "V1B"),
    ) else {
        panic!("sections of a 12AX7 are triodes");
    };
    assert_eq!((good.wear.emission, weak.wear.emission), (1.0, 0.6));
    assert_eq!(
        Characteristic::Triode(good),
        tube_type("12AX7").unwrap().units[0].characteristic
    );
    let Characteristic::Pentode(gassy) = characteristic(&circuit, "V2") else {
        panic!("a 6AQ5 is a pentode");
    };
    assert!((gassy.wear.gas - 0.3e-6).abs() < 1e-15);
    let Characteristic::Pentagrid(converter) = characteristic(&circuit, "V8") else {
        panic!("a 6BE6 is a pentagrid");
    };
    assert!(!converter.oscillates);
}

/// Values by hand from the line: 9.1 V is the marked voltage at 5 mA; 8 plates of 1 V each at
/// 75 mA, one of 1 V at the 100 mA that stand for no rating. Sums of few terms, so 1 nV.
#[test]
fn diodes_and_regulators_have_the_volts_that_are_written() {
    let circuit = netlist(TEXT).circuit;
    let Characteristic::SoftKnee(knee) = device(&circuit, "VR1").units[1].characteristic else {
        panic!("a Zener diode in reverse is a soft knee");
    };
    assert!((knee.knee_volts + 5e-3 * knee.slope_ohms - 9.1).abs() < 1e-9);
    assert_eq!(device(&circuit, "VR1").class, DeviceClass::Regulator);
    for (name, amperes, volts) in [("SR1", 75e-3, 8.0), ("CR4", 100e-3, 1.0)] {
        let Characteristic::SoftKnee(stack) = characteristic(&circuit, name) else {
            panic!("selenium is a soft knee");
        };
        assert!(
            (stack.knee_volts + amperes * stack.slope_ohms - volts).abs() < 1e-9,
            "{name}"
        );
    }
    let germanium = device(&circuit, "CR1");
    assert!((germanium.units[0].series_ohms - 40.0).abs() < 1e-9);
    // 0A2: strikes at 185 V, regulates from 5 to 30 mA, goes out below a fifth of 5 mA.
    let glow = device(&circuit, "VR2").units[0].glow.unwrap();
    assert_eq!(
        (glow.strike_volts, glow.least_amperes, glow.most_amperes),
        (185.0, 1e-3, 30e-3)
    );
    assert_eq!(device(&circuit, "V12").class, DeviceClass::Regulator);
    // A neon lamp holds 85 % of 65 V at its rated 0.3 mA.
    let lamp = &device(&circuit, "DS2").units[1];
    let Characteristic::SoftKnee(lit) = lamp.characteristic else {
        panic!("a lit lamp is a soft knee");
    };
    assert!((lit.knee_volts + 0.3e-3 * lit.slope_ohms - 55.25).abs() < 1e-9);
    assert!((lamp.glow.unwrap().strike_volts - 65.0).abs() < 1e-9);
}

#[test]
fn described_transistors_have_the_numbers_stated() {
    let circuit = netlist(TEXT).circuit;
    let Characteristic::Bipolar(npn) = characteristic(&circuit, "Q2") else {
        panic!("Q2 is a bipolar transistor");
    };
    assert_eq!((npn.polarity, npn.forward_gain), (Polarity::N, 100.0));
    let Characteristic::Bipolar(pnp) = characteristic(&circuit, "Q3") else {
        panic!("Q3 is a bipolar transistor");
    };
    assert_eq!((pnp.polarity, pnp.forward_gain), (Polarity::P, 60.0));
    // ICBO = Is·(1/BR + 1/(BF + 1)) + Icx with the junctions of a 2N404: Is 3.029 uA, BR 15.
    let icbo = 3.029e-6 * (1.0 / 15.0 + 1.0 / 61.0) + pnp.leakage;
    assert!((icbo - 2e-6).abs() < 1e-12, "{icbo}");
    // Of each material and size its own: docs/method.md, and the rows of 2N404, 2N3055 and AD149.
    for (line, reverse_gain, ohms) in [
        ("npn silicon hfe=100", 0.5, 2.0),
        ("pnp germanium hfe=60", 15.0, 3.5),
        ("npn silicon power hfe=40", 2.0, 0.1),
        ("pnp power germanium hfe=40", 10.0, 0.1),
    ] {
        let text =
            format!("ground c\nQ1: {line}, collector=c, base=b, emitter=e\nR1: 1k, b to e\n");
        let circuit = netlist(&text).circuit;
        let unit = &device(&circuit, "Q1").units[0];
        let Characteristic::Bipolar(found) = unit.characteristic else {
            panic!("{line} is a bipolar transistor");
        };
        assert_eq!(
            (found.reverse_gain, unit.series_ohms),
            (reverse_gain, ohms),
            "{line}"
        );
    }
    let field_effect = |name: &str| match characteristic(&circuit, name) {
        Characteristic::FieldEffect(found) => found,
        _ => panic!("{name} is a field-effect transistor"),
    };
    let (n, p) = (field_effect("Q4"), field_effect("Q6"));
    assert_eq!((n.polarity, n.idss, n.pinch_off), (Polarity::N, 8e-3, -6.0));
    // The sign of a P channel's pinch-off is turned.
    assert_eq!((p.polarity, p.idss, p.pinch_off), (Polarity::P, 5e-3, -2.0));
    let SemiconductorKind::FieldEffect(typed) = semiconductor("2N5457").unwrap().kind else {
        panic!("a 2N5457 is a field-effect transistor");
    };
    assert_eq!(field_effect("Q5"), typed);
}

#[test]
fn a_type_of_the_job_comes_before_the_catalogue() {
    let mut mine = tube_type("6C4").unwrap().clone();
    let Characteristic::Triode(triode) = &mut mine.units[0].characteristic else {
        panic!("a 6C4 is a triode");
    };
    triode.mu = 99.0;
    let text = "ground k\nV1: 6c4, plate=a, grid=k, cathode=k\nR1: 1k, a to k";
    let mut sources = Sources::default();
    let id = sources.add("circuit.netlist", text);
    let netlist = read_netlist(&sources, id, std::slice::from_ref(&mine));
    assert_eq!(netlist.diagnostics, vec![]);
    assert_eq!(
        characteristic(&netlist.circuit, "V1"),
        mine.units[0].characteristic
    );
}

#[test]
fn a_section_that_is_left_out_is_noted_and_has_no_unit() {
    let netlist = netlist("ground k\nV1: 12AX7, 1=a, 2=k, 3=k\nR1: 1k, a to k");
    let severities: Vec<Severity> = netlist.diagnostics.iter().map(|one| one.severity).collect();
    assert_eq!(severities, [Severity::Note]);
    assert_eq!(netlist.circuit.parts().len(), 2);
    assert_eq!(device(&netlist.circuit, "V1B").units.len(), 1);
    assert_eq!(
        terminals(&netlist.circuit, "V1B"),
        ["plate 1 a", "grid 2 k", "cathode 3 k"]
    );
}

#[test]
fn a_device_of_unknown_type_keeps_the_terminals_of_its_line() {
    let circuit = netlist("ground k\nV1: 12XY7, 1=a, 2=k\nR1: 1k, a to k").circuit;
    let port = resolve(&circuit, "V1 pin 1", "", &Commons::of(&circuit, None)).unwrap();
    assert_eq!((port.plus, circuit.node("a")), (NodeId(0), Some(NodeId(0))));
    assert_eq!(device(&circuit, "V1").units.len(), 0);
}

/// The spread of marked volts is what the netlist states; without a statement a default that says
/// so. 1, 10 and 20 % of 12 V by hand.
#[test]
fn the_tolerance_of_a_zener_diode_is_kept() {
    let knee = PartParameter::Device(DeviceParameter::KneeVolts);
    for (stated, volts, basis) in [
        ("1%", 0.12, SpreadBasis::Stated),
        ("10%", 1.2, SpreadBasis::Stated),
        ("20%", 2.4, SpreadBasis::Stated),
        ("", 0.6, SpreadBasis::Assumed),
    ] {
        let text = format!("ground g\nVR1: zener 12V {stated}, anode=g, cathode=k\n");
        let circuit = netlist(&text).circuit;
        let id = circuit.part_named("VR1").expect("a part of this name");
        let spread = spread_of(circuit.part(id), knee);
        // The knee lies under the marked volts, which are at 5 mA: by 0.1 V, or one part in a hundred.
        let off = (spread.half_width - volts).abs();
        assert!(off < 0.015 * volts, "{stated}: {spread:?}");
        assert_eq!(spread.basis, basis, "{stated}");
    }
}
