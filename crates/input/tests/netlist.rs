//! A sound netlist with every linear part: what is read from it.

use crate::support::netlist;
use circuit::{
    Capacitor, ContactKind, Dielectric, Generator, Inductor, Lamp, Part, PartKind, Potentiometer,
    Resistor, Supply, SupplyKind, Transformer,
};
use input::Netlist;

const TEXT: &str = include_str!("good/linear.netlist");

fn part<'n>(netlist: &'n Netlist, name: &str) -> &'n Part {
    let id = netlist
        .circuit
        .part_named(name)
        .expect("a part of this name");
    netlist.circuit.part(id)
}

fn node_names(netlist: &Netlist, name: &str) -> Vec<String> {
    let nodes = part(netlist, name).nodes.iter();
    nodes
        .map(|node| netlist.circuit.node_name(*node).to_owned())
        .collect()
}

#[test]
fn a_sound_netlist_draws_no_message() {
    let netlist = netlist(TEXT);
    assert_eq!(netlist.diagnostics, vec![]);
    assert_eq!(
        netlist.circuit.title(),
        "Lookout intercom, receive amplifier"
    );
    let references: Vec<_> = netlist.circuit.references().collect();
    assert_eq!(references.len(), 1);
    assert_eq!(netlist.circuit.node_name(references[0]), "chassis");
    let point = netlist.circuit.test_point("TP3").unwrap();
    assert_eq!(netlist.circuit.node_name(point), "grid2");
}

// Expected values are those written in the file, moved to base units by hand; a decimal number and
// its shifted form are read to the same nearest binary number, so equality is exact.
#[test]
fn every_part_has_the_values_that_the_line_states() {
    let netlist = netlist(TEXT);
    let supply = |kind, volts, tolerance, source, follows_line, off| {
        PartKind::Supply(Supply {
            kind,
            volts,
            tolerance,
            source,
            follows_line,
            off,
        })
    };
    let contact = |kind, closed| PartKind::Contact(circuit::Contact { kind, closed });
    let rows: [(&str, PartKind, &[&str]); 13] = [
        (
            "PS1",
            supply(SupplyKind::Supply, 285.0, Some(0.05), 120.0, true, None),
            &["raw", "chassis"],
        ),
        (
            "PS2",
            supply(SupplyKind::Supply, -50.0, None, 0.0, false, Some(47e3)),
            &["bias", "chassis"],
        ),
        (
            "BT1",
            supply(SupplyKind::Battery, 9.0, None, 2.0, false, None),
            &["batt", "chassis"],
        ),
        (
            "G1",
            PartKind::Generator(Generator {
                volts: 0.05,
                hertz: 400.0,
                source: 600.0,
                off: None,
            }),
            &["input", "chassis"],
        ),
        (
            "R1",
            PartKind::Resistor(Resistor {
                ohms: 220e3,
                tolerance: Some(0.1),
            }),
            &["bplus", "plate1"],
        ),
        (
            "R9",
            PartKind::Potentiometer(Potentiometer {
                ohms: 500e3,
                tolerance: Some(0.2),
                setting: 0.4,
                is_stated: true,
                offset: 0.0,
                taps: Vec::new(),
            }),
            &["out1", "grid2", "chassis"],
        ),
        (
            "R10",
            PartKind::Potentiometer(Potentiometer {
                ohms: 4.7e3,
                tolerance: None,
                setting: 0.5,
                is_stated: true,
                offset: 0.0,
                taps: Vec::new(),
            }),
            &["batt", "input", "input"],
        ),
        (
            "C1",
            PartKind::Capacitor(Capacitor {
                farads: 0.05e-6,
                tolerance: None,
                leak: Some(500e6),
                dielectric: Dielectric::Paper,
            }),
            &["plate1", "out1"],
        ),
        (
            "L1",
            PartKind::Inductor(Inductor {
                henries: Some(10.0),
                ohms: 350.0,
            }),
            &["rectified", "bplus"],
        ),
        (
            "T1",
            PartKind::Transformer(Transformer {
                ratio: 26.0,
                primary_ohms: 280.0,
                secondary_ohms: 0.6,
            }),
            &["bplus", "plate2", "speaker", "chassis"],
        ),
        (
            "DS1",
            PartKind::Lamp(Lamp {
                volts: 6.3,
                amperes: 0.15,
            }),
            &["batt", "chassis"],
        ),
        (
            "S1",
            contact(ContactKind::Switch, false),
            &["speaker", "plate2"],
        ),
        (
            "F1",
            contact(ContactKind::Fuse, true),
            &["raw", "rectified"],
        ),
    ];
    for (name, kind, nodes) in rows {
        assert_eq!(part(&netlist, name).kind, kind, "{name}");
        assert_eq!(node_names(&netlist, name), nodes, "{name}");
    }
}

#[test]
fn a_part_remembers_its_line() {
    let netlist = netlist("\u{feff}# first\r\nground b\r\nR1: 1k, a to b\r\nR2: 1k, a to b\r\n");
    assert_eq!(netlist.diagnostics, vec![]);
    let origin = &part(&netlist, "R2").origin;
    assert_eq!((origin.file.as_str(), origin.line), ("circuit.netlist", 4));
}

#[test]
fn a_faulty_part_keeps_its_name_and_nodes() {
    let netlist = netlist("ground b\nR1: 1V, a to b\nR2: pot 1k at 5%, cw=a\nR3: 1k, a to b");
    assert_eq!(netlist.diagnostics.len(), 2);
    assert_eq!(node_names(&netlist, "R1"), ["a", "b"]);
    assert_eq!(node_names(&netlist, "R2"), ["a", "a", "a"]);
}

#[test]
fn a_clash_shows_both_places() {
    let text = "ground b\nR1: 1k, a to b\nR1: 2k, a to b";
    let found = &netlist(text).diagnostics[0];
    let (first, _) = found.related.as_ref().unwrap();
    assert_eq!(first.bytes, 9..11);
    assert_eq!(found.span.as_ref().unwrap().bytes, 24..26);
}
