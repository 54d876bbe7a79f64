//! Tests of `place`.

use super::*;
use crate::circuit::CircuitBuilder;
use crate::part::Potentiometer;

fn circuit() -> Circuit {
    let mut builder = CircuitBuilder::new();
    let [top, mid, chassis] = ["top", "mid", "chassis"].map(|name| builder.node(name));
    builder.reference(chassis);
    let mut add = |designator: &str, kind, nodes: &[NodeId]| {
        builder.part(Part::new(designator, kind, nodes.to_vec()));
    };
    let resistor = PartKind::resistor(1e3);
    let pot = PartKind::Potentiometer(Potentiometer {
        ohms: 1e4,
        tolerance: None,
        setting: 0.5,
        is_stated: true,
        offset: 0.0,
        taps: Vec::new(),
    });
    add("R7", resistor, &[top, mid]);
    add("R9", pot, &[top, mid, chassis]);
    builder.test_point("TP3", mid);
    builder.finish()
}

fn port(plus: usize, minus: usize) -> Port {
    Port {
        plus: NodeId(plus),
        minus: NodeId(minus),
    }
}

#[test]
fn nodes_test_points_parts_and_terminals_are_places() {
    let circuit = circuit();
    let commons = Commons::of(&circuit, None);
    let at = |words| resolve(&circuit, words, "", &commons);
    assert_eq!(at("top"), Ok(port(0, 2)));
    assert_eq!(at("tp3"), Ok(port(1, 2)));
    assert_eq!(at("R7"), Ok(port(0, 1)));
    assert_eq!(at("R9 wiper"), Ok(port(1, 2)));
    assert_eq!(resolve(&circuit, "top", "TP3", &commons), Ok(port(0, 1)));
}

#[test]
fn what_is_wrong_and_on_which_side_is_said() {
    let circuit = circuit();
    let commons = Commons::of(&circuit, None);
    let (error, in_against) = resolve(&circuit, "top", "grid", &commons).unwrap_err();
    assert!(in_against);
    assert!(matches!(error, PlaceError::Unknown { name } if name == "grid"));
    let (error, in_against) = resolve(&circuit, "R9", "", &commons).unwrap_err();
    assert!(!in_against);
    assert!(matches!(error, PlaceError::NotAcross { .. }));
    let (error, _) = resolve(&circuit, "R9 anode", "", &commons).unwrap_err();
    assert!(matches!(error, PlaceError::NoTerminal { word, .. } if word == "anode"));
}
