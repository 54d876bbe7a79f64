//! Lines that draw several parts, and parts by a law: what comes out of them.

use circuit::{resolve, Circuit, Commons, NodeId, Part, PartKind, SettingValue};
use input::{parse_settings, read_netlist, Severity, Sources};

const TEXT: &str = "\
ground chassis
ground line2
PS1: 300V source=600R, plus=raw, minus=chassis
R0:  1k, line1 to line2
T1:  power transformer, primary 9R line1 to line2, high 190R 205R hv1 to chassis to hv2, heater 0.2R h1 to h2 to h3
V5:  5Y3GT, 8=raw
TP1: hv1
TP2: hv2
TP3: h1
TP4: h3
R01: 10R, h2 to chassis
L1:  coil 30R tapped, raw to tap to bplus
T2:  autotransformer 3R 5R, bplus to auto to chassis
TP5: auto
C1:  20-10/5 mfd 450V, raw to chassis, bplus to chassis, tap to chassis
S2A: radio of off radio phono, common=top, radio=bplus, phono=jackout
S2B: radio of off radio phono, common=lamp, phono=chassis
R1:  1k, lamp to bplus
J1:  jack, tip=jackout, sleeve=chassis, break=bplus
R2:  pot 500k at 60% tap=20%, cw=top, wiper=arm, ccw=chassis, tap=tone
R3:  27k, tone to chassis
R4:  1M, arm to chassis
RT1: thermistor 10k B=3435 now 50C, raw to chassis
RT2: thermistor 10k at 25C 4.1k at 50C now 25C, raw to chassis
RB1: ballast 55V 0.3A, raw to chassis
RV1: varistor 130V 1mA alpha=25, raw to chassis
CR1: bridge selenium 4 plates 75mA, ac1=raw, ac2=bplus, plus=p, minus=m
R5:  1k, p to m
R6:  1k, m to chassis
CR2: led, anode=raw, cathode=bplus
Q1:  2N7000, drain=bplus, gate=arm, source=chassis
V6:  6E5, plate=eye, grid=arm, cathode=chassis, target=bplus
R7:  1M, bplus to eye
V7:  1T4, plate=bplus, screen=tap, grid=arm, F-=chassis
V8:  6F5, 4=eye, 8=chassis, cap=arm
";

fn circuit() -> Circuit {
    let mut sources = Sources::default();
    let id = sources.add("circuit.netlist", TEXT);
    let netlist = read_netlist(&sources, id, &[]);
    let told: Vec<_> = netlist
        .diagnostics
        .iter()
        .filter(|found| found.severity != Severity::Note)
        .map(|found| &found.message)
        .collect();
    assert!(told.is_empty(), "{told:?}");
    netlist.circuit
}

fn part<'c>(circuit: &'c Circuit, name: &str) -> &'c Part {
    let id = circuit.part_named(name);
    circuit.part(id.unwrap_or_else(|| panic!("no part {name}")))
}

fn ohms(circuit: &Circuit, name: &str) -> f64 {
    match &part(circuit, name).kind {
        PartKind::Inductor(coil) => coil.ohms,
        PartKind::Resistor(resistor) => resistor.ohms,
        other => panic!("{name} is {other:?}"),
    }
}

fn ends(circuit: &Circuit, name: &str) -> Vec<String> {
    let nodes = part(circuit, name).nodes.iter();
    nodes
        .map(|node| circuit.node_name(*node).to_owned())
        .collect()
}

/// Values and nodes are those of the lines; a winding with one resistance is halved at its tap.
#[test]
fn windings_and_cans_become_their_pieces() {
    let circuit = circuit();
    for (name, want, a, b) in [
        ("T1.primary", 9.0, "line1", "line2"),
        ("T1.high1", 190.0, "hv1", "chassis"),
        ("T1.high2", 205.0, "chassis", "hv2"),
        ("T1.heater1", 0.1, "h1", "h2"),
        ("T1.heater2", 0.1, "h2", "h3"),
        ("L1.1", 15.0, "raw", "tap"),
        ("L1.2", 15.0, "tap", "bplus"),
        ("T2.1", 3.0, "bplus", "auto"),
        ("T2.2", 5.0, "auto", "chassis"),
        // 55 V over 0.3 A.
        ("RB1", 55.0 / 0.3, "raw", "chassis"),
    ] {
        assert_eq!(ends(&circuit, name), [a, b], "{name}");
        let got = ohms(&circuit, name);
        assert!((got - want).abs() <= 1e-12 * want, "{name}: {got}");
    }
    for (name, farads) in [("C1A", 20e-6), ("C1B", 10e-6), ("C1C", 5e-6)] {
        let PartKind::Capacitor(capacitor) = &part(&circuit, name).kind else {
            panic!("{name} is a capacitor");
        };
        assert!((capacitor.farads - farads).abs() <= 1e-12 * farads);
    }
    // Every section bears the volts that the can states.
    assert_eq!(circuit.ratings().len(), 3);
    assert!(circuit
        .ratings()
        .iter()
        .all(|(_, own)| own.volts == Some(450.0)));
}

/// `exp(3435·(1/323.15 − 1/298.15)) = 0.41012`, by hand; from 4.1 kΩ at 50 °C back to the 10 kΩ that
/// are stated at 25 °C.
#[test]
fn thermistors_follow_their_law() {
    let circuit = circuit();
    assert!((ohms(&circuit, "RT1") - 4101.2).abs() < 1.0);
    assert!((ohms(&circuit, "RT2") - 10e3).abs() < 1e-6);
}

#[test]
fn places_of_a_composite_go_by_their_names() {
    let circuit = circuit();
    let commons = Commons::of(&circuit, None);
    let node = |at: &str| -> String {
        let port = resolve(&circuit, at, "", &commons).unwrap();
        circuit.node_name(port.plus).to_owned()
    };
    for (at, want) in [
        ("T1 high tap", "chassis"),
        ("T1 high end", "hv2"),
        ("S2A common", "top"),
        ("S2A phono", "jackout"),
        ("CR1 plus", "p"),
        ("CR1 ac2", "bplus"),
        ("J1 tip", "jackout"),
        ("R2 tap", "tone"),
        ("V5 pin 8", "raw"),
        ("V8 cap", "arm"),
        ("V8 pin cap", "arm"),
        ("V6 target", "bplus"),
        ("V7 F-", "chassis"),
    ] {
        assert_eq!(node(at), want, "{at}");
    }
    let across = resolve(&circuit, "T1 primary", "", &commons).unwrap();
    let name = |id: NodeId| circuit.node_name(id);
    assert_eq!([name(across.plus), name(across.minus)], ["line1", "line2"]);
    assert!(resolve(&circuit, "S2A tape", "", &commons).is_err());
}

#[test]
fn a_switch_is_set_by_its_throw_in_all_its_sections() {
    let circuit = circuit();
    let closed = |text: &str| -> Vec<String> {
        let settings = parse_settings(&circuit, text).unwrap();
        settings
            .iter()
            .filter(|own| own.value == SettingValue::Closed(true))
            .map(|own| circuit.part(own.part).designator.clone())
            .collect()
    };
    assert_eq!(closed("S2=phono"), ["S2A.phono", "S2B.phono"]);
    assert_eq!(closed("S2A=radio"), ["S2A.radio"]);
    assert!(closed("S2=off").is_empty());
    assert_eq!(closed("J1=empty"), ["J1"]);
    assert!(closed("J1=plugged").is_empty());
    let faults = parse_settings(&circuit, "S2=fono").unwrap_err();
    assert!(faults[0].message.starts_with("'fono' is no throw of S2"));
    assert!(faults[0].help.contains("phono"), "{}", faults[0].help);
}

#[test]
fn a_rectifier_of_which_only_the_filament_is_named_carries_nothing() {
    let circuit = circuit();
    let PartKind::Device(device) = &part(&circuit, "V5").kind else {
        panic!("V5 is a tube");
    };
    assert!(device.units.is_empty());
    // A bridge is four stacks like the one that its line describes.
    for arm in 1..=4 {
        let name = format!("CR1.{arm}");
        assert!(
            matches!(&part(&circuit, &name).kind, PartKind::Device(own) if own.units.len() == 1)
        );
    }
}
