//! Settings as a table states them.

use super::*;
use crate::netlist::read_netlist;
use crate::source::Sources;

fn circuit() -> Circuit {
    let text =
        "ground c\nR9: pot 10k at 50%, cw=a, wiper=b, ccw=c\nS1: open, a to b\nR1: 1k, a to c\n\
         BT1: 9V source=5R, plus=a, minus=c\nV1A: 12AU7, plate=a, grid=b, cathode=c\n\
         CR1: silicon, anode=a, cathode=c";
    let mut sources = Sources::default();
    let id = sources.add("x.netlist", text);
    read_netlist(&sources, id, &[]).circuit
}

#[test]
fn turns_and_contacts_are_set() {
    let circuit = circuit();
    let found = parse_settings(&circuit, " r9 = 100 % ;S1=closed;").unwrap();
    let turn = SettingValue::Turn(1.0);
    let want = [
        Setting {
            part: PartId(0),
            value: turn,
        },
        Setting {
            part: PartId(1),
            value: SettingValue::Closed(true),
        },
    ];
    assert_eq!(found, want);
    assert_eq!(parse_settings(&circuit, "  "), Ok(vec![]));
}

#[test]
fn supplies_have_volts_and_tubes_have_states() {
    let circuit = circuit();
    let found = parse_settings(&circuit, "BT1=6V; V1A = Off").unwrap();
    let values: Vec<SettingValue> = found.iter().map(|setting| setting.value).collect();
    let want = [
        SettingValue::Share(6.0 / 9.0),
        SettingValue::Conducts(false),
    ];
    assert_eq!(values, want);
    let meant = parse_settings(&circuit, "BT=6V").unwrap_err();
    assert_eq!(meant[0].help, "did you mean 'BT1'?");
    let again = parse_settings(&circuit, "V1A=conducting;BT1=0").unwrap();
    assert_eq!(again[0].value, SettingValue::Conducts(true));
    assert_eq!(again[1].value, SettingValue::Share(0.0));
}

#[test]
fn every_fault_has_its_place() {
    let circuit = circuit();
    for (text, bytes, start) in [
        ("R9", 0..2, "'R9' is no setting"),
        ("R8=5%", 0..2, "no part is called 'R8'"),
        ("BT=6V", 0..2, "no part is called 'BT'"),
        ("=5%", 0..3, "no part is called ''"),
        ("R1=5%", 3..5, "a resistor is not '5%'"),
        ("R1=lifed", 3..8, "a resistor is not 'lifed'"),
        ("CR1=on", 4..6, "a diode is not 'on'"),
        ("BT1=6R", 5..6, "volts were expected"),
        ("BT1=", 0..4, "the value is missing"),
        ("BT1=-6V", 4..7, "a supply is not set to the other polarity"),
        ("V1A=6V", 4..6, "a tube is not '6V'"),
        ("S1=closed; R9=120%", 14..18, "a setting lies between"),
        ("R9=40", 3..5, "this is not a percentage"),
        ("R9=", 0..3, "the value is missing"),
        ("S1 = half", 5..9, "a switch is not 'half'"),
        ("R9=1%; R9=2%", 7..12, "R9 is set twice"),
    ] {
        let faults = parse_settings(&circuit, text).unwrap_err();
        assert_eq!(faults.len(), 1, "{text}");
        assert_eq!(faults[0].bytes, bytes, "{text}: {faults:?}");
        assert!(faults[0].message.starts_with(start), "{text}: {faults:?}");
    }
    assert_eq!(
        parse_settings(&circuit, "R8=1%; S1=x").unwrap_err().len(),
        2
    );
}
