//! Heaters in series: what is read from the statement.

use circuit::{HeaterMemberKind, HeaterString};
use input::{read_netlist, Netlist, Severity, Sources};

/// A set with a rectifier of which the cathode alone is drawn, a twin triode, a ballast, and supplies and a
/// battery at the rectifier's cathode.
const SET: &str = "ground common
PS1: 128V source=110R line, plus=raw, minus=common
PS2: -40V source=1k, plus=common, minus=raw
PS3: 40V source=1k, plus=high, minus=raw
BT1: 3V, plus=raw, minus=low
R6: 10k, high to common
R5: 1k, low to common
R1: 1k, raw to bplus
R20: ballast 20V 0.15A, line to h5
G1: 117V ac 60Hz off=open, line to common
V5: 35Z5GT, 8=raw, 7=h5
V1A: 12AX7, plate=bplus, grid=g, cathode=common
V1B: 12AX7, plate=bplus, grid=g, cathode=common
R2: 1M, g to common
V4: 50L6, 3=bplus, 4=bplus, 5=g, 8=common
";

fn read(statement: &str) -> Netlist {
    let mut sources = Sources::default();
    let id = sources.add("circuit.netlist", &format!("{SET}{statement}\n"));
    let netlist = read_netlist(&sources, id, &[]);
    let worst = netlist.diagnostics.iter().map(|found| found.severity);
    assert!(
        worst.clone().all(|severity| severity == Severity::Note),
        "{:?}",
        netlist.diagnostics
    );
    netlist
}

fn string(netlist: &Netlist) -> &HeaterString {
    match netlist.circuit.heater_strings() {
        [one] => one,
        other => panic!("{other:?}"),
    }
}

#[test]
fn members_are_read_in_their_order_with_their_sections_and_heater_pins() {
    let netlist = read("heaters in series: R20 V5 V4 V1");
    let string = string(&netlist);
    let designators = |parts: &[circuit::PartId]| -> Vec<String> {
        let each = parts.iter();
        each.map(|id| netlist.circuit.part(*id).designator.clone())
            .collect()
    };
    let read: Vec<(&str, Vec<String>, &HeaterMemberKind)> = string
        .members
        .iter()
        .map(|member| (&*member.name, designators(&member.parts), &member.kind))
        .collect();
    let tube = |pins: [u8; 2]| HeaterMemberKind::Tube {
        pins: pins.to_vec(),
    };
    // Bases 6AD, 7AC and 9A as tube manuals print them: the tap of the rectifier's heater (3) and that of
    // the twin triode's (9) are no ends.
    let want = [
        ("R20", vec!["R20".to_owned()], &HeaterMemberKind::Resistor),
        ("V5", vec!["V5".to_owned()], &tube([2, 7])),
        ("V4", vec!["V4".to_owned()], &tube([2, 7])),
        (
            "V1",
            vec!["V1A".to_owned(), "V1B".to_owned()],
            &tube([4, 5]),
        ),
    ];
    assert_eq!(read, want);
}

/// What stands for the rectifier has its higher end at the cathode: PS1 and PS2, whose −40 V from common
/// to raw are 40 V from raw to common. PS3 has its lower end there, and a battery is no rectifier.
#[test]
fn a_supply_at_the_rectifiers_cathode_stands_for_it() {
    let netlist = read("heaters in series: V5 V4 V1");
    let supply = netlist.circuit.part_named("PS1").unwrap();
    let other = netlist.circuit.part_named("PS2").unwrap();
    assert_eq!(string(&netlist).supplies, [supply, other]);
    // Without the rectifier in the string nothing stands for it.
    assert_eq!(string(&read("heaters in series: V4 V1")).supplies, []);
}

#[test]
fn colon_commas_capitals_and_the_name_of_a_section_change_nothing() {
    let want = string(&read("heaters in series: V5 V4 V1")).clone();
    for written in [
        "heaters in series V5, V4, V1",
        "Heaters in Series: v5 v4 v1",
        "filaments in series: V5,V4,V1",
        "heaters in series: V5 V4 V1B   # from the line to B minus",
    ] {
        assert_eq!(string(&read(written)), &want, "{written}");
    }
}

#[test]
fn several_strings_are_kept_apart() {
    let netlist = read("heaters in series: V5 R20\nheaters in series: V4 V1");
    let strings = netlist.circuit.heater_strings();
    let names = |string: &HeaterString| -> Vec<String> {
        string.members.iter().map(|one| one.name.clone()).collect()
    };
    let names: Vec<Vec<String>> = strings.iter().map(names).collect();
    assert_eq!(names, [["V5", "R20"], ["V4", "V1"]]);
}
