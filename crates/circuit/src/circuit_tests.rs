//! Tests of `circuit`.

use super::*;

#[test]
fn names_match_in_any_case_unless_that_is_ambiguous() {
    let mut builder = CircuitBuilder::new();
    let plate = builder.node("Plate1");
    let upper = builder.node("B+");
    let lower = builder.node("b+");
    let circuit = builder.finish();
    assert_eq!(circuit.node("plate1"), Some(plate));
    assert_eq!(circuit.node("B+"), Some(upper));
    assert_eq!(circuit.node("b+"), Some(lower));
    assert_eq!(circuit.node("grid"), None);
}
