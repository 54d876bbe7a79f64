//! Tests of `own`.

use super::*;
use crate::characteristic::VacuumDiode;

fn sheet(class: TubeClass) -> TubeSheet {
    TubeSheet {
        name: "6ZZ9".into(),
        class,
        expected_mu: None,
        mu_spread: None,
        points: Vec::new(),
    }
}

fn basing(symbols: &[(u8, &str)], class: TubeClass) -> Basing {
    Basing {
        base: "7CV".into(),
        pins: symbols
            .iter()
            .map(|(number, symbol)| Pin::by_symbol(*number, symbol, class).unwrap())
            .collect(),
        heater: Vec::new(),
    }
}

const DIODE: Characteristic = Characteristic::VacuumDiode(VacuumDiode {
    perveance: 1e-3,
    contact: 0.0,
    emission: 1.0,
});

#[test]
fn a_described_rectifier_is_a_type_like_any_other() {
    let class = TubeClass::FullWaveRectifier;
    let own = basing(&[(1, "P1"), (6, "P2"), (7, "K"), (3, "H"), (4, "H")], class);
    let tube = TubeType::of_sheet(&sheet(class), own, DIODE, None).unwrap();
    assert_eq!(tube.units.len(), 2);
    let plate: Vec<u8> = tube.pins_of(1, Electrode::Plate).collect();
    assert_eq!(plate, [6]);
    let cathode: Vec<u8> = tube.pins_of(1, Electrode::Cathode).collect();
    assert_eq!(cathode, [7]);
}

#[test]
fn each_section_of_a_described_triode_pentode_has_its_own_law() {
    let known = super::super::tube_type("ECL82").unwrap();
    let [pentode, triode] = [0, 1].map(|unit| known.units[unit].characteristic);
    let own = Basing {
        pins: known.pins.clone(),
        ..Basing::default()
    };
    let tube = TubeType::of_sheet(&sheet(known.class), own, pentode, Some(triode)).unwrap();
    let laws: Vec<Characteristic> = tube.units.iter().map(|unit| unit.characteristic).collect();
    assert_eq!(laws, [pentode, triode]);
}

#[test]
fn an_electrode_without_a_pin_and_another_kind_of_section_are_refused() {
    let class = TubeClass::FullWaveRectifier;
    let own = basing(&[(1, "P1"), (7, "K")], class);
    let error = TubeType::of_sheet(&sheet(class), own, DIODE, None).unwrap_err();
    assert_eq!(
        error.to_string(),
        "6ZZ9: no pin leads to the plate of section B"
    );
    let own = basing(&[(1, "P"), (7, "K"), (6, "G")], TubeClass::Triode);
    let error = TubeType::of_sheet(&sheet(TubeClass::Triode), own, DIODE, None).unwrap_err();
    assert!(matches!(
        error,
        OwnTypeError::OtherSection {
            needs: 3,
            has: 2,
            ..
        }
    ));
}

#[test]
fn every_class_has_its_own_words_and_a_stand_in_keeps_the_name() {
    for class in TubeClass::ALL {
        assert_eq!(TubeClass::from_words(class.words()), Some(class));
    }
    let own = basing(&[(1, "P"), (7, "K"), (6, "G")], TubeClass::Triode);
    let tube = TubeType::stand_in("6ZZ9", TubeClass::Triode, own).unwrap();
    assert_eq!(
        (tube.name.as_str(), tube.class),
        ("6ZZ9", TubeClass::Triode)
    );
    assert_eq!(tube.pin(6).unwrap().electrode, Electrode::Grid);
}
