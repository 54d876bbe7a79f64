//! A tube of several sections that one line draws: the same parts as a line for each section.

use std::collections::BTreeMap;

use circuit::{resolve, tube_types, Circuit, Commons, PartKind, TubeType};
use input::{Netlist, Severity};

use crate::support::netlist;

/// `6=n6, 7=n7` of the pins of these sections; what is joined inside is on the node of its first pin.
fn pins(tube: &TubeType, sections: &[usize]) -> String {
    let mut nodes: BTreeMap<u8, u8> = BTreeMap::new();
    for section in sections {
        for electrode in tube.units[*section].electrodes {
            let own: Vec<u8> = tube.pins_of(*section, *electrode).collect();
            nodes.extend(own.iter().map(|pin| (*pin, own[0])));
        }
    }
    let each = nodes.iter().map(|(pin, node)| match *pin {
        circuit::Pin::CAP => format!("cap=n{node}"),
        pin => format!("{pin}=n{node}"),
    });
    each.collect::<Vec<_>>().join(", ")
}

fn drawn(lines: &str) -> Netlist {
    netlist(&format!("ground n1\nR1: 1k, n1 to n2\n{lines}"))
}

/// Each part with the names of its nodes, but for the resistor.
fn parts(circuit: &Circuit) -> Vec<(String, PartKind, Vec<String>)> {
    let parts = circuit
        .parts()
        .iter()
        .filter(|part| part.designator != "R1");
    let shown = parts.map(|part| {
        let names = part
            .nodes
            .iter()
            .map(|node| circuit.node_name(*node).to_owned());
        (part.designator.clone(), part.kind.clone(), names.collect())
    });
    shown.collect()
}

/// Every built-in type whose sections stand for themselves, its diodes on a shared cathode aside.
#[test]
fn one_line_draws_the_parts_of_a_line_for_each_section() {
    let mut compared = 0;
    for tube in tube_types().filter(|tube| tube.units.len() > 1 && !tube.pins.is_empty()) {
        let all: Vec<usize> = (0..tube.units.len()).collect();
        let whole = drawn(&format!("V1: {}, {}", tube.name, pins(tube, &all)));
        // Nothing is joined to the second section yet.
        let is_fault = |one: &&input::Diagnostic| {
            one.severity == Severity::Error && !one.message.starts_with("no reference")
        };
        let fault = whole.diagnostics.iter().find(is_fault);
        assert_eq!(fault, None, "{}", tube.name);
        let whole = parts(&whole.circuit);
        if whole.len() != tube.units.len() {
            // A rectifier, or the diodes beside a triode: one part, one cathode.
            let shared = whole.iter().any(|(_, kind, _)| match kind {
                PartKind::Device(device) => device.units.len() > 1,
                _ => false,
            });
            assert!(shared, "{}", tube.name);
            continue;
        }
        let line = |section: usize| {
            let letter = char::from(b'A' + u8::try_from(section).unwrap());
            format!("V1{letter}: {}, {}", tube.name, pins(tube, &[section]))
        };
        let lines: Vec<String> = all.iter().map(|section| line(*section)).collect();
        let apart = drawn(&lines.join("\n"));
        assert_eq!(whole, parts(&apart.circuit), "{}", tube.name);
        compared += 1;
    }
    assert!(compared > 40, "{compared} types have sections of their own");
}

#[test]
fn the_diodes_of_a_triode_stay_with_it_and_one_with_its_own_cathode_does_not() {
    let names = |line: &str| -> Vec<String> {
        let circuit = drawn(line).circuit;
        parts(&circuit).into_iter().map(|(name, ..)| name).collect()
    };
    assert_eq!(names("V1: 12AV6, 1=n1, 2=n2, 5=n3, 6=n4, 7=n5"), ["V1"]);
    assert_eq!(names("V1: 5Y3GT, 4=n1, 6=n2, 8=n3"), ["V1"]);
    assert_eq!(names("V1: 6AL5, 1=n1, 2=n2, 5=n3, 7=n4"), ["V1A", "V1B"]);
    let triple = "V1: 6T8, 1=n1, 2=n2, 3=n3, 6=n4, 7=n5, 8=n6, 9=n7";
    assert_eq!(names(triple), ["V1A", "V1C"]);
    // The second section alone, and a designation that no letter can stand behind.
    assert_eq!(names("V1: 12AX7, 1=n1, 2=n2, 3=n3"), ["V1B"]);
    let netlist = drawn("V1-x: 12AX7, 1=n1, 2=n2, 3=n3, 6=n4, 7=n5, 8=n6");
    let said: Vec<&str> = netlist
        .diagnostics
        .iter()
        .map(|one| one.message.as_str())
        .collect();
    let kept = "the sections of V1-x cannot be lettered, and are one part";
    assert!(said.contains(&kept), "{said:?}");
}

#[test]
fn electrodes_are_found_by_the_number_of_their_section() {
    let twin = "V1: 12AX7, 6=n1, 7=n2, 8=n3, 1=n4, 2=n5, 3=n6";
    let unlike = "V1: 6U8, 1=n1, 2=n2, 3=n3, 6=n4, 7=n5, 8=n6, 9=n7";
    let heptode = "V1: ECH81, 1=n1, 2=n2, 3=n3, 6=n4, 7=n5, 8=n6, 9=n7";
    let triple = "V1: 6T8, 1=n1, 2=n2, 3=n3, 6=n4, 7=n5, 8=n6, 9=n7";
    for (line, place, node) in [
        (twin, "V1 plate2", Some("n4")),
        (twin, "V1 P1", Some("n1")),
        (twin, "V1 g2", Some("n5")),
        (twin, "V1 cathode1", Some("n3")),
        (twin, "V1 pin 3", Some("n6")),
        (twin, "V1B anode", Some("n4")),
        (twin, "V1 plate", None),
        (twin, "V1 plate3", None),
        // 9AE: the pentode is the first section; its second grid is its screen.
        (unlike, "V1 plate1", Some("n4")),
        (unlike, "V1 grid2", Some("n7")),
        (unlike, "V1 g2", Some("n3")),
        // Basings letter the triode's electrodes, so that the first grid is the pentode's.
        (unlike, "V1 G1", Some("n2")),
        (unlike, "V1 GT", Some("n7")),
        (unlike, "V1 PT", Some("n1")),
        (unlike, "V1 PP", Some("n4")),
        (unlike, "V1 KT", Some("n6")),
        (heptode, "V1 PT", Some("n6")),
        (twin, "V1 PT", None),
        (heptode, "V1 grid3", Some("n5")),
        (heptode, "V1 cathode", Some("n3")),
        (triple, "V1 diode2", Some("n2")),
        (triple, "V1 diode2-cathode", Some("n3")),
        (triple, "V1 cathode", Some("n5")),
        (triple, "V1 plate", Some("n7")),
    ] {
        let circuit = drawn(line).circuit;
        let found = resolve(&circuit, place, "", &Commons::of(&circuit, None));
        let found = found.ok().map(|port| circuit.node_name(port.plus));
        assert_eq!(found, node, "{line}: {place}");
    }
}

/// As `devices` prints the base of the tube.
#[test]
fn the_letters_of_a_basing_can_be_written() {
    let by_pins = "V1: ECH81, 6=n4, 1=n1, 2=n2, 7=n5, 3=n3, 8=n6, 9=n7";
    let letters = "V1: ECH81, PP=n4, G2+G4=n1, G1=n2, G3=n5, K=n3, PT=n6, GT=n7";
    for (one, other) in [
        (by_pins, letters),
        (
            by_pins,
            "V1: ECH81, PH=n4, G2+4=n1, G1=n2, G3=n5, K=n3, PT=n6, GT=n7",
        ),
        (
            "V1: ECH42, 2=n2, 3=n3, 4=n4, 5=n5, 6=n6, 7=n7",
            "V1: ECH42, PH=n2, PT=n3, GT+G3=n4, G2+G4=n5, G1=n6, K=n7",
        ),
        (
            "V1: 6U8, 1=n1, 2=n2, 3=n3, 6=n4, 7=n5, 8=n6, 9=n7",
            "V1: 6U8, AT=n1, G1=n2, G2=n3, PP=n4, KP=n5, KT=n6, GT=n7",
        ),
    ] {
        let [one, other] = [one, other].map(|line| parts(&drawn(line).circuit));
        assert_eq!(one, other);
    }
}

/// Base pins 9AJ: pin 3 is the one cathode of both systems of the tube.
#[test]
fn a_pin_that_sections_share_is_one_lead() {
    let lines = "PS1: 100V, plus=n6, minus=n1\nR2: 1k, n3 to n1\nV1: ECH81, 1=n6, 2=n2, 3=n3, 6=n6, 7=n2, 8=n6, 9=n2";
    let circuit = drawn(lines).circuit;
    let lead = circuit.series_lead("V1 cathode").unwrap();
    assert_eq!(Some(&lead), circuit.series_lead("V1 pin 3").as_ref());
    assert_eq!(lead.others.len(), 1);
    assert!(circuit.has_path_through(&lead));
    let (metered, port) = circuit.with_ammeter(&lead, 1.0);
    let at = |name: &str| {
        let id = metered.part_named(name).unwrap();
        metered.part(id).nodes.last().copied().unwrap()
    };
    assert_eq!(circuit.node_name(port.plus), "n3");
    assert_eq!((at("V1A"), at("V1B")), (port.minus, port.minus));
    // The plates of two sections are two leads.
    assert_eq!(circuit.series_lead("V1 plate"), None);
    assert!(circuit.series_lead("V1 plate2").is_some());
}
